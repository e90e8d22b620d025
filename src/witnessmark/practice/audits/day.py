"""The two days of an audit under way, by the plant's clock and by how long ago."""

from datetime import UTC, datetime, time, timedelta

from witnessmark.audit.event import written
from witnessmark.practice.shift_calendar import STARTS, ZONE


class Day:
    """The two days of the audit, by the clock of the plant and by how long ago.

    Args:
        now: This moment.
    """

    def __init__(self, now: datetime) -> None:
        self.now = now.astimezone(UTC)

    def first(self, clock: str) -> datetime:
        """A time of yesterday."""
        day = (self.now - timedelta(days=1)).astimezone(ZONE).date()
        return datetime.combine(day, time.fromisoformat(clock), ZONE).astimezone(UTC)

    def ago(self, minutes: int) -> datetime:
        """So many minutes before now."""
        return self.now - timedelta(minutes=minutes)

    def ahead(self, minutes: int) -> str:
        """So many minutes after now, as the journal writes it."""
        return written(self.now + timedelta(minutes=minutes))

    @property
    def next_change(self) -> datetime:
        """The next change of shift."""
        today = self.now.astimezone(ZONE).date()
        days = (today, today + timedelta(days=1))
        changes = [datetime.combine(day, at, ZONE) for day in days for at in STARTS.values()]
        return min(change.astimezone(UTC) for change in changes if change > self.now)


def plant_day() -> str:
    """Today by the plant's clock."""
    return datetime.now(ZONE).date().isoformat()
