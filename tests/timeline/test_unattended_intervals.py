"""The longest time without attendance inside a merged run."""

from tables import derive, pick

PLANT = """
machines
| machine_id | area | process |
|------------|------|---------|
| M1         | A    | turning |
| M2         | A    | turning |

shift_instances
| area | production_date | shift | start_at         | end_at           | overtime |
|------|-----------------|-------|------------------|------------------|----------|
| A    | 2026-03-02      | early | 2026-03-02 06:00 | 2026-03-02 14:00 | no       |
| A    | 2026-03-02      | late  | 2026-03-02 14:00 | 2026-03-02 22:00 | no       |

runs
| run_id | machine_id | part_no | start_at         | end_at           |
|--------|------------|---------|------------------|------------------|
| R1     | M1         | P1      | 2026-03-02 06:00 | 2026-03-02 22:00 |

"""
STAFF = """
allocations
| person_key | machine_or_group | start_at         | end_at           | role     | basis  |
|------------|------------------|------------------|------------------|----------|--------|
| p1         | M1               | 2026-03-02 06:00 | 2026-03-02 08:00 | operator | actual |
| p1         | M2               | 2026-03-02 08:00 | 2026-03-02 22:00 | operator | actual |
"""
STOPS = """
stoppages
| stop_id | machine_id | start_at         | end_at           |
|---------|------------|------------------|------------------|
"""


def intervals(*text, **criteria):
    found = derive("unattended_intervals", PLANT + "".join(text), **criteria)
    return pick(found, "from_at", "to_at", "ran_s", "unclassed_s", "attendance")


def stop(stop_id, start, end):
    return f"| {stop_id} | M1 | 2026-03-02 {start} | 2026-03-02 {end} |\n"


def test_it_lasts_over_the_change_of_shift_to_the_end_of_the_run():
    assert intervals(STAFF) == [("2026-03-02 08:00", "2026-03-02 22:00", 14 * 3600, 0, "uncovered")]


def test_a_stop_below_the_restart_threshold_does_not_cut_it():
    assert intervals(STAFF, STOPS, stop("s1", "10:00", "10:29")) == [
        ("2026-03-02 08:00", "2026-03-02 22:00", 14 * 3600 - 29 * 60, 0, "uncovered")
    ]


def test_a_stop_of_the_restart_threshold_cuts_it():
    found = intervals(STAFF, STOPS, stop("s1", "10:00", "10:30"))
    assert [row[:2] for row in found] == [
        ("2026-03-02 08:00", "2026-03-02 10:00"),
        ("2026-03-02 10:30", "2026-03-02 22:00"),
    ]
    assert len(intervals(STAFF, STOPS, stop("s1", "10:00", "10:30"), restart_threshold_min=60)) == 1


def test_it_ends_when_the_machine_stood_for_good():
    (row,) = intervals(STAFF, STOPS, stop("s1", "21:45", "22:00"))
    assert row[1] == "2026-03-02 21:45"


def test_who_comes_for_an_hour_cuts_it():
    visit = "| p2 | M1 | 2026-03-02 12:00 | 2026-03-02 13:00 | operator | actual |\n"
    assert [row[:2] for row in intervals(STAFF.rstrip("\n") + "\n", visit)] == [
        ("2026-03-02 08:00", "2026-03-02 12:00"),
        ("2026-03-02 13:00", "2026-03-02 22:00"),
    ]


def test_a_covered_machine_is_not_unattended():
    rules = """
staffing_rules
| rule_id | area | max_machines_per_person | watching_allowed | valid_from |
|---------|------|-------------------------|------------------|------------|
| r1      | A    | 2                       | yes              | 2026-01-01 |
"""
    watch = "| p1 | M1 | 2026-03-02 08:00 | 2026-03-02 22:00 | watcher | actual |\n"
    assert intervals(STAFF, watch, rules) == []
    assert len(intervals(STAFF, watch)) == 1


def test_a_shift_without_a_board_cuts_nothing_and_is_told():
    only_early = STAFF.replace("22:00", "14:00")
    assert intervals(only_early) == [
        ("2026-03-02 08:00", "2026-03-02 22:00", 14 * 3600, 8 * 3600, "mixed")
    ]


def test_a_run_of_another_part_begins_a_new_one():
    other = PLANT.replace(
        "2026-03-02 22:00 |\n\n",
        "2026-03-02 12:00 |\n| R2 | M1 | P2 | 2026-03-02 12:00 | 2026-03-02 22:00 |\n\n",
    )
    found = derive("unattended_intervals", other + STAFF)
    assert pick(found, "from_at", "to_at") == [
        ("2026-03-02 08:00", "2026-03-02 12:00"),
        ("2026-03-02 12:00", "2026-03-02 22:00"),
    ]
