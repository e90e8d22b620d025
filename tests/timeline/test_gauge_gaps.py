"""When a gauge was not in date."""

from datetime import date
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tables import derive, pick

GAUGES = """
gauges
| gauge_id | type | interval_d |
|----------|------|------------|
| due      | mic  | 365        |
| interval | mic  | 30         |
| endless  | mic  |            |
| early    | mic  |            |
| found    | mic  |            |
| never    | mic  | 365        |

calibrations
| gauge_id | done_on    | verdict | next_due   |
|----------|------------|---------|------------|
| due      | 2026-01-10 | in      | 2026-02-10 |
| due      | 2026-02-13 | in      | 2026-08-13 |
| interval | 2026-01-10 | in      |            |
| endless  | 2026-01-10 | in      |            |
| early    | 2026-01-10 | in      | 2026-12-31 |
| early    | 2026-03-01 | in      | 2026-12-31 |
| found    | 2026-01-10 | in      | 2026-12-31 |
| found    | 2026-02-01 | out     | 2026-12-31 |
| found    | 2026-02-03 | out     |            |
| found    | 2026-02-05 | in      |            |
"""
WHEN = ("from_at", "to_at", "reason")


@pytest.fixture(scope="module")
def gaps():
    found = {}
    for row in derive("gauge_gaps", GAUGES, zone="Europe/Berlin"):
        found.setdefault(row["gauge_id"], []).append(row)
    return {
        gauge: pick([row for row in rows if row["reason"] != "before-first"], *WHEN)
        for gauge, rows in found.items()
    } | {"all": [row for rows in found.values() for row in rows]}


def test_a_gauge_is_in_date_to_the_end_of_its_due_day_in_the_plants_zone(gaps):
    assert gaps["due"][0] == ("2026-02-10 23:00", "2026-02-12 23:00", "overdue")


def test_without_a_due_date_the_gauges_own_interval_serves(gaps):
    assert gaps["interval"] == [("2026-02-09 23:00", "9999-12-31 00:00", "overdue")]


def test_without_due_date_and_interval_a_calibration_lasts(gaps):
    assert gaps["endless"] == []


def test_an_early_calibration_leaves_no_gap(gaps):
    assert gaps["early"] == [("2026-12-31 23:00", "9999-12-31 00:00", "overdue")]


def test_a_gauge_found_out_is_not_in_date_until_it_is_found_in(gaps):
    assert gaps["found"] == [("2026-01-31 23:00", "2026-02-04 23:00", "found-out")]


def test_the_time_before_the_first_calibration_is_a_gap_of_its_own(gaps):
    first = [row for row in gaps["all"] if row["reason"] == "before-first"]
    assert len(first) == 6
    assert {row["gauge_id"]: f"{row['to_at']:%Y-%m-%d %H:%M}" for row in first} == {
        "due": "2026-01-09 23:00",
        "interval": "2026-01-09 23:00",
        "endless": "2026-01-09 23:00",
        "early": "2026-01-09 23:00",
        "found": "2026-01-09 23:00",
        "never": "9999-12-31 00:00",
    }


def test_grace_days_shorten_what_is_overdue():
    rows = derive("gauge_gaps", GAUGES, zone="Europe/Berlin", gauge_grace_days=2)
    due = [row for row in rows if (row["gauge_id"], row["reason"]) == ("due", "overdue")]
    assert [f"{row['to_at']:%d}" for row in due] == ["31"]
    rows = derive("gauge_gaps", GAUGES, zone="Europe/Berlin", gauge_grace_days=1)
    due = [row for row in rows if (row["gauge_id"], row["reason"]) == ("due", "overdue")]
    assert pick(due[:1], *WHEN) == [("2026-02-11 23:00", "2026-02-12 23:00", "overdue")]


CALIBRATIONS = st.lists(
    st.tuples(
        st.dates(date(2026, 1, 1), date(2026, 1, 20)),
        st.sampled_from(["in", "out", ""]),
        st.none() | st.dates(date(2025, 12, 25), date(2026, 2, 5)),
    ),
    min_size=1,
    max_size=6,
    unique_by=lambda row: row[0],
)


@given(CALIBRATIONS, st.sampled_from(["", "5"]), st.integers(0, 3))
@settings(max_examples=40, deadline=None)
def test_a_gauge_is_in_one_of_its_gaps_at_a_time(rows, interval, grace):
    """Who joins uses to the gaps relies on it: no use may come twice."""
    lines = [f"| g | {day} | {verdict} | {due or ''} |" for day, verdict, due in rows]
    text = f"""
gauges
| gauge_id | type | interval_d |
|----------|------|------------|
| g        | mic  | {interval} |

calibrations
| gauge_id | done_on | verdict | next_due |
|----------|---------|---------|----------|
{chr(10).join(lines)}
"""
    found = derive("gauge_gaps", text, zone="Europe/Berlin", gauge_grace_days=grace)
    spans = sorted((row["from_at"], row["to_at"]) for row in found)
    assert all(start < end for start, end in spans)
    assert all(end <= start for (_, end), (start, _) in pairwise(spans))
