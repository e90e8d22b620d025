"""Follows the pieces from the machine to the customer: bins, holds, washing, inspection, trucks.

Every bin is a lot. Drilled parts go through bins of D1; most parts are mixed four bins to a wash
lot, some keep their container to the customer. A failed check puts everything near its window on
hold. This module decides nothing about what ran or was checked.
"""

from bisect import bisect_left
from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

import numpy as np

from witnessmark.practice.checking import Failure
from witnessmark.practice.floor import DRILLING, PARTS
from witnessmark.practice.history import History, Run
from witnessmark.practice.production import Counter
from witnessmark.practice.shift_calendar import SATURDAY, ZONE, local, local_day, minute
from witnessmark.practice.shop import Row, Shop, between

BIN_RUNNING_MIN = (170, 260)
LEAST_LAST_BIN = 40
HOLD_MARGIN_MIN = 20
MIXED_BINS = 4
TRUCK = time(15, 30)
LOGISTICS_HOURS = (6, 20)


@dataclass(frozen=True)
class Batch:
    """Pieces that W1 or F1 has worked on at a minute."""

    at: int
    part: str
    qty: int


class Flow:
    """Moves lots through the plant.

    Args:
        shop: Receives lots, links, holds and shipments.
        histories: What ran.
        counters: What was made.
        failures: Failed checks whose product the plant held in full.
        bin_changes: Minutes at which the bin of a run was changed, beside the usual ones.
    """

    def __init__(
        self,
        shop: Shop,
        histories: dict[str, History],
        counters: dict[str, Counter],
        failures: list[Failure],
        bin_changes: dict[str, list[int]],
    ) -> None:
        self.shop, self.histories, self.counters = shop, histories, counters
        self.failures, self.bin_changes = failures, bin_changes
        self.washed: list[Batch] = []
        self.inspected: list[Batch] = []
        self._rng = shop.rng("flow")
        self._ship_lines: dict[str, int] = defaultdict(int)

    def follow(self) -> None:
        """Fills bins, holds what is suspect, washes, inspects and ships."""
        turned = [bin_ for h in self.histories.values() if h.machine.process != DRILLING
                  for bin_ in self._bins(h)]  # fmt: skip
        drilled = [bin_ for h in self.histories.values() if h.machine.process == DRILLING
                   for bin_ in self._bins(h)]  # fmt: skip
        self._hold()
        self._link_drilled(turned, drilled)
        plain = [lot for lot in turned if not PARTS[lot["part_no"]].drilled]
        self._finish([*plain, *drilled])
        self._order()

    # -- bins

    def _bins(self, history: History) -> list[Row]:
        rng = self.shop.rng("bins", history.machine.id)
        return [lot for run in history.runs for lot in self._bins_of(history, run, rng)]

    def _bins_of(self, history: History, run: Run, rng: np.random.Generator) -> list[Row]:
        clock, end = history.running_at, run.end or history.end
        wanted = sorted(at for at in self.bin_changes.get(run.id, []) if run.start < at < end)
        cuts, at = [run.start], clock(run.start)
        while clock(end) - at > BIN_RUNNING_MIN[1] + LEAST_LAST_BIN:
            at += between(rng, *BIN_RUNNING_MIN)
            if all(abs(clock(change) - at) > LEAST_LAST_BIN for change in wanted):
                cuts.append(history.minute_of(at))
        cuts = sorted({*cuts, *wanted})
        return [
            self._bin(history, run, span, rng)
            for span in zip(cuts, [*cuts[1:], run.end], strict=True)
        ]

    def _bin(
        self, history: History, run: Run, span: tuple[int, int | None], rng: np.random.Generator
    ) -> Row:
        opened, closed = span
        counter = self.counters[history.machine.id]
        qty = counter.made(run, closed or history.end) - counter.made(run, opened)
        ready = closed
        if closed is not None and closed == run.end and run.last_off is not None:
            ready = run.last_off.at + 10
        return self.shop.add(
            "lots",
            lot_no=self.shop.new_id("L"),
            part_no=run.part,
            op=history.machine.op,
            machine_id=history.machine.id,
            qty=qty,
            opened_at=opened,
            closed_at=closed,
            moved_at=None if ready is None else self._transport(ready + between(rng, 15, 70)),
            order_no=run.order_at(opened)["order_no"],
            container=f"K{between(rng, 100, 999)}",
        )

    def _transport(self, at: int) -> int:
        """The next minute from then on at which transport works; Monday to Saturday, by day."""
        now = local(at)
        first, last = LOGISTICS_HOURS
        if now.weekday() <= SATURDAY and first <= now.hour < last:
            return at
        day = now.date() if now.hour < first else now.date() + timedelta(days=1)
        while day.weekday() > SATURDAY:
            day += timedelta(days=1)
        return minute(day, time(first, between(self._rng, 0, 55)))

    # -- holds

    def _hold(self) -> None:
        for failure in self.failures:
            history = self.histories[failure.failed.run.machine.id]
            before = [c for c in history.checks if c.at < failure.failed.at]
            good = before[-1].taken_at if before else failure.failed.run.start
            span = (good - HOLD_MARGIN_MIN, failure.closing.at + HOLD_MARGIN_MIN)
            for lot in touching(self.shop, history.machine.id, span):
                self._hold_lot(failure, lot)

    def _hold_lot(self, failure: Failure, lot: Row) -> None:
        found = failure.failed.at
        keeps = lot["opened_at"] <= found < (lot["closed_at"] or found + 1)
        decided = minute(local_day(found) + timedelta(days=3), time(11, between(self._rng, 0, 50)))
        shift = self.shop.calendar.shift_at("T1", found)
        self.shop.add(
            "holds",
            hold_id=self.shop.new_id("H"),
            trigger_ref=failure.failed.id,
            lot_no=lot["lot_no"],
            container=None,
            machine_id=None,
            qty=lot["qty"],
            placed_at=found + between(self._rng, 14, 30),
            disposition="scrap" if keeps else "release",
            disposed_at=decided,
            disposed_by=self._leader(shift.week if shift else 0),
            qty_disposed=lot["qty"],
        )
        lot["moved_at"] = None if keeps else self._transport(decided + 30)
        lot["scrapped"] = keeps

    def _leader(self, week: int) -> str:
        """Somebody with the authority to decide on held product."""
        holders = [row["person_key"] for row in self.shop.find("authorities", kind="disposition")]
        return str(sorted(set(holders))[week % len(set(holders))])

    # -- drilling, washing, inspection, shipping

    def _link_drilled(self, turned: list[Row], drilled: list[Row]) -> None:
        stock: dict[str, list[list[object]]] = defaultdict(list)
        for lot in sorted(turned, key=_moved):
            if PARTS[lot["part_no"]].drilled and lot["moved_at"] is not None:
                stock[lot["part_no"]].append([lot, lot["qty"]])
        for lot in sorted(drilled, key=lambda row: int(row["opened_at"])):
            self._fill(lot, stock[lot["part_no"]])

    def _fill(self, lot: Row, stock: list[list[object]]) -> None:
        """Takes turned bins, oldest first, until the drilled bin is accounted for."""
        wanted = int(lot["qty"])
        while wanted > 0 and stock:
            source, left = stock[0]
            if not isinstance(source, dict) or not isinstance(left, int):
                raise TypeError(stock[0])
            if source["moved_at"] > lot["opened_at"]:
                return
            taken = min(wanted, left)
            self._link(source, lot["lot_no"], taken, "20", lot["opened_at"])
            wanted -= taken
            stock[0][1] = left - taken
            if left == taken:
                stock.pop(0)

    def _link(self, source: Row, to_lot: str, qty: int, op: str, at: int) -> None:
        self.shop.add("lot_links", from_lot=source["lot_no"], to_lot=to_lot, qty=qty, op=op,
                      linked_at=at)  # fmt: skip

    def _finish(self, lots: list[Row]) -> None:
        waiting: dict[str, list[Row]] = defaultdict(list)
        for lot in sorted(lots, key=_moved):
            if lot["moved_at"] is None:
                continue
            part = PARTS[lot["part_no"]]
            if part.keeps_container:
                self._wash(lot, lot["moved_at"])
                continue
            waiting[part.no].append(lot)
            if len(waiting[part.no]) == MIXED_BINS:
                self._mix(waiting.pop(part.no))

    def _mix(self, lots: list[Row]) -> None:
        """Washes four bins as one lot: from here on they cannot be told apart."""
        ready = max(lot["moved_at"] for lot in lots)
        at = self._worked("W1", ready + between(self._rng, 30, 150))
        if at is None:
            return
        mixed = self.shop.add(
            "lots",
            lot_no=self.shop.new_id("W"),
            part_no=lots[0]["part_no"],
            op="30",
            machine_id=f"W1-0{between(self._rng, 1, 2)}",
            qty=sum(lot["qty"] for lot in lots),
            opened_at=at,
            closed_at=at + 35,
            moved_at=at + 55,
        )
        for lot in lots:
            self._link(lot, mixed["lot_no"], lot["qty"], "30", at)
        self.washed.append(Batch(at, mixed["part_no"], mixed["qty"]))
        self._inspect(mixed, at + 90)

    def _wash(self, lot: Row, ready: int) -> None:
        at = self._worked("W1", ready + between(self._rng, 30, 150))
        if at is not None:
            self.washed.append(Batch(at, lot["part_no"], lot["qty"]))
            self._inspect(lot, at + 60)

    def _inspect(self, lot: Row, ready: int) -> None:
        at = self._worked("F1", ready)
        if at is None:
            return
        self.inspected.append(Batch(at, lot["part_no"], lot["qty"]))
        self._ship(lot, at + 60)

    def _worked(self, area: str, ready: int) -> int | None:
        """The first minute from then on, well inside a worked shift of the area."""
        shifts = self.shop.calendar.shifts[area]
        found = bisect_left(shifts, ready + 50, key=lambda shift: shift.end)
        return max(ready, shifts[found].start + 20) if found < len(shifts) else None

    def _ship(self, lot: Row, ready: int) -> None:
        day = local_day(ready)
        while day.weekday() >= SATURDAY or minute(day, TRUCK) < ready:
            day += timedelta(days=1)
        at = minute(day, TRUCK)
        if at >= self.shop.calendar.end:
            return
        ship_no = f"S-{day:%m%d}"
        self._ship_lines[ship_no] += 10
        self.shop.add(
            "shipment_lines",
            ship_no=ship_no,
            line=str(self._ship_lines[ship_no]),
            customer_order=f"CO-{lot['part_no']}-{day.isocalendar().week}",
            part_no=lot["part_no"],
            lot_no=lot["lot_no"],
            qty=lot["qty"],
            shipped_at=at,
            premium_freight=False,
        )

    def _order(self) -> None:
        """The customers' call-offs: what each week shipped, due on its Friday."""
        asked: dict[str, list[Row]] = defaultdict(list)
        for row in self.shop.tables["shipment_lines"]:
            asked[row["customer_order"]].append(row)
        for order, rows in sorted(asked.items()):
            due = friday(local_day(rows[0]["shipped_at"]))
            self.shop.add("demand_lines", customer_order=order, line="10",
                          part_no=rows[0]["part_no"], qty=sum(row["qty"] for row in rows),
                          due_original=due, due_promised=None)  # fmt: skip


def _moved(lot: Row) -> tuple[int, str]:
    moved = lot["moved_at"]
    return (moved if moved is not None else 1 << 40, str(lot["lot_no"]))


def friday(day: date) -> date:
    """The Friday of a day's week."""
    return day + timedelta(days=4 - day.weekday())


def touching(shop: Shop, machine: str, span: tuple[int, int]) -> list[Row]:
    """Lots of a machine that were open at some time inside a span."""
    return [
        lot
        for lot in shop.find("lots", machine_id=machine)
        if lot["opened_at"] < span[1] and (lot["closed_at"] or 1 << 40) > span[0]
    ]


def working_noon(day: date) -> int:
    """Noon of a day as a minute."""
    return int(datetime.combine(day, time(12), ZONE).timestamp()) // 60
