"""Places the checks of every run: first-off, patrols, restarts, last-off, as the plan asks.

A patrol is made well inside its interval of running time, by the operator of the machine, at a
minute in which the machine runs and nobody is on a break. In a night without an operator a
permitted machine is visited in time; on an open one the neighbour comes when he can. This module
writes no rows of checks: weaknesses may still change what happened.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from heapq import heappop, heappush

from witnessmark.practice.floor import BY_ID, LIGHTS_OUT, plan_on
from witnessmark.practice.history import Check, DueCheck, History, Run
from witnessmark.practice.shift_calendar import Shift, local_day
from witnessmark.practice.shop import Shop, between
from witnessmark.practice.staffing import Staff, allocate, is_open_night

SOON, LATE, LAST_MIN = 82, 116, 118
EARLIEST = 20
NEIGHBOUR_LATE = (142, 205)
CHALLENGE = "challenge"
FIRST_FAILURE_DAY, FAILURE_EVERY_DAYS = 16, 13
NEIGHBOUR = "operator 1 of T1"
LAB_AREA, LAB = "T2", "lab"
"""First-offs of this area are measured in the laboratory, whose terminal has its own clock."""


@dataclass(frozen=True)
class Failure:
    """A failed check and the good one after the correction."""

    failed: Check
    closing: Check


class Inspector:
    """Places the checks of one machine.

    Args:
        shop: Gives draws and diaries, and receives the allocation of each visit.
        staff: Who is there.
        history: What ran; its checks are filled in.
    """

    def __init__(self, shop: Shop, staff: Staff, history: History) -> None:
        self.shop, self.staff, self.history = shop, staff, history
        self.machine = history.machine
        self._rng = shop.rng("checking", history.machine.id)

    def inspect(self) -> Iterator[int]:
        """Places every check of the machine.

        Yields:
            Before each patrol, the minute until which it must be done: the caller goes on with the
            machine that is the most urgent, as an operator does.
        """
        for run in self.history.runs:
            if run.setup is not None:
                self._first_off(run, run.setup["first_off_at"])
            for due in run.asked:
                self.add(run, due)
            yield from self._patrol(run)
            if run.last_off is not None:
                self.add(run, run.last_off)
        if self.machine.id in LIGHTS_OUT:
            self._challenge()
        self.history.checks.sort(key=lambda check: check.at)

    def add(self, run: Run, due: DueCheck) -> Check:
        """Adds a check as planned."""
        check = Check(
            self.shop.new_id("C"),
            run,
            due.at,
            due.kind,
            due.person,
            taken_at=due.at - between(self._rng, 3, 5),
            entered_at=due.at + between(self._rng, 2, 7),
        )
        self.history.checks.append(check)
        return check

    def _first_off(self, run: Run, at: int) -> None:
        setter = str((run.setup or {})["setter"])
        check = self.add(run, DueCheck(at, "first-off", setter))
        check.entered_at = at + 2
        if self.machine.area == LAB_AREA:
            check.extract = LAB

    def _challenge(self) -> None:
        """The automatic stop is tried in every late shift, before the night that relies on it."""
        for shift in self.shop.calendar.shifts[self.machine.area]:
            if shift.name != "late":
                continue
            person = self.staff.operator(self.machine.id, shift)
            for at in range(shift.start + 40, shift.end - 30):
                free = self.shop.diary.is_free(person, at - 4, at + 2)
                if free and self._is_fit(at, shift):
                    started = [run for run in self.history.runs if run.start <= at]
                    self.shop.diary.take(person, at - 4, at + 2)
                    self.add(started[-1], DueCheck(at, CHALLENGE, person))
                    break

    # -- patrols

    def _patrol(self, run: Run) -> Iterator[int]:
        clock = self.history.running_at
        end = clock(run.end or self.history.end)
        asked = sorted(clock(due.at) for due in run.asked)
        last = clock(run.start)
        while end > last + LAST_MIN:
            soon = [at for at in asked if last < at <= last + LATE]
            if soon:
                last = soon[-1]
                continue
            yield self.history.minute_of(last + LATE)
            check = self._next_patrol(run, last)
            last = clock(check.at)
            asked = [at for at in asked if at > last]

    def _next_patrol(self, run: Run, last: int) -> Check:
        """By the operator, or by the setter where the operator is busy at his other machines."""
        candidates = self._candidates(last)
        for holder in (self.staff.operator, self._setter):
            for running in candidates:
                at = self.history.minute_of(running)
                shift = self._shift(at)
                if shift is None or self._is_open(shift) or not self._is_fit(at, shift):
                    continue
                person = holder(self.machine.id, shift)
                if self.shop.diary.is_free(person, at - 4, at + 2):
                    if is_open_night(self.shop, self.machine.id, shift):
                        allocate(self.shop, person, self.machine.id, (at - 10, at + 5), "operator")
                    self.shop.diary.take(person, at - 4, at + 2)
                    return self.add(run, DueCheck(at, "patrol", person))
        return self._late_patrol(run, last)

    def _setter(self, machine: str, shift: Shift) -> str:
        return self.staff.setter(BY_ID[machine].area, shift)

    def _candidates(self, last: int) -> list[int]:
        """Running minutes at which a patrol may come: in time by preference, else earlier."""
        usual = list(range(last + SOON, last + LATE + 1))
        self._rng.shuffle(usual)
        return usual + list(range(last + SOON - 1, last + EARLIEST, -1))

    def _shift(self, at: int) -> Shift | None:
        return self.shop.calendar.shift_at(self.machine.area, at)

    def _is_open(self, shift: Shift) -> bool:
        """Whether nobody is there although no permission says so."""
        alone = is_open_night(self.shop, self.machine.id, shift)
        return alone and self.machine.id not in LIGHTS_OUT

    def _is_fit(self, at: int, shift: Shift) -> bool:
        """Whether a check can be done then: nobody on a break, no change of shift, running."""
        in_break = shift.break_start - 4 <= at <= shift.break_end + 8
        inside = shift.start + 12 <= at <= shift.end - 8
        return inside and not in_break and self.history.is_running(at - 7, at + 2)

    def _late_patrol(self, run: Run, last: int) -> Check:
        """On an open night: the neighbour's round, or the morning's first one.

        Raises:
            LookupError: It is no open night; the plant could not keep its own plan.
        """
        due = [self._shift(self.history.minute_of(last + minutes)) for minutes in (EARLIEST, LATE)]
        if not any(shift is not None and self._is_open(shift) for shift in due):
            raise LookupError((self.machine.id, run.id, last))
        first = last + between(self._rng, *NEIGHBOUR_LATE)
        for running in range(first, first + 600):
            at = self.history.minute_of(running)
            shift = self._shift(at)
            if shift is None or not self._is_fit(at, shift):
                continue
            alone = self._is_open(shift)
            place = NEIGHBOUR if alone else None
            person = (
                self.staff.person(place, shift)
                if place
                else self.staff.operator(self.machine.id, shift)
            )
            if self.shop.diary.is_free(person, at - 4, at + 2):
                self.shop.diary.take(person, at - 4, at + 2)
                return self.add(run, DueCheck(at, "patrol", person))
        raise LookupError((self.machine.id, run.id, last))


def inspect_all(shop: Shop, staff: Staff, histories: dict[str, History]) -> None:
    """Places the checks of every machine that has a control plan.

    Raises:
        LookupError: A patrol finds no fitting minute outside an open night.
    """
    rounds = [Inspector(shop, staff, history).inspect() for history in histories.values()]
    urgent = [(0, number) for number in range(len(rounds))]
    while urgent:
        _, number = heappop(urgent)
        until = next(rounds[number], None)
        if until is not None:
            heappush(urgent, (until, number))


def fail_check(shop: Shop, staff: Staff, history: History, check: Check) -> Failure | None:
    """Makes a patrol fail; the setter, else the leader, corrects and a good check follows.

    Args:
        shop: Receives the stop, the event and the setter's allocation.
        staff: Who is the setter.
        history: History of the check's machine.
        check: The patrol; it must be attended.

    Returns:
        The failure, or None where the hour after the check has no room for a correction.
    """
    shift = shop.calendar.shift_at(history.machine.area, check.at)
    until = check.at + 60
    if shift is None or not history.is_running(check.at - 7, until):
        return None
    area, diary = history.machine.area, shop.diary
    helpers = (staff.setter(area, shift), staff.leader(area, shift))
    free = [who for who in helpers if diary.is_free(who, check.at, check.at + 40)]
    half_ends = (shift.break_start, shift.end)
    clear = all(not check.at - 6 <= edge <= until for edge in (*half_ends, shift.break_end))
    alone = not any(check.at < other.at <= until for other in history.checks)
    if not (clear and alone and free):
        return None
    return _correct(shop, history, check, free[0])


def _correct(shop: Shop, history: History, check: Check, setter: str) -> Failure:
    plan = plan_on(check.run.part, history.machine.op, local_day(check.at))
    upper = plan.lines[0].limits[1] or Decimal(0)
    check.result, check.bad = "fail", {plan.lines[0].no: upper + Decimal("0.007")}
    stop, restart = check.at + 4, check.at + 12
    history.insert_stop(stop, restart, "adjustment")
    shop.diary.take(setter, stop - 4, restart + 16)
    allocate(shop, setter, history.machine.id, (check.at, restart + 16), "setter")
    shop.add("stoppages", stop_id=shop.new_id("ST"), machine_id=history.machine.id,
             start_at=stop, end_at=restart, reason="adjustment", planned=False,
             acknowledged_at=stop + 1)  # fmt: skip
    shop.add("process_events", event_id=shop.new_id("EV"), machine_id=history.machine.id,
             happened_at=stop + 4, kind="offset", reference=check.id, done_by=setter)  # fmt: skip
    closing = Check(shop.new_id("C"), check.run, restart + 8, "restart", setter,
                    restart + 4, restart + 11)  # fmt: skip
    history.checks.append(closing)
    history.checks.sort(key=lambda one: one.at)
    return Failure(check, closing)


def contained_failures(
    shop: Shop, staff: Staff, histories: dict[str, History], machines: tuple[str, ...]
) -> list[Failure]:
    """One failed and corrected patrol per machine, a fortnight after each other."""
    failures = []
    days = shop.calendar.days()[FIRST_FAILURE_DAY::FAILURE_EVERY_DAYS]
    for machine, day in zip(machines, days, strict=False):
        failure = _first_failure(shop, staff, histories[machine], day)
        if failure is not None:
            failures.append(failure)
    return failures


def _first_failure(shop: Shop, staff: Staff, history: History, since: date) -> Failure | None:
    """Lets the first patrol fail that lies in daylight and has room for a correction."""
    for check in history.checks:
        shift = shop.calendar.shift_at(history.machine.area, check.at)
        by_day = shift is not None and shift.name != "night" and not shift.overtime
        if check.kind == "patrol" and by_day and local_day(check.at) >= since:
            failure = fail_check(shop, staff, history, check)
            if failure is not None:
                return failure
    return None
