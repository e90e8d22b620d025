"""The running clock, read between two instants as every test reads it."""

import pytest
from tables import derive, pick, timeline_of

DAY = """
machine_states
| machine_id | start_at         | end_at           | state   |
|------------|------------------|------------------|---------|
"""
BETWEEN = """
with asked as (select unnest(['{start}'::timestamp, '{end}'::timestamp]) as moment),

seen as (
    select
        asked.moment,
        clock.running_s
        + case when clock.is_running then date_diff('second', clock.at, asked.moment) else 0 end
        as running_s
    from asked
    asof inner join running_clock as clock on asked.moment >= clock.at
)

select max(running_s) - min(running_s) from seen
"""


def minutes_between(text, start, end, zone="UTC"):
    """Running minutes between two UTC instants."""
    timeline = timeline_of(text, zone)
    timeline.require({"running_clock"})
    ((seconds,),) = timeline.store.con.execute(BETWEEN.format(start=start, end=end)).fetchall()
    return seconds / 60


def test_golden_1_the_clock_pauses_in_a_stop():
    text = DAY + (
        "| M1 | 2026-03-02 06:00 | 2026-03-02 07:00 | running |\n"
        "| M1 | 2026-03-02 07:00 | 2026-03-02 08:30 | stopped |\n"
        "| M1 | 2026-03-02 08:30 | 2026-03-02 14:00 | running |\n"
    )
    assert minutes_between(text, "2026-03-02 06:10", "2026-03-02 09:20") == 100


def test_golden_2_the_clock_runs_through_a_change_of_shift():
    text = (
        DAY
        + "| M1 | 2026-03-02 06:00 | 2026-03-02 22:00 | running |\n"
        + (
            """
shift_instances
| area | production_date | shift | start_at         | end_at           | overtime |
|------|-----------------|-------|------------------|------------------|----------|
| A    | 2026-03-02      | early | 2026-03-02 05:30 | 2026-03-02 13:30 | no       |
| A    | 2026-03-02      | late  | 2026-03-02 13:30 | 2026-03-02 21:30 | no       |
"""
        )
    )
    assert minutes_between(text, "2026-03-02 12:30", "2026-03-02 15:00") == 150


def test_golden_3_the_autumn_night_is_an_hour_longer():
    text = DAY + "| M1 | 2026-10-24 22:00 | 2026-10-25 06:00 | running |\n"
    # 01:45 summer time and 03:00 winter time in Berlin
    found = minutes_between(text, "2026-10-24 23:45", "2026-10-25 02:00", "Europe/Berlin")
    assert found == 135


def test_golden_4_the_spring_night_is_an_hour_shorter():
    text = DAY + "| M1 | 2026-03-28 22:00 | 2026-03-29 06:00 | running |\n"
    # 01:30 winter time and 04:00 summer time in Berlin
    found = minutes_between(text, "2026-03-29 00:30", "2026-03-29 02:00", "Europe/Berlin")
    assert found == 90


TWO_SHIFTS = """
machines
| machine_id | area | process |
|------------|------|---------|
| M1         | A    | turning |

runs
| run_id | machine_id | part_no | start_at         | end_at           | good |
|--------|------------|---------|------------------|------------------|------|
| r1     | M1         | P1      | 2026-03-02 06:00 | 2026-03-02 10:00 | 240  |
| r2     | M1         | P1      | 2026-03-02 12:00 | 2026-03-02 14:00 |      |

stoppages
| stop_id | machine_id | start_at         | end_at           |
|---------|------------|------------------|------------------|
| s1      | M1         | 2026-03-02 07:00 | 2026-03-02 08:00 |

shift_instances
| area | production_date | shift | start_at         | end_at           | overtime |
|------|-----------------|-------|------------------|------------------|----------|
| A    | 2026-03-02      | early | 2026-03-02 06:00 | 2026-03-02 12:00 | no       |
| A    | 2026-03-02      | late  | 2026-03-02 12:00 | 2026-03-02 18:00 | no       |

allocations
| person_key | machine_or_group | start_at         | end_at           | role     | basis  |
|------------|------------------|------------------|------------------|----------|--------|
| p1         | M1               | 2026-03-02 06:00 | 2026-03-02 09:00 | operator | actual |
"""


def test_every_column_counts_from_the_start_and_only_running_time_has_a_class():
    rows = derive("running_clock", TWO_SHIFTS)
    hours = {"running_s", "unknown_s", "attended_s", "uncovered_s", "not_assessable_s"}
    shown = [
        row | {column: row[column] / 3600 for column in hours} | {"at": f"{row['at']:%H:%M}"}
        for row in rows
    ]
    columns = (
        "at", "is_running", "is_unknown", "running_s", "unknown_s", "pieces",
        "attended_s", "uncovered_s", "not_assessable_s",
    )  # fmt: skip
    assert pick(shown, *columns) == [
        ("06:00", True, False, 0, 0, 0, 0, 0, 0),
        ("07:00", False, False, 1, 0, 80, 1, 0, 0),
        ("08:00", True, False, 1, 0, 80, 1, 0, 0),
        ("09:00", True, False, 2, 0, 160, 2, 0, 0),
        ("10:00", False, True, 3, 0, 240, 2, 1, 0),
        ("12:00", True, False, 3, 2, None, 2, 1, 0),
        ("14:00", False, True, 5, 2, 240, 2, 1, 2),
        ("18:00", False, True, 5, 6, 240, 2, 1, 2),
    ]


@pytest.mark.parametrize(
    "name",
    [
        "known_machines", "shift_spans", "run_spans", "merged_runs", "running_cells",
        "running_states", "machine_places", "lacking_spans", "allocation_spans", "staffing_spans",
        "staffing_limits", "staffed_shifts", "place_heads", "group_spans", "watch_spans",
        "special_days", "permission_spans", "cover_cells", "attendance_spans", "running_clock",
        "clock_fixes",
    ],
)  # fmt: skip
def test_no_records_give_no_rows(name):
    assert derive(name, {}) == []
