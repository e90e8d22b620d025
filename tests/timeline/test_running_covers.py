"""Stretches of running with somebody, or nobody, allocated throughout."""

from tables import derive, pick

PLANT = """
machines
| machine_id | area | group_id | process |
|------------|------|----------|---------|
| M1         | A    | G1       | turning |

shift_instances
| area | production_date | shift | start_at         | end_at           | overtime |
|------|-----------------|-------|------------------|------------------|----------|
| A    | 2026-03-02      | early | 2026-03-02 06:00 | 2026-03-02 14:00 | no       |
| A    | 2026-03-02      | late  | 2026-03-02 14:00 | 2026-03-02 22:00 | no       |

machine_states
| machine_id | start_at         | end_at           | state   |
|------------|------------------|------------------|---------|
| M1         | 2026-03-02 06:00 | 2026-03-02 22:00 | running |

allocations
| person_key | machine_or_group | start_at         | end_at           | role     | basis  |
|------------|------------------|------------------|------------------|----------|--------|
"""


def covers(*rows, **criteria):
    found = derive("running_covers", PLANT + "".join(rows), **criteria)
    return pick(found, "from_at", "to_at", "cover", "attendance")


def put(place, start, end, role="operator"):
    return f"| p1 | {place} | 2026-03-02 {start} | 2026-03-02 {end} | {role} | actual |\n"


def test_a_short_gap_at_the_change_of_shift_parts_nothing():
    assert covers(put("M1", "06:00", "13:55"), put("G1", "14:05", "22:00")) == [
        ("2026-03-02 06:00", "2026-03-02 22:00", "somebody", "attended")
    ]


def test_the_same_gap_inside_a_shift_is_a_stretch_to_nobody():
    assert covers(put("M1", "06:00", "12:55"), put("G1", "13:05", "22:00")) == [
        ("2026-03-02 06:00", "2026-03-02 12:55", "somebody", "attended"),
        ("2026-03-02 12:55", "2026-03-02 13:05", "nobody", "uncovered"),
        ("2026-03-02 13:05", "2026-03-02 22:00", "somebody", "attended"),
    ]


def test_only_the_long_side_of_a_gap_over_the_change_of_shift_counts():
    assert covers(put("M1", "06:00", "13:55"), put("M1", "14:30", "22:00")) == [
        ("2026-03-02 06:00", "2026-03-02 13:55", "somebody", "attended"),
        ("2026-03-02 14:00", "2026-03-02 14:30", "nobody", "uncovered"),
        ("2026-03-02 14:30", "2026-03-02 22:00", "somebody", "attended"),
    ]


def test_the_shortest_time_is_a_criterion():
    gap = (put("M1", "06:00", "13:55"), put("M1", "14:30", "22:00"))
    assert len(covers(*gap, unallocated_least_min=30)) == 1


def test_a_watcher_without_a_rule_is_somebody_and_leaves_the_machine_uncovered():
    assert covers(put("M1", "06:00", "22:00", "watcher")) == [
        ("2026-03-02 06:00", "2026-03-02 22:00", "somebody", "uncovered")
    ]


def test_a_shift_without_any_row_on_the_board_is_not_known():
    assert covers(put("M1", "06:00", "14:00")) == [
        ("2026-03-02 06:00", "2026-03-02 14:00", "somebody", "attended"),
        ("2026-03-02 14:00", "2026-03-02 22:00", "not known", "not-assessable"),
    ]
