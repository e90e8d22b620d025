"""The shifts of the process as the scope states them: `early 05:30-13:30`.

Gives the shift at an instant and the next change of shift, true to daylight saving. A shift
without times is a name only. This module knows no records and no clock.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

from witnessmark.audit.state import AuditState

TIMES = re.compile(
    r"^(.*?)\s*\(?\s*(\d{1,2})[:.](\d\d)\s*(?:-|\u2013|to|bis)\s*(\d{1,2})[:.](\d\d)\s*\)?$"
)
DAY_H = 24
HOUR_MIN = 60


@dataclass(frozen=True)
class Shift:
    """One shift: its name, and its local times where they are stated."""

    name: str
    start: time | None = None
    end: time | None = None


@dataclass(frozen=True)
class Change:
    """A change of shift.

    Args:
        at: The instant, aware.
        outgoing: Shift that ends; empty where none does.
        incoming: Shift that begins.
    """

    at: datetime
    outgoing: str
    incoming: str


@dataclass(frozen=True)
class ShiftPlan:
    """All shifts of a process, in the plant's zone."""

    shifts: tuple[Shift, ...]
    zone: ZoneInfo

    def shift_at(self, at: datetime) -> str:
        """Name of the shift that runs at an instant; empty where none is stated."""
        for shift in self.shifts:
            if shift.start is None or shift.end is None:
                continue
            local = at.astimezone(self.zone)
            for days in (0, -1):
                start = local.date() + timedelta(days=days)
                over = timedelta(days=int(shift.end <= shift.start))
                begins = self._instant(datetime.combine(start, shift.start))
                ends = self._instant(datetime.combine(start + over, shift.end))
                if begins <= at < ends:
                    return shift.name
        return ""

    def changes(self, after: datetime, until: datetime) -> tuple[Change, ...]:
        """Changes of shift from `after` (included) to `until` (not), in order."""
        day = after.astimezone(self.zone).date() - timedelta(days=1)
        last = until.astimezone(self.zone).date()
        found = []
        while day <= last:
            for shift in self.shifts:
                if shift.start is None:
                    continue
                at = self._instant(datetime.combine(day, shift.start))
                if after <= at < until:
                    outgoing = self.shift_at(at - timedelta(minutes=1))
                    found.append(Change(at, outgoing, shift.name))
            day += timedelta(days=1)
        return tuple(sorted(found, key=lambda change: (change.at, change.incoming)))

    def next_change(self, now: datetime) -> Change | None:
        """The next change of shift within a day; None where no times are stated."""
        return next(iter(self.changes(now, now + timedelta(hours=DAY_H + 1))), None)

    def _instant(self, local: datetime) -> datetime:
        return local.replace(tzinfo=self.zone).astimezone(UTC)


def read_shifts(stated: Iterable[str], zone: str) -> ShiftPlan:
    """The plan behind names such as `night 21:30-05:30`; what has no times keeps its name."""
    return ShiftPlan(tuple(_shift(text.strip()) for text in stated if text.strip()), ZoneInfo(zone))


def plan_of(state: AuditState) -> ShiftPlan:
    """The shifts that the scope of an audit states."""
    return read_shifts(state.scope.shifts, state.opening.zone)


def _shift(text: str) -> Shift:
    found = TIMES.match(text)
    if not found:
        return Shift(text)
    name, *numbers = found.groups()
    hours = [int(number) for number in numbers]
    valid = all(hour <= DAY_H for hour in hours[::2]) and all(m < HOUR_MIN for m in hours[1::2])
    if not valid:
        return Shift(text)
    start, end = (time(hour % DAY_H, minute) for hour, minute in (hours[:2], hours[2:]))
    return Shift(name.strip() or text, start, end)
