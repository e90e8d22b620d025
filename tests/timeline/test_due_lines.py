"""Which plan lines bind a run, and in which version."""

# ruff: noqa: E501  # the tables are as wide as they are

import pytest
from tables import derive, pick

PLANT = """
runs
| run_id | machine_id | part_no | op | start_at         | end_at           |
|--------|------------|---------|----|------------------|------------------|
| R1     | M1         | P       | 10 | 2026-03-01 06:00 | 2026-03-03 14:00 |
| R2     | M2         | Q       |    | 2026-03-01 06:00 | 2026-03-02 14:00 |

control_plan_lines
| plan_no | rev | line | part_no | op | sample_n | basis        | interval_min | check_kinds | valid_from | valid_to   |
|---------|-----|------|---------|----|----------|--------------|--------------|-------------|------------|------------|
| CP      | A   | 1    | P       | 10 | 5        | running-time | 120          | patrol      | 2026-01-01 |            |
| CP      | B   | 1    | P       | 10 | 5        | running-time | 30           | patrol      | 2026-03-02 | 2026-03-02 |
| CP      | A   | 2    | P       | 20 | 5        | running-time | 120          | patrol      | 2026-01-01 |            |
| CP      | A   | 3    | P       |    | 5        | clock-time   | 600          | patrol      | 2026-01-01 |            |
| CP      | A   | 4    | P       |    | 5        | shift        |              | patrol      | 2026-03-04 |            |
| CQ      | A   | 1    | Q       | 20 | 5        | pieces       |              | patrol      | 2026-01-01 | 2026-03-01 |
"""
WHEN = ("from_at", "to_at")


@pytest.fixture(scope="module")
def lines():
    return derive("due_lines", PLANT, zone="Europe/Berlin")


def of(lines, plan_no, line):
    return [row for row in lines if (row["plan_no"], row["line"]) == (plan_no, line)]


def test_a_newer_version_splits_the_run_and_the_older_one_comes_back_when_it_lapses(lines):
    assert pick(of(lines, "CP", "1"), *WHEN, "interval_s") == [
        ("2026-03-01 05:00", "2026-03-01 23:00", 7200),
        ("2026-03-01 23:00", "2026-03-02 23:00", 1800),
        ("2026-03-02 23:00", "2026-03-03 13:00", 7200),
    ]


def test_all_versions_of_a_line_share_one_number(lines):
    rows = of(lines, "CP", "1")
    assert [row["line_ix"] for row in rows] == [0, 1, 0]
    assert {row["plan_line_ix"] for row in rows} == {0}


def test_a_line_of_another_operation_does_not_bind_and_one_without_does(lines):
    assert of(lines, "CP", "2") == []
    assert len(of(lines, "CP", "3")) == 1


def test_a_run_without_an_operation_is_bound_until_validity_ends(lines):
    assert pick(of(lines, "CQ", "1"), *WHEN) == [("2026-03-01 05:00", "2026-03-01 23:00")]


def test_a_line_valid_only_later_does_not_bind(lines):
    assert of(lines, "CP", "4") == []


def test_grace_is_a_tenth_of_the_interval_but_at_least_10_and_at_most_30_minutes(lines):
    assert [row["grace_s"] for row in of(lines, "CP", "1")] == [720, 600, 720]
    assert [row["grace_s"] for row in of(lines, "CP", "3")] == [1800]


def test_a_line_without_an_interval_has_no_grace(lines):
    assert pick(of(lines, "CQ", "1"), "interval_s", "grace_s") == [(None, None)]


def test_grace_follows_the_criteria():
    rows = derive("due_lines", PLANT, patrol_grace_share="0.20", patrol_grace_most_min=15)
    assert {row["grace_s"] for row in rows} == {600, 900, None}
