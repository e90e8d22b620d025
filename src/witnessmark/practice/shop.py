"""The working model while a plant is being simulated: its tables so far, ids, draws, diaries.

Rows are dicts in canonical column names whose instants are whole minutes (see `shift_calendar`).
This module knows nothing of what happens on a machine.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import Any
from zlib import crc32

import numpy as np

from witnessmark.practice.shift_calendar import Calendar, Overtime

Row = dict[str, Any]
"""One row in canonical columns; what a column holds is declared in `records/tables`."""

Rows = dict[str, list[Row]]


@dataclass(frozen=True)
class NightStop:
    """A machine stops itself in a night without an operator.

    Args:
        minutes_in: Minutes after the start of the night shift.
        stands_min: How long it stands; None: the run is over and it stands until the morning.
    """

    minutes_in: int
    stands_min: int | None


@dataclass(frozen=True)
class Habits:
    """What the plant does that its documents do not say; the healthy plant has none of it.

    Args:
        overtime: Overtime shifts beside the plant's ordinary few.
        open_nights: Machines whose operator is not there in the night shift of a day.
        night_stops: What stops by itself in such a night.
    """

    overtime: tuple[Overtime, ...] = ()
    open_nights: frozenset[tuple[str, date]] = frozenset()
    night_stops: dict[tuple[str, date], NightStop] = field(default_factory=dict)


class Diary:
    """Which minutes of a person are taken by hands-on work, so that nobody is in two places."""

    def __init__(self) -> None:
        self._taken: dict[str, set[int]] = defaultdict(set)

    def is_free(self, person: str, start: int, end: int) -> bool:
        """Whether the person has nothing to do from start to end, both included."""
        return self._taken[person].isdisjoint(range(start, end + 1))

    def take(self, person: str, start: int, end: int) -> None:
        """Marks the minutes from start to end, both included, as taken."""
        self._taken[person].update(range(start, end + 1))


class Shop:
    """Tables in the making, with their ids and random draws.

    Args:
        seed: Every draw comes from it.
        weeks: Length of the simulated period.
        habits: Departures from the documents that are simulated along.
        overtime: The ordinary overtime of the plant.
    """

    def __init__(
        self, seed: int, weeks: int, habits: Habits, overtime: Iterable[Overtime] = ()
    ) -> None:
        self.seed = seed
        self.habits = habits
        self.calendar = Calendar(weeks, (*overtime, *habits.overtime))
        self.tables: Rows = defaultdict(list)
        self.diary = Diary()
        self._numbers: dict[str, int] = defaultdict(int)

    def rng(self, *name: str) -> np.random.Generator:
        """A generator of its own for a name: a change in one place moves no draw elsewhere."""
        return np.random.default_rng([self.seed, crc32("/".join(name).encode())])

    def add(self, table: str, **values: object) -> Row:
        """Adds a row to a table and returns it."""
        row: Row = dict(values)
        self.tables[table].append(row)
        return row

    def new_id(self, prefix: str) -> str:
        """The next id with that prefix."""
        self._numbers[prefix] += 1
        return f"{prefix}-{self._numbers[prefix]:05}"

    def find(self, table: str, **values: object) -> list[Row]:
        """Rows of a table in which the given columns have the given values."""
        rows = self.tables[table]
        for name, value in values.items():
            rows = [row for row in rows if row.get(name) == value]
        return list(rows)

    def discard(self, table: str, unwanted: list[Row]) -> None:
        """Takes rows out of a table."""
        gone = {id(row) for row in unwanted}
        self.tables[table] = [row for row in self.tables[table] if id(row) not in gone]


def between(rng: np.random.Generator, low: int, high: int) -> int:
    """A whole number from low to high, both included."""
    return int(rng.integers(low, high + 1))
