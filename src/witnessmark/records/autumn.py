"""The hour that occurs twice: which of the two a written time means, where the rows decide it.

Neighbours in file order decide when the column never runs backwards among the times that are
certain (in the whole file, or machine by machine); so does the other end of the same row. What
they leave open stays open. Pure: rows in, choices out; this module knows no SQL.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import accumulate, groupby, pairwise
from operator import and_

from witnessmark.records.zones import Transition


@dataclass(frozen=True)
class Twice:
    """A written local time that occurred twice, and the certain times around it in the file.

    Args:
        row: Position of its row.
        local: As written.
        before: Last certain time before it in file order, in UTC.
        after: First certain time behind it, in UTC.
        group: Rows of one group follow each other.
    """

    row: int
    local: datetime
    before: datetime | None
    after: datetime | None
    group: str = ""


def both_readings(local: datetime, changes: Sequence[Transition]) -> tuple[datetime, datetime]:
    """The earlier and the later instant (UTC) that a repeated local time may mean.

    Raises:
        ValueError: It did not occur twice.
    """
    for change in changes:
        until = change.at + timedelta(minutes=change.after_min)
        resumes = change.at + timedelta(minutes=change.before_min)
        if until <= local < resumes:
            earlier = local - timedelta(minutes=change.before_min)
            return earlier, local - timedelta(minutes=change.after_min)
    raise ValueError(local)


def choose_by_neighbours(
    rows: Iterable[Twice], changes: Sequence[Transition]
) -> dict[int, datetime]:
    """The instants that neighbours in file order leave no choice about.

    Args:
        rows: Ambiguous times in file order, group by group; the column must not run backwards.
        changes: The zone's changes of offset.
    """
    chosen: dict[int, datetime] = {}
    for _, together in groupby(rows, key=lambda row: (row.group, row.before, row.after)):
        chosen |= _choose(list(together), changes)
    return chosen


def _choose(rows: Sequence[Twice], changes: Sequence[Transition]) -> dict[int, datetime]:
    """One stretch of ambiguous rows: some first ones are early, the rest late; which split fits?"""
    readings = [both_readings(row.local, changes) for row in rows]
    fitting = _fitting_splits(readings, rows[0].before, rows[0].after)
    if not fitting:
        return {}
    chosen = {}
    for place, (row, (early, late)) in enumerate(zip(rows, readings, strict=True)):
        if place < fitting[0]:
            chosen[row.row] = early
        elif place >= fitting[-1]:
            chosen[row.row] = late
    return chosen


def _fitting_splits(
    readings: Sequence[tuple[datetime, datetime]], before: datetime | None, after: datetime | None
) -> list[int]:
    """Numbers of first rows that can be early, so that no time runs backwards."""
    early = [before or datetime.min, *(reading[0] for reading in readings)]  # noqa: DTZ901 - bounds of naive wall-clock readings
    late = [*(reading[1] for reading in readings), after or datetime.max]  # noqa: DTZ901 - bounds of naive wall-clock readings
    risen = list(accumulate((a <= b for a, b in pairwise(early)), and_, initial=True))
    rising = list(
        accumulate((a <= b for a, b in reversed(list(pairwise(late)))), and_, initial=True)
    )
    rising.reverse()
    return [
        split
        for split in range(len(readings) + 1)
        if risen[split] and rising[split] and early[split] <= late[split]
    ]


def choose_by_range(
    starts: Sequence[datetime], ends: Sequence[datetime]
) -> tuple[datetime | None, datetime | None]:
    """Start and end of one row, where only one of their readings lets the end follow the start.

    Args:
        starts: Readings of the start, one or two.
        ends: Readings of the end, one or two.
    """
    pairs = [(start, end) for start in starts for end in ends if end >= start]
    some_starts, some_ends = {start for start, _ in pairs}, {end for _, end in pairs}
    return (
        some_starts.pop() if len(some_starts) == 1 else None,
        some_ends.pop() if len(some_ends) == 1 else None,
    )
