"""What every planted story has in common: where it may step in, and how it names what it did.

A story is one weakness or one look-alike. It steps in at up to three points of the simulation and
says at the end which rows a reader should find, or must not.
"""

from abc import ABC, abstractmethod
from collections.abc import Iterable
from datetime import date, timedelta
from itertools import pairwise

from witnessmark.practice.answer_key import LookAlike, Weakness
from witnessmark.practice.history import Check, History, Run
from witnessmark.practice.model import Plant
from witnessmark.practice.shift_calendar import FIRST_DAY, Shift, instant
from witnessmark.practice.shop import Habits, Row

INTERVAL_LIMIT_MIN = 132
"""The plan's 120 minutes and their grace of a tenth."""


class Story(ABC):
    """One planted weakness or look-alike; each step is optional."""

    def habits(self) -> Habits:
        """What the simulation itself does differently."""
        return Habits()

    def at_machines(self, plant: Plant) -> None:  # noqa: B027  # most stories need one step
        """Changes what happened at the machines: states, runs, checks, who was there."""

    def on_record(self, plant: Plant) -> None:  # noqa: B027
        """Changes what was written down of it: rows of checks, lots, holds, plans, counts."""

    def on_board(self, plant: Plant) -> None:  # noqa: B027
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
    released = run.setup["released_at"] if run.setup else run.start
    end = run.end or history.end
    first = max(released, run.start) if run.setup is None else released
    inside = sorted({check.at for check in checks if first < check.at <= end})
    clock = history.running_at
    return [(a, b, clock(b) - clock(a)) for a, b in pairwise([first, *inside, end]) if a < b]


def without(row: Row, *names: str) -> Row:
    """Empties columns of a row."""
    for name in names:
        row[name] = None
    return row
