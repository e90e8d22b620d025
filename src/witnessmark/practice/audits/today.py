"""The practice audit that is under way: its second day, half of it still ahead.

Times hang on the moment at which it is written, so that windows close while somebody looks.
"""

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta

from witnessmark.practice.audits.day import Day
from witnessmark.practice.audits.preparing import (
    prepare,
)
from witnessmark.practice.audits.records import Records
from witnessmark.practice.audits.scribe import Scribe, local_day
from witnessmark.practice.audits.today_agenda import write_agenda
from witnessmark.practice.audits.today_loose import write_loose_ends
from witnessmark.practice.audits.today_nights import write_nights, write_visit
from witnessmark.practice.audits.today_suspect import write_suspect
from witnessmark.practice.audits.today_trails import write_trails

PULLED = datetime(2026, 11, 22, 16, 0, tzinfo=UTC)
"""When the records were pulled."""


def write_today(scribe: Scribe, now: datetime, records: Records, seen: Mapping[str, str]) -> None:
    """Writes the audit up to this moment.

    Args:
        scribe: The lead auditor.
        now: This moment; the next windows close after it.
        records: Of the weeks before.
        seen: What was seen of each turning machine on the evening of the visit, in the words of
            the staffing form.
    """
    day = Day(now)
    prepare(
        scribe.go_to(now - timedelta(days=9)),
        "Bar turning, unattended nights",
        local_day(now - timedelta(days=1)),
        local_day(now),
    )
    scribe.go_to(max(now - timedelta(days=2), PULLED))
    records.take_in(scribe, "audit")
    write_agenda(scribe, day)
    visit = write_visit(scribe, seen)
    write_nights(scribe, day, records, visit)
    write_suspect(scribe, day, records)
    write_trails(scribe, day, records)
    write_loose_ends(scribe, day)
    scribe.go_to(now)
