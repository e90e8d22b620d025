"""What every planted story has in common: where it may step in, and how it names what it did.

A story is one weakness or one look-alike. It steps in at up to three points of the simulation and
says at the end which rows a reader should find, or must not.
"""

from abc import ABC, abstractmethod
from collections.abc import Iterable
from datetime import date, timedelta
from itertools import pairwise

from witnessmark.practice.answer_key import LookAlike, Weakness
from witnessmark.practice.checking import CHALLENGE
from witnessmark.practice.history import Check, History, Run
from witnessmark.practice.model import Plant
from witnessmark.practice.shift_calendar import FIRST_DAY, Shift, instant
from witnessmark.practice.shop import Habits, Row

INTERVAL_LIMIT_MIN = 132
"""The plan's 120 minutes and their grace of a tenth."""


RESTART_MIN = 30
SHORT_MIN = 10
"""Shorter running without anybody put down does not count; at a shift's edge so much does not."""


class Story(ABC):
    """One planted weakness or look-alike; each step is optional."""

    def habits(self) -> Habits:
        """What the simulation itself does differently."""
        return Habits()

    def at_machines(self, plant: Plant) -> None:  # noqa: B027  # most stories need one step
        """Changes what happened at the machines: states, runs, checks, who was there."""

    def on_record(self, plant: Plant) -> None:  # noqa: B027  # likewise
        """Changes what was written down of it: rows of checks, lots, holds, plans, counts."""

    def on_board(self, plant: Plant) -> None:  # noqa: B027  # likewise
        """Changes what the plant tells itself: board, actions, handovers."""

    @abstractmethod
    def told(self, plant: Plant) -> Weakness | LookAlike:
        """What is to be found, once the plant is complete."""


def ref(*values: object) -> str:
    """Key values as a ref."""
    return "/".join(str(value) for value in values)


def utc(at: int) -> str:
    """A minute as it stands in a ref."""
    return f"{instant(at):%Y-%m-%dT%H:%MZ}"


def week_ref(week: int) -> str:
    """A week of the period (from 0) by its number in the year, as it stands in a ref."""
    year, number, _ = day_of(week, 0).isocalendar()
    return f"{year}-W{number:02}"


def day_of(week: int, weekday: int) -> date:
    """A day of the period by its week (from 0) and weekday (Monday is 0)."""
    return FIRST_DAY + timedelta(days=7 * week + weekday)


def shift_of(plant: Plant, area: str, day: date, name: str) -> Shift:
    """A worked shift of an area.

    Raises:
        StopIteration: It is not worked.
    """
    shifts = plant.shop.calendar.shifts[area]
    return next(shift for shift in shifts if (shift.day, shift.name) == (day, name))


def run_at(history: History, at: int) -> Run:
    """The run that is on a machine at a minute, or that ended last before it."""
    return [run for run in history.runs if run.start <= at][-1]


def checks_of(history: History, run: Run) -> list[Check]:
    """The checks of a run in order of time."""
    return sorted((c for c in history.checks if c.run is run), key=lambda check: check.at)


def gaps_of(history: History, run: Run, checks: Iterable[Check]) -> list[tuple[int, int, int]]:
    """Stretches of a run between checks: from, to, and the running minutes in between."""
    released = run.record["released_at"] if run.record else run.start
    first, end = max(released, run.start), run.end or history.end
    inside = sorted({c.at for c in checks if first < c.at <= end and c.kind != CHALLENGE})
    clock = history.running_at
    return [(a, b, clock(b) - clock(a)) for a, b in pairwise([first, *inside, end]) if a < b]


def without(row: Row, *names: str) -> Row:
    """Empties columns of a row."""
    for name in names:
        row[name] = None
    return row


def is_up(history: History, at: int) -> bool:
    """Whether a machine runs at a minute and on from it."""
    state = history.state_at(at)
    return state is not None and state["state"] == "running"


def overdue_at(history: History, changes: Iterable[int], line: str | None = None) -> list[int]:
    """The changes at which a running machine was past its interval.

    Args:
        history: The machine.
        changes: Minutes of the changes of shift.
        line: Only checks with this line of the plan count; None: all.
    """
    clock, found = history.running_at, []
    for at in changes:
        run = run_at(history, at)
        checks = [c for c in checks_of(history, run) if line not in c.left_out]
        gaps = gaps_of(history, run, checks)
        late = any(a < at < b and clock(at) - clock(a) > INTERVAL_LIMIT_MIN for a, b, _ in gaps)
        if late and is_up(history, at):
            found.append(at)
    return found


def unattended_starts(history: History, run: Run, shift: Shift, allowed_min: int) -> list[int]:
    """Where a run was left alone in a shift without an operator, for longer than is allowed.

    A standstill of the restart threshold parts two such times; a shorter one does not.
    """
    first, last = max(run.start, shift.start), min(run.end or history.end, shift.end)
    ran: list[tuple[int, int]] = []
    for state in history.states:
        start, end = max(state["start_at"], first), min(state["end_at"], last)
        if state["state"] == "running" and start < end:
            if ran and start - ran[-1][1] < RESTART_MIN:
                ran[-1] = (ran[-1][0], end)
            else:
                ran.append((start, end))
    return [start for start, end in ran if end - start > allowed_min]


def bare_stretches(plant: Plant, history: History, shift: Shift) -> list[int]:
    """Starts of the stretches of a shift in which a machine ran and nobody was put to it."""
    put = sorted(
        (row["start_at"], row["end_at"])
        for row in plant.shop.find("allocations", machine_or_group=history.machine.id)
        if row["start_at"] < shift.end and row["end_at"] > shift.start
    )
    found = []
    for state in history.states:
        start, end = max(state["start_at"], shift.start), min(state["end_at"], shift.end)
        if state["state"] != "running" or start >= end:
            continue
        edges = [start, *(edge for span in put for edge in span if start < edge < end), end]
        for a, b in pairwise(edges):
            alone = not any(s <= a and b <= e for s, e in put)
            at_edge = a == shift.start or b == shift.end
            if alone and (b - a > SHORT_MIN or (b - a == SHORT_MIN and not at_edge)):
                found.append(a)
    return found
