"""Machines, places, shifts, clocks and rules: what the larger tables stand on."""

from tables import derive, pick


def test_a_machine_is_known_as_soon_as_any_record_names_it():
    rows = derive(
        "known_machines",
        """
machines
| machine_id | area | group_id | process | stations | auto_stop |
|------------|------|----------|---------|----------|-----------|
| M2         | A    | G1       | turning | 2        | yes       |

holds
| hold_id | machine_id | qty | placed_at        |
|---------|------------|-----|------------------|
| h1      | M9         | 3   | 2026-03-02 06:00 |
| h2      |            | 3   | 2026-03-02 06:00 |

temporary_changes
| change_id | machine_id | control_replaced | alternative | from_at          |
|-----------|------------|------------------|-------------|------------------|
| t1        | M1         | sensor           | eye         | 2026-03-02 06:00 |
""",
    )
    assert pick(rows, "machine_ix", "machine_id", "area", "group_id", "stations", "auto_stop") == [
        (1, "M1", None, None, None, None),
        (2, "M2", "A", "G1", 2, True),
        (3, "M9", None, None, None, None),
    ]


def test_a_name_that_is_a_machine_and_a_group_means_the_machine():
    rows = derive(
        "machine_places",
        """
machines
| machine_id | area | group_id | process |
|------------|------|----------|---------|
| M1         | A    | M2       | turning |
| M2         | A    | G1       | turning |
""",
    )
    assert pick(rows, "place", "place_kind", "machine_ix") == [
        ("A", "area", 1),
        ("A", "area", 2),
        ("G1", "group", 2),
        ("M1", "machine", 1),
        ("M2", "machine", 2),
    ]


def test_nights_are_an_hour_short_in_spring_and_an_hour_long_in_autumn():
    rows = derive(
        "shift_spans",
        """
shift_instances
| area | production_date | shift | start_at         | end_at           | overtime |
|------|-----------------|-------|------------------|------------------|----------|
| A    | 2026-03-28      | night | 2026-03-28 22:00 | 2026-03-29 06:00 | no       |
| A    | 2026-03-29      | early | 2026-03-29 06:00 | 2026-03-29 14:00 | no       |
| A    | 2026-10-24      | night | 2026-10-24 22:00 | 2026-10-25 06:00 | no       |
""",
        zone="Europe/Berlin",
    )
    assert pick(rows, "shift_ix", "shift", "length_s", "breaks") == [
        (1, "night", 7 * 3600, []),
        (2, "early", 8 * 3600, []),
        (3, "night", 9 * 3600, []),
    ]


def test_a_shift_carries_its_breaks_in_the_order_of_their_start():
    rows = derive(
        "shift_spans",
        """
shift_instances
| area | production_date | shift | start_at         | end_at           | overtime |
|------|-----------------|-------|------------------|------------------|----------|
| A    | 2026-03-02      | early | 2026-03-02 06:00 | 2026-03-02 14:00 | no       |

planned_breaks
| area | production_date | shift | no | start_at         | end_at           | relief_rule |
|------|-----------------|-------|----|------------------|------------------|-------------|
| A    | 2026-03-02      | early | 2  | 2026-03-02 12:00 | 2026-03-02 12:30 | by turns    |
| A    | 2026-03-02      | early | 1  | 2026-03-02 09:00 | 2026-03-02 09:15 |             |
| A    | 2026-03-02      | late  | 1  | 2026-03-02 18:00 | 2026-03-02 18:15 |             |
""",
    )
    breaks = rows[0]["breaks"]
    assert pick(breaks, "start_at", "relief_rule") == [
        ("2026-03-02 09:00", None),
        ("2026-03-02 12:00", "by turns"),
    ]


def test_a_clock_fix_holds_until_the_next_and_drift_widens_its_tolerance():
    rows = derive(
        "clock_fixes",
        """
clocks
| clock_id | valid_from       | offset_s | drift_s_per_day | method |
|----------|------------------|----------|-----------------|--------|
| lab      | 2026-03-01 00:00 | 660      |                 | pairs  |
| lab      | 2026-04-01 00:00 | 30       | -12             | pairs  |
""",
    )
    assert pick(rows, "valid_from", "valid_to", "offset_s", "tolerance_s") == [
        ("2026-03-01 00:00", "2026-04-01 00:00", 660, 300),
        ("2026-04-01 00:00", None, 30, 312),
    ]


def test_of_several_staffing_rules_the_most_generous_binds_and_their_last_day_counts():
    rows = derive(
        "staffing_limits",
        """
staffing_rules
| rule_id | area | max_machines_per_person | watching_allowed | valid_from | valid_to   |
|---------|------|-------------------------|------------------|------------|------------|
| s1      | A    | 2                       |                  | 2026-01-01 |            |
| s2      | A    | 3                       | yes              | 2026-02-01 | 2026-02-28 |
""",
    )
    assert pick(rows, "from_at", "to_at", "is_watching_allowed", "max_machines") == [
        ("2026-01-01 00:00", "2026-02-01 00:00", False, 2),
        ("2026-02-01 00:00", "2026-03-01 00:00", True, 3),
        ("2026-03-01 00:00", "9999-12-31 00:00", False, 2),
    ]


def test_a_part_is_special_only_while_the_revision_in_force_says_so():
    rows = derive(
        "special_days",
        """
control_plan_lines
| plan_no | rev | line | part_no | special_class | basis | check_kinds | valid_from |
|---------|-----|------|---------|---------------|-------|-------------|------------|
| C1      | 1   | 10   | P1      |               | shift | patrol      | 2026-01-01 |
| C1      | 2   | 10   | P1      |               | shift | patrol      | 2026-02-01 |
| C1      | 2   | 20   | P1      | S             | shift | patrol      | 2026-02-01 |
| C1      | 3   | 10   | P1      |               | shift | patrol      | 2026-03-01 |
""",
    )
    assert pick(rows, "part_no", "from_at", "to_at") == [
        ("P1", "2026-02-01 00:00", "2026-03-01 00:00")
    ]
