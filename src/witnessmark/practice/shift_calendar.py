"""When the practice plant works: days, shifts, breaks and overtime.

Inside the simulator an instant is a whole minute since 1970 in UTC, so that arithmetic on it is
true over a daylight-saving night. This module knows no machine and no person.
"""

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from zoneinfo import ZoneInfo

ZONE = ZoneInfo("Europe/Berlin")
FIRST_DAY = date(2026, 8, 31)
DAYLIGHT_SAVING_WEEK = 7
"""The week (from 0) that ends with 25 October 2026, when the clocks go back."""

SATURDAY, SUNDAY = 5, 6
STARTS = {"early": time(5, 30), "late": time(13, 30), "night": time(21, 30)}
BREAKS = {"early": time(9, 30), "late": time(17, 30), "night": time(1, 30)}
SHIFTS = tuple(STARTS)
BREAK_MIN = 30
AREA_SHIFTS = {
    "T1": SHIFTS,
    "T2": SHIFTS,
    "D1": SHIFTS,
    "W1": SHIFTS[:2],
    "F1": SHIFTS[:2],
}


@dataclass(frozen=True)
class Overtime:
    """One shift worked outside the regular pattern: area, week (from 0), weekday, shift."""

    area: str
    week: int
    weekday: int
    shift: str


@dataclass(frozen=True)
class Shift:
    """One worked shift of an area; its times are minutes since 1970."""

    area: str
    day: date
    week: int
    name: str
    start: int
    end: int
    break_start: int
    break_end: int
    overtime: bool


def minute(day: date, at: time) -> int:
    """The minute at which the plant's clock shows a time on a day (its first occurrence)."""
    return int(datetime.combine(day, at, ZONE).timestamp()) // 60


@cache
def instant(at: int) -> datetime:
    """A minute as an aware instant in UTC."""
    return datetime.fromtimestamp(at * 60, UTC)


@cache
def local(at: int) -> datetime:
    """A minute as the plant's clock shows it."""
    return instant(at).astimezone(ZONE)


def local_day(at: int) -> date:
    """The calendar day of a minute at the plant."""
    return local(at).date()


class Calendar:
    """The worked shifts of every area over a number of weeks.

    Args:
        weeks: Weeks from Monday 31 August 2026 on.
        overtime: Shifts worked beside Monday to Friday.
    """

    def __init__(self, weeks: int, overtime: Iterable[Overtime]) -> None:
        self.weeks = weeks
        self.end_day = FIRST_DAY + timedelta(weeks=weeks)
        self.start = minute(FIRST_DAY, time(0))
        self.end = minute(self.end_day, time(0))
        extra = frozenset(overtime)
        self.shifts = {area: self._shifts(area, extra) for area in AREA_SHIFTS}
        self._starts = {area: [s.start for s in worked] for area, worked in self.shifts.items()}

    def _shifts(self, area: str, extra: frozenset[Overtime]) -> list[Shift]:
        worked = []
        for number in range(self.weeks * 7):
            day, (week, weekday) = FIRST_DAY + timedelta(days=number), divmod(number, 7)
            for name in SHIFTS:
                overtime = Overtime(area, week, weekday, name) in extra
                regular = weekday < SATURDAY and name in AREA_SHIFTS[area]
                if regular or overtime:
                    worked.append(_shift(area, day, week, name, overtime=overtime))
        return worked

    def shift_at(self, area: str, at: int) -> Shift | None:
        """The shift of an area that is worked at a minute, or None."""
        found = self.shifts[area][max(0, bisect_right(self._starts[area], at) - 1)]
        return found if found.start <= at < found.end else None

    def windows(self, area: str) -> list[tuple[int, int]]:
        """Maximal stretches of worked shifts that follow each other without a gap."""
        merged: list[tuple[int, int]] = []
        for shift in self.shifts[area]:
            if merged and merged[-1][1] == shift.start:
                merged[-1] = (merged[-1][0], shift.end)
            else:
                merged.append((shift.start, shift.end))
        return merged

    def days(self) -> list[date]:
        """Every calendar day of the period."""
        return [FIRST_DAY + timedelta(days=number) for number in range(self.weeks * 7)]


def _shift(area: str, day: date, week: int, name: str, *, overtime: bool) -> Shift:
    next_day = day + timedelta(days=1)
    ends = {"early": (day, "late"), "late": (day, "night"), "night": (next_day, "early")}
    end_day, next_shift = ends[name]
    pause = minute(next_day if name == "night" else day, BREAKS[name])
    return Shift(
        area,
        day,
        week,
        name,
        minute(day, STARTS[name]),
        minute(end_day, STARTS[next_shift]),
        pause,
        pause + BREAK_MIN,
        overtime,
    )
