"""What the paper says against itself."""

from contextlib import closing
from datetime import date

import pytest

from witnessmark.criteria.load import default_criteria
from witnessmark.record_tests.battery import run_battery
from witnessmark.records.memory import TextTable, load_memory
from witnessmark.records.plant import Plant
from witnessmark.report.gather.limitations import limitations_of
from witnessmark.report.gather.reader import Reader

GIVEN = {
    "runs": TextTable(
        ("run_id", "machine_id", "part_no", "start_at", "end_at"),
        (
            ("R1", "T01", "P-100", "2026-05-04 06:30", "2026-05-04 18:00"),
            ("R2", "T01", "P-100", "2026-05-11 06:30", "2026-05-13 05:00"),
        ),
    ),
    "checks": TextTable(
        ("check_id", "machine_id", "kind", "done_at"),
        (("c1", "T01", "patrol", "2026-05-14 02:00"), ("c2", "T01", "patrol", "")),
    ),
    # Master data and plans are older than what they are for.
    "qualifications": TextTable(
        ("person_key", "process", "valid_from", "entered_at"),
        (("kp-1", "turning", "2020-01-01", "2020-01-02 08:00"),),
    ),
}
BEYOND = (
    "More than a day outside the stated period: {n} of runs, stops and checks, from {days}. They "
    "are counted like all others; to leave them out, cut the export."
)


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        (None, None, []),
        (date(2026, 5, 1), date(2026, 5, 31), []),
        # The night shift of the last day ends on the next.
        (date(2026, 5, 4), date(2026, 5, 13), []),
        (date(2026, 5, 11), None, [BEYOND.format(n="1 record", days="2026-05-04 to 2026-05-04")]),
        (
            date(2026, 5, 6),
            date(2026, 5, 8),
            [BEYOND.format(n="3 records", days="2026-05-04 to 2026-05-14")],
        ),
    ],
)
def test_what_lies_outside_the_stated_period_is_counted_and_said(first, last, said):
    stated = Plant(zone="Europe/Berlin", period_from=first, period_to=last)
    store = load_memory(GIVEN, stated.zone_info)
    with closing(store.con):
        battery = run_battery(
            store, stated, default_criteria(), only=("late-entry",), with_sensitivity=False
        )
        found = limitations_of(Reader(battery.timeline), stated, battery.outcomes, merged=False)
    assert [one for one in found if "stated period" in one] == said
