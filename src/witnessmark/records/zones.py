"""Local clock time to UTC and back, true to daylight saving, as plain SQL expressions.

DuckDB's own conversion silently reads the repeated autumn hour as the later one and moves the
hour that spring skips. Here the zone's transitions are worked out once in Python, and a local time
becomes a CASE over the few that the data touch: a time that never occurred gives no offset, one
that occurred twice says so.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from witnessmark.errors import UnusableInputError, Where

STEP = timedelta(days=7)
AMBIGUOUS = 32767
"""The offset that stands for "this local time occurred twice" (no zone is ahead by that much)."""


@dataclass(frozen=True)
class Transition:
    """A change of a zone's offset: until `at` (UTC) it was `before_min`, from then `after_min`."""

    at: datetime
    before_min: int
    after_min: int


def zone_of(name: str, where: Where) -> ZoneInfo:
    """The time zone of that name.

    Raises:
        UnusableInputError: There is no such zone.
    """
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError) as error:
        raise UnusableInputError.one(
            where, f'"{name}" is no known time zone.', "a name such as Europe/Berlin"
        ) from error


def offset_min(zone: ZoneInfo, at: datetime) -> int:
    """Minutes by which the zone is ahead of UTC at a UTC instant (naive)."""
    ahead = at.replace(tzinfo=UTC).astimezone(zone).utcoffset()
    return round(ahead.total_seconds() / 60) if ahead is not None else 0


def transitions(zone: ZoneInfo, start: datetime, end: datetime) -> list[Transition]:
    """Every change of offset between two UTC instants (naive), a week beyond each end included."""
    found = []
    at, last = start - STEP, end + STEP
    while at < last:
        later = at + STEP
        before, after = offset_min(zone, at), offset_min(zone, later)
        if before != after:
            low, high = at, later
            while high - low > timedelta(seconds=1):
                middle = low + (high - low) / 2
                low, high = (middle, high) if offset_min(zone, middle) == before else (low, middle)
            found.append(Transition(high.replace(microsecond=0), before, after))
        at = later
    return found


def local_offset_sql(local: str, zone: ZoneInfo, start: datetime, end: datetime) -> str:
    """SQL for the offset in minutes of a local timestamp: null if it never occurred.

    Args:
        local: SQL expression of a naive local timestamp.
        zone: The zone in which it was written.
        start: Earliest local time in the data.
        end: Latest local time in the data.
    """
    branches = []
    changes = transitions(zone, start, end)
    for change in changes:
        until = change.at + timedelta(minutes=min(change.before_min, change.after_min))
        resumes = change.at + timedelta(minutes=max(change.before_min, change.after_min))
        between = "null" if change.after_min > change.before_min else str(AMBIGUOUS)
        branches.append(f"when {local} < timestamp '{until}' then {change.before_min}")
        branches.append(f"when {local} < timestamp '{resumes}' then {between}")
    last = changes[-1].after_min if changes else offset_min(zone, start)
    if not branches:
        return f"case when {local} is not null then {last} end"
    return f"case when {local} is null then null {' '.join(branches)} else {last} end"
