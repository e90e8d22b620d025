"""Stories in which product becomes suspect: half held, without reaction, restarted unproven.

All of them lie on machines whose parts keep their container to the customer, so that the reader
can follow each bin.
"""

from collections.abc import Iterator
from decimal import Decimal

from witnessmark.practice.answer_key import Weakness, refs
from witnessmark.practice.checking import Failure, fail_check
from witnessmark.practice.floor import PATROL_MIN, plan_on
from witnessmark.practice.history import Check, History, Run
from witnessmark.practice.model import Plant
from witnessmark.practice.shift_calendar import local_day
from witnessmark.practice.shop import Row
from witnessmark.practice.weaknesses.night_row import NIGHTS, ROW, night
from witnessmark.practice.weaknesses.story import (
    Story,
    checks_of,
    day_of,
    gaps_of,
    ref,
)
from witnessmark.practice.weaknesses.suspects import (
    Window,
    consequences,
    failure_window,
    reached,
)

FIRST_LINE = "10"
RESTART_WITHIN_MIN = 15
CONTAINER_PARTS = frozenset({"1061", "1078", "1119"})


class HalfHeld(Story):
    """A check fails on the morning after a night alone; only the bin at the machine is held."""

    def __init__(self) -> None:
        self._failure: Failure | None = None

    def at_machines(self, plant: Plant) -> None:
        """The first morning check fails, once, where the night's last check was long ago."""
        for history, check in self._mornings(plant):
            self._failure = fail_check(plant.shop, plant.staff, history, check)
            if self._failure is not None:
                start = failure_window(history, check, FIRST_LINE).start
                change = start + (check.at - start) // 2
                plant.bin_changes.setdefault(check.run.id, []).append(change)
                return
        raise LookupError(type(self).__name__)

    def _mornings(self, plant: Plant) -> Iterator[tuple[History, Check]]:
        for day in NIGHTS[6:]:
            shift = night(plant, day)
            for history in (plant.histories[machine] for machine in ROW):
                later = [c for c in history.checks if c.at >= shift.end and c.kind == "patrol"]
                if not later or later[0].at > shift.end + 120:
                    continue
                check = later[0]
                before = [c for c in checks_of(history, check.run) if c.at < check.at]
                if check.run.part in CONTAINER_PARTS and before and before[-1].at < shift.end:
                    yield history, check

    @property
    def window(self) -> Window:
        """The suspect window of the failure."""
        if self._failure is None:
            raise LookupError(type(self).__name__)
        return self._window

    def on_record(self, plant: Plant) -> None:
        """The open bin is held within the hour and scrapped later; the others go their way."""
        if self._failure is None:
            raise LookupError(type(self).__name__)
        failed = self._failure.failed
        history = plant.histories[failed.run.machine.id]
        self._window = failure_window(history, failed, FIRST_LINE)
        lots = reached(plant, self._window)
        open_lot = next(
            lot for lot in lots
            if lot["opened_at"] <= failed.at and (lot["closed_at"] or failed.at) >= failed.at
        )  # fmt: skip
        plant.shop.add(
            "holds",
            hold_id=plant.shop.new_id("H"),
            trigger_ref=failed.id,
            lot_no=open_lot["lot_no"],
            qty=open_lot["qty"],
            placed_at=failed.at + 25,
            disposition="scrap",
            disposed_at=failed.at + 2 * 24 * 60,
            disposed_by=plant.staff.leader("T1", night(plant, NIGHTS[0])),
            qty_disposed=open_lot["qty"],
        )
        drop_shipment(plant, open_lot)

    def told(self, plant: Plant) -> Weakness:
        """The window, and what of it was shipped."""
        return Weakness(
            "suspect window half held",
            "A morning check fails after a night alone. The window goes back to the night's last "
            "good check; only the bin at the machine is held, the earlier ones are shipped.",
            refs(consequences(plant, [self.window])),
        )


def drop_shipment(plant: Plant, lot: Row) -> None:
    """Takes a scrapped lot off its truck and out of the customer's order."""
    gone = plant.shop.find("shipment_lines", lot_no=lot["lot_no"])
    plant.shop.discard("shipment_lines", gone)
    for row in gone:
        order = plant.shop.find("demand_lines", customer_order=row["customer_order"])[0]
        order["qty"] -= row["qty"]
    lot["moved_at"] = None


class NoReaction(Story):
    """A value stands outside its limit on two sheets marked as passed; nothing follows."""

    def __init__(self) -> None:
        self._checks: list[tuple[History, Check]] = []

    def at_machines(self, plant: Plant) -> None:
        """Finds two quiet hours and puts the value there."""
        for machine, week in (("T1-05", 3), ("T1-06", 4)):
            history = plant.histories[machine]
            check = next(
                c for c in history.checks
                if c.kind == "patrol" and local_day(c.at) >= day_of(week, 0)
                and c.run.part in CONTAINER_PARTS and is_quiet_after(plant, history, c)
            )  # fmt: skip
            line = plan_on(check.run.part, history.machine.op, local_day(check.at)).lines[0]
            upper = line.limits[1] or Decimal(0)
            check.bad = {line.no: upper + Decimal("0.006")}
            self._checks.append((history, check))

    def told(self, plant: Plant) -> Weakness:
        """The two measurements and their windows."""
        windows = [failure_window(h, check, FIRST_LINE) for h, check in self._checks]
        found = [("reaction-missing", ref(c.id, FIRST_LINE, 1)) for _, c in self._checks]
        return Weakness(
            "value out of limit without reaction",
            "Two patrols record a diameter outside its limit as passed; no stop, hold, concern or "
            "second check follows within the hour.",
            refs(found),
            refs(consequences(plant, windows)),
        )


def is_quiet_after(plant: Plant, history: History, check: Check) -> bool:
    """Whether the machine runs on for more than an hour with no stop and no other check."""
    until = check.at + 75
    alone = not any(check.at < other.at <= until for other in history.checks)
    failed = {f.failed.run.id for f in plant.failures}
    return alone and check.run.id not in failed and history.is_running(check.at, until)


class RestartUnverified(Story):
    """After a repair or an adjustment the machine runs on; its next check is the usual patrol."""

    MACHINES = ("T1-04", "T1-05", "T1-06", "T1-07")

    def __init__(self) -> None:
        self._restarts: list[tuple[History, Check, Row]] = []

    def at_machines(self, plant: Plant) -> None:
        """Leaves out a restart check where the next patrol still keeps the interval."""
        for history in (plant.histories[machine] for machine in self.MACHINES):
            stops = plant.shop.find("stoppages", machine_id=history.machine.id)
            for check in [c for c in history.checks if c.kind == "restart"]:
                stop = self._stop(stops, check)
                if stop is not None and self._may_go(history, check, stop):
                    history.checks.remove(check)
                    self._restarts.append((history, check, stop))
                    break
        if not self._restarts:
            raise LookupError(type(self).__name__)

    def _stop(self, stops: list[Row], check: Check) -> Row | None:
        asked = [
            stop
            for stop in stops
            if check.at - RESTART_WITHIN_MIN < stop["end_at"] < check.at
            and stop["reason"] in {"repair", "adjustment"}  # a repair lasts 40 minutes and more
        ]
        return asked[0] if asked else None

    def _may_go(self, history: History, check: Check, stop: Row) -> bool:
        run = check.run
        if run.part not in CONTAINER_PARTS or local_day(check.at) >= NIGHTS[0]:
            return False
        left = [c for c in checks_of(history, run) if c is not check]
        following = [c for c in left if c.at > stop["end_at"]]
        if not following or any(c.bad for c in left):
            return False
        clock = history.running_at
        late = clock(following[0].at) - clock(stop["end_at"]) > RESTART_WITHIN_MIN + 10
        kept = all(minutes < PATROL_MIN for _, _, minutes in gaps_of(history, run, left))
        return late and kept

    def told(self, plant: Plant) -> Weakness:
        """The stops and the windows after them."""
        windows = []
        for history, check, stop in self._restarts:
            later = [c for c in checks_of(history, check.run) if c.taken_at >= stop["end_at"]]
            windows.append(
                Window("restart", stop["stop_id"], check.run, stop["end_at"], stop["start_at"],
                       later[0].at)
            )  # fmt: skip
        found = [("restart-unverified", stop["stop_id"]) for _, _, stop in self._restarts]
        return Weakness(
            "restart without check",
            "After a repair or an adjustment no check was made within a quarter of an hour of "
            "running.",
            refs(found),
            refs(consequences(plant, windows)),
        )


class LastOffMissing(Story):
    """Runs end without their last-off, before the next set-up takes the machine."""

    WANTED = 2

    def __init__(self) -> None:
        self._runs: list[tuple[History, Run]] = []

    def at_machines(self, plant: Plant) -> None:
        """Leaves out the last-off of two ordinary runs."""
        history = plant.histories["T1-04"]
        failed = {f.failed.run.id for f in plant.failures}
        for run in history.runs:
            wanted = run.end_kind == "order-done" and local_day(run.start) >= day_of(6, 0)
            if wanted and run.id not in failed and len(self._runs) < self.WANTED:
                history.checks = [
                    c for c in history.checks if c.run is not run or c.kind != "last-off"
                ]
                self._runs.append((history, run))

    def told(self, plant: Plant) -> Weakness:
        """The runs, and the windows that stay open at their ends."""
        windows = [w for history, run in self._runs for w in self._windows(history, run)]
        return Weakness(
            "last-off missing",
            "Two runs ended in the ordinary way with no last-off before the next set-up.",
            refs([("last-off-missing", run.id) for _, run in self._runs]),
            refs(consequences(plant, windows)),
        )

    def _windows(self, history: History, run: Run) -> Iterator[Window]:
        end = run.end or history.end
        plan = plan_on(run.part, history.machine.op, local_day(end))
        for line in plan.lines:
            if "last-off" in line.kinds:
                good = [c for c in checks_of(history, run) if c.taken_at <= end]
                start = good[-1].taken_at
                yield Window("last-off", run.id, run, end, start, end, line.no)
