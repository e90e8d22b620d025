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

RUNS = TextTable(
    ("run_id", "machine_id", "part_no", "start_at", "end_at"),
    (("R1", "T01", "P-100", "2026-05-11 06:30", "2026-05-13 05:00"),),
)
BEYOND = (
    "The records reach from 2026-05-11 to 2026-05-13, beyond the stated period. What lies outside "
    "it is counted too; to leave it out, cut the export."
)


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        (None, None, 0),
        (date(2026, 5, 11), date(2026, 5, 13), 0),
        (date(2026, 5, 1), date(2026, 5, 31), 0),
        (date(2026, 5, 12), None, 1),
        (None, date(2026, 5, 12), 1),
    ],
)
def test_records_beyond_the_stated_period_are_counted_and_said(first, last, said):
    stated = Plant(zone="Europe/Berlin", period_from=first, period_to=last)
    store = load_memory({"runs": RUNS}, stated.zone_info)
    with closing(store.con):
        battery = run_battery(
            store, stated, default_criteria(), only=("late-entry",), with_sensitivity=False
        )
        found = limitations_of(Reader(battery.timeline), stated, battery.outcomes, merged=False)
    assert found.count(BEYOND) == said
