"""Machine shifts: what the records account for."""

from tables import derive, pick

PLANT = """
machines
| machine_id | area | process |
|------------|------|---------|
| M1         | A    | turning |

shift_instances
| area | production_date | shift | start_at         | end_at           | overtime |
|------|-----------------|-------|------------------|------------------|----------|
| A    | 2026-03-02      | early | 2026-03-02 06:00 | 2026-03-02 14:00 | no       |
| A    | 2026-03-02      | late  | 2026-03-02 14:00 | 2026-03-02 22:00 | no       |
"""
STATES = """
machine_states
| machine_id | start_at         | end_at           | state       | reason |
|------------|------------------|------------------|-------------|--------|
| M1         | 2026-03-02 06:00 | 2026-03-02 13:00 | running     |        |
| M1         | 2026-03-02 13:00 | 2026-03-02 15:00 | stopped     |        |
| M1         | 2026-03-02 15:00 | 2026-03-02 16:00 | unknown     |        |
| M1         | 2026-03-02 16:00 | 2026-03-02 22:00 | maintenance |        |
"""


def seconds(rows):
    return pick(rows, "explained_s", "stopped_s", "uncoded_s", "running_s", "unknown_s")


def test_a_stop_over_the_change_of_shift_counts_in_both():
    assert seconds(derive("shift_times", PLANT + STATES)) == [
        (28800, 3600, 3600, 25200, 0),
        (25200, 3600, 3600, 0, 3600),
    ]


def test_a_time_that_stands_twice_counts_twice():
    twice = STATES + "| M1 | 2026-03-02 12:00 | 2026-03-02 13:00 | setup | |\n"
    assert seconds(derive("shift_times", PLANT + twice))[0] == (32400, 3600, 3600, 21600, 0)


def test_stoppages_say_which_stops_carry_no_reason():
    stoppages = """
stoppages
| stop_id | machine_id | start_at         | end_at           | reason | planned |
|---------|------------|------------------|------------------|--------|---------|
| s1      | M1         | 2026-03-02 13:00 | 2026-03-02 13:20 | jam    | no      |
| s2      | M1         | 2026-03-02 13:20 | 2026-03-02 13:30 |        | yes     |
| s3      | M1         | 2026-03-02 13:30 | 2026-03-02 15:00 |        |         |
"""
    found = derive("shift_times", PLANT + STATES + stoppages)
    assert pick(found, "stopped_s", "uncoded_s") == [(3600, 1800), (3600, 3600)]


def test_without_states_runs_explain_the_time_and_pieces_are_read_in_between():
    runs = """
runs
| run_id | machine_id | part_no | start_at         | end_at           | good |
|--------|------------|---------|------------------|------------------|------|
| R1     | M1         | P1      | 2026-03-02 13:00 | 2026-03-02 17:00 | 400  |
"""
    found = derive("shift_times", PLANT + runs)
    assert seconds(found) == [(3600, 0, 0, 3600, 25200), (10800, 0, 0, 10800, 18000)]
    assert pick(found, "pieces", "is_recorded", "is_cut") == [
        (100, True, False),
        (300, True, False),
    ]


def test_a_machine_without_any_record_is_told():
    (row, _) = derive("shift_times", PLANT)
    assert (row["is_recorded"], row["explained_s"], row["attendance"]) == (False, 0, None)


def test_attendance_is_the_class_of_two_thirds_of_the_running_time():
    allocations = """
allocations
| person_key | machine_or_group | start_at         | end_at           | role     | basis  |
|------------|------------------|------------------|------------------|----------|--------|
| p1         | M1               | 2026-03-02 06:00 | 2026-03-02 10:40 | operator | actual |
"""
    longer = allocations.replace("10:40", "10:39")
    assert derive("shift_times", PLANT + STATES + allocations)[0]["attendance"] == "attended"
    assert derive("shift_times", PLANT + STATES + longer)[0]["attendance"] == "mixed"


def test_a_shift_that_reaches_beyond_the_period_is_marked():
    found = derive("shift_times", PLANT + STATES, period=("2026-03-02 06:00", "2026-03-02 20:00"))
    assert pick(found, "is_cut") == [(False,), (True,)]
