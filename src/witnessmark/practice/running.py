"""Lets one machine run: orders, set-ups, stops, bar lots, in the order in which they happen.

Whatever a document wants attended is put into a slot in which its person is there, not on a break
and not busy at another machine. What happens in a night without an operator comes from `Habits`.
This module knows no check beyond the ones that an event asks for.
"""

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from witnessmark.practice.floor import DRILLING, Machine
from witnessmark.practice.history import DueCheck, History, Run
from witnessmark.practice.shift_calendar import Shift
from witnessmark.practice.shop import Row, Shop, between
from witnessmark.practice.staffing import Staff, allocate, is_open_night

STAGGER_MIN = 15
"""After a weekend an operator starts the machines one after the other."""
FOLLOW_ON_SHARE = 0.2
SHORTEST_MIN = 25
"""Least running time between two happenings; three jams then never fall into half an hour."""


@dataclass(frozen=True)
class StopKind:
    """A kind of stop: its reason, its length, the event it goes with, how often it comes."""

    reason: str
    least_min: int
    most_min: int
    weight: float
    event: str | None = None


STOP_KINDS = (
    StopKind("bar change", 2, 4, 0.45),
    StopKind("chip removal", 3, 8, 0.25),
    StopKind("jam", 3, 9, 0.15),
    StopKind("tool", 12, 20, 0.09, "tool-change"),
    StopKind("adjustment", 6, 10, 0.04, "offset"),
    StopKind("repair", 40, 90, 0.02, "repair"),
)
STOP_EVERY_MIN = 150
TO_THE_END = 1 << 30
LOT_HOURS = (16, 30)
ORDER_HOURS = (36, 84)
Person = Callable[[Shift], str]


class MachineSimulation:
    """Runs one machine through the period and leaves its history.

    Args:
        shop: Receives the rows of runs, set-ups, stoppages, events, material and allocations.
        staff: Who is there.
        machine: The machine.
    """

    def __init__(self, shop: Shop, staff: Staff, machine: Machine) -> None:
        self.shop, self.staff, self.machine = shop, staff, machine
        self.history = History(machine, shop.calendar.end)
        self._rng = shop.rng("running", machine.id)
        self._t = shop.calendar.start
        self._windows = shop.calendar.windows(machine.area)
        self._row_place = (int(machine.id[-2:]) - 1) % 4
        self._pieces = self._attended_pieces()
        self._piece_starts = [piece[0] for piece in self._pieces]
        self._material: Row | None = None
        self._run: Run | None = None
        self._ran = 0

    def simulate(self) -> History:
        """Runs order after order until the period ends."""
        parts = self.machine.parts
        number = between(self._rng, 0, len(parts) - 1)
        self._stand_until(self._windows[0][0] + self._start_delay())
        self._make_run(parts[number], None)
        while self._t < self._windows[-1][1]:
            number += 1
            setup = self._set_up(parts[number % len(parts)])
            if setup is None:
                break
            self._make_run(parts[number % len(parts)], setup)
        self._stand_until(self.history.end)
        return self.history

    def _start_delay(self) -> int:
        return 5 + STAGGER_MIN * self._row_place

    def _attended_pieces(self) -> list[tuple[int, int, Shift]]:
        """Stretches in which the machine has its operator, clear of breaks and shift changes."""
        pieces = []
        opened = {start for start, _ in self._windows}
        for shift in self.shop.calendar.shifts[self.machine.area]:
            if is_open_night(self.shop, self.machine.id, shift):
                continue
            lead = self._start_delay() + 30 if shift.start in opened else 12
            pieces.append((shift.start + lead, shift.break_start - 8, shift))
            pieces.append((shift.break_end + 8, shift.end - 22, shift))
        return pieces

    def _slot(self, minutes: int, who: Person) -> tuple[int, Shift] | None:
        """The next attended slot of that length in which the person is free."""
        first = max(0, bisect_right(self._piece_starts, self._t) - 1)
        for start, end, shift in self._pieces[first:]:
            for at in range(max(start, self._t + 2), end - minutes):
                if self.shop.diary.is_free(who(shift), at - 6, at + minutes + 6):
                    return at, shift
        return None

    def _operator(self, shift: Shift) -> str:
        return self.staff.operator(self.machine.id, shift)

    def _setter(self, shift: Shift) -> str:
        return self.staff.setter(self.machine.area, shift)

    # -- standing and running

    def _stand_until(self, until: int, reason: str = "waiting for setter") -> None:
        self._pass_time(until, "stopped", reason)

    def _pass_time(self, until: int, state: str, reason: str | None) -> None:
        """Passes time in a state inside the worked shifts, and as weekend outside them."""
        while self._t < until:
            inside, edge = self._edge()
            to = min(until, edge)
            kind = (state, reason) if inside else ("stopped", "weekend")
            self.history.add_state(self._t, to, *kind)
            self._t = to

    def _edge(self) -> tuple[bool, int]:
        """Whether the area works now, and until when that stays so."""
        for start, end in self._windows:
            if self._t < start:
                return False, start
            if self._t < end:
                return True, end
        return False, self.history.end

    def _run_on(self, until: int | None = None, minutes: int = 0) -> bool:
        """Runs to a minute, or for running minutes; False where the machine stopped for good."""
        left = minutes
        while (left > 0) if until is None else (self._t < until):
            inside, edge = self._edge()
            if not inside:
                if edge >= self.history.end:
                    return False
                self._weekend(edge)
                continue
            to = min(edge, self._t + left if until is None else until)
            stop = self._night_stop(to)
            to = to if stop is None else stop[0]
            self.history.add_state(self._t, to, "running", None)
            left -= to - self._t
            self._ran += to - self._t
            self._t = to
            if stop is not None:
                if stop[1] is None:
                    return False
                self._stop_alone(stop[1])
        if until is not None and self._t != until:
            raise LookupError((self.machine.id, self._t, until))
        return True

    def _weekend(self, opens: int) -> None:
        """Stands over closed shifts; the operator restarts the row machine by machine."""
        shift = self.shop.calendar.shift_at(self.machine.area, opens)
        if shift is None or self._run is None:
            raise LookupError((self.machine.id, opens))
        person, at = self._operator(shift), opens + self._start_delay()
        while not self.shop.diary.is_free(person, at - 3, at + 10):
            at += 1
        closed = self._t
        self.history.add_state(closed, at, "stopped", "weekend")
        self._t = at
        self._write_stop(closed, at, "weekend", planned=True)
        self.shop.diary.take(person, at - 3, at + 10)
        check = DueCheck(at + between(self._rng, 6, 8), "restart", person)
        self._run.asked.append(check)

    def _night_stop(self, to: int) -> tuple[int, int | None] | None:
        """The stop by itself that falls between now and a minute: when, and for how long."""
        for (machine, day), stop in self.shop.habits.night_stops.items():
            if machine != self.machine.id:
                continue
            nights = (s for s in self.shop.calendar.shifts[self.machine.area] if s.day == day)
            for shift in nights:
                at = shift.start + stop.minutes_in
                if shift.name == "night" and self._t < at < to:
                    return at, stop.stands_min
        return None

    def _stop_alone(self, minutes: int) -> None:
        """The machine stands in an open night until the neighbour's next round."""
        start, self._t = self._t, self._t + minutes
        self.history.add_state(start, self._t, "stopped", "jam")
        row = self._write_stop(start, self._t, "jam")
        row["acknowledged_at"] = None

    # -- what happens

    def _write_stop(self, start: int, end: int, reason: str, *, planned: bool = False) -> Row:
        return self.shop.add(
            "stoppages",
            stop_id=self.shop.new_id("ST"),
            machine_id=self.machine.id,
            start_at=start,
            end_at=end,
            reason=reason,
            planned=planned,
            acknowledged_at=min(start + between(self._rng, 1, 3), end),
        )

    def _write_event(self, at: int, kind: str, person: str) -> None:
        self.shop.add(
            "process_events",
            event_id=self.shop.new_id("EV"),
            machine_id=self.machine.id,
            happened_at=at,
            kind=kind,
            reference=None,
            done_by=person,
        )

    def _draw_stop(self) -> StopKind:
        weights = [kind.weight for kind in STOP_KINDS]
        return STOP_KINDS[int(self._rng.choice(len(STOP_KINDS), p=weights))]

    def _stop(self, run: Run) -> bool:
        """One stop in its slot; with an event, the setter comes and checks the restart."""
        kind = self._draw_stop()
        minutes = between(self._rng, kind.least_min, kind.most_min)
        who, after = (self._setter, 16) if kind.event else (self._operator, 2)
        slot = self._slot(minutes + after, who)
        if slot is None:
            return self._run_on(minutes=TO_THE_END)
        if not self._run_on(until=slot[0]):
            return False
        start, end, person = slot[0], slot[0] + minutes, who(slot[1])
        self._t = end
        self.history.add_state(start, end, "stopped", kind.reason)
        self._write_stop(start, end, kind.reason)
        if kind.event:
            self.shop.diary.take(person, start - 6, end + after)
            allocate(self.shop, person, self.machine.id, (start - 6, end + after), "setter")
            self._write_event(start + minutes // 2, kind.event, person)
            run.asked.append(DueCheck(end + between(self._rng, 6, 10), "restart", person))
        return self._run_on(minutes=SHORTEST_MIN)

    def _change_lot(self, run: Run) -> bool:
        """A new bar lot, loaded and checked by the operator."""
        slot = self._slot(16, self._operator)
        if slot is None:
            return self._run_on(minutes=TO_THE_END)
        if not self._run_on(until=slot[0]):
            return False
        start, end, person = slot[0], slot[0] + 4, self._operator(slot[1])
        self._t = end
        self.history.add_state(start, end, "stopped", "bar lot change")
        self._write_stop(start, end, "bar lot change")
        self.shop.diary.take(person, start - 4, end + 10)
        self._write_event(start + 2, "material-change", person)
        self._take_lot(start + 2)
        run.asked.append(DueCheck(end + between(self._rng, 6, 8), "material-change", person))
        return self._run_on(minutes=SHORTEST_MIN)

    def _take_lot(self, at: int) -> None:
        if self.machine.process == DRILLING:
            return
        self._end_lot(at)
        self._material = self.shop.add(
            "material_uses",
            machine_id=self.machine.id,
            lot_no=self.shop.new_id("BL"),
            start_at=at,
            end_at=None,
            mass_kg=None,
            heat_no=f"H{between(self._rng, 41000, 41999)}",
            booked_how="scan",
        )

    def _end_lot(self, at: int) -> None:
        if self._material is not None:
            self._material["end_at"] = at
        self._material = None

    # -- runs and set-ups

    def _make_run(self, part: str, setup: Row | None) -> None:
        run = Run(self.machine, part, self._t, setup)
        self._run = run
        self.history.runs.append(run)
        self._take_lot(self._t)
        ended = self._run_order(run)
        self._write_orders(run)
        if ended == "open":
            return
        run.end, run.end_kind = self._t, ended
        run.orders[-1].update(end_at=run.end, end_kind=run.end_kind)
        self._end_lot(self._t)

    def _run_order(self, run: Run) -> Literal["open", "auto-stop", "order-done"]:
        finish = self._ran + 60 * between(self._rng, *ORDER_HOURS)
        lot_due = self._ran + 60 * between(self._rng, *LOT_HOURS)
        stop_due = self._ran + self._until_stop()
        goes_on = True
        while goes_on and self._ran < finish:
            goes_on = self._run_on(minutes=max(1, min(finish, lot_due, stop_due) - self._ran))
            if goes_on and self._ran >= lot_due:
                has_lots = self.machine.process != DRILLING
                goes_on = self._change_lot(run) if has_lots else True
                lot_due = self._ran + 60 * between(self._rng, *LOT_HOURS)
            elif goes_on and self._ran >= stop_due:
                goes_on = self._stop(run)
                stop_due = self._ran + self._until_stop()
        if goes_on:
            slot = self._slot(16, self._operator)
            if slot is not None and self._run_on(until=slot[0]):
                person = self._operator(slot[1])
                self.shop.diary.take(person, self._t - 1, self._t + 8)
                run.last_off = DueCheck(self._t + between(self._rng, 3, 6), "last-off", person)
                return "order-done"
        return "open" if self._t >= self._windows[-1][1] else "auto-stop"

    def _until_stop(self) -> int:
        return max(SHORTEST_MIN, int(self._rng.exponential(STOP_EVERY_MIN)))

    def _write_orders(self, run: Run) -> None:
        """One row of `runs`, or two where the next order asked for the same part."""
        cuts = [run.start]
        if self._rng.random() < FOLLOW_ON_SHARE:
            first, last = self.history.running_at(run.start), self.history.running_at(self._t)
            cuts.append(self.history.minute_of((first + last) // 2))
        for start, end in zip(cuts, [*cuts[1:], None], strict=True):
            order = self.shop.add(
                "runs",
                run_id=self.shop.new_id("R"),
                machine_id=self.machine.id,
                part_no=run.part,
                op=self.machine.op,
                order_no=self.shop.new_id("O"),
                tool_id=f"TS-{run.part}",
                start_at=start,
                end_at=end,
                end_kind="order-done" if end else None,
            )
            run.orders.append(order)

    def _set_up(self, part: str) -> Row | None:
        """A set-up with its first-off and release; None where the period ends before it."""
        minutes = between(self._rng, 50, 95)
        self._stand_until(self._t + 12)
        slot = self._slot(minutes + 30, self._setter)
        if slot is None:
            return None
        start, person = slot[0], self._setter(slot[1])
        self._stand_until(start)
        self._close_auto_stop(start, self._operator(slot[1]))
        end = start + minutes
        done = end + between(self._rng, 6, 9)
        released = done + between(self._rng, 5, 8)
        self.history.add_state(start, released + 1, "setup", "set-up")
        self._t = released + 1
        self.shop.diary.take(person, start - 6, released + 6)
        span = (start - 6, released + 8)
        allocate(self.shop, person, self.machine.id, span, "setter")
        setup = self.shop.add(
            "setups",
            setup_id=self.shop.new_id("SU"),
            machine_id=self.machine.id,
            from_part=self.history.runs[-1].part,
            to_part=part,
            kind="part",
            start_at=start,
            end_at=end,
            setter=person,
            released_at=released,
            released_by=self.staff.leader(self.machine.area, slot[1]),
        )
        setup["first_off_at"] = done
        return setup

    def _close_auto_stop(self, set_up_at: int, operator: str) -> None:
        """A run that ended by itself at night: seen in the morning, its last-off after that."""
        run = self.history.runs[-1]
        if run.end is not None and run.end_kind == "auto-stop":
            row = self._write_stop(run.end, set_up_at, "bar end")
            row["acknowledged_at"] = set_up_at
            run.last_off = DueCheck(set_up_at + 18, "last-off", operator)
