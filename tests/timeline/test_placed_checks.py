"""Where checks belong, and what they say of each plan line."""

# ruff: noqa: E501  # the tables are as wide as they are

import pytest
from tables import derive, parse_tables, pick, timeline_of

PLANT = """
runs
| run_id | machine_id | part_no | tool_id | start_at         | end_at           | extract_id |
|--------|------------|---------|---------|------------------|------------------|------------|
| R1     | M          | P       | T1      | 2026-03-02 06:00 | 2026-03-02 10:00 | log        |
| R2     | M          | P       | T2      | 2026-03-02 11:00 | 2026-03-02 14:00 | log        |
| R3     | M          | P       | T2      | 2026-03-02 14:10 | 2026-03-02 16:00 | log        |

extracts
| extract_id | file_name | sha256 | system | zone | rows_read | rows_loaded | rows_refused | rows_duplicate |
|------------|-----------|--------|--------|------|-----------|-------------|--------------|----------------|
| log        | a         | 0      | log    | UTC  | 1         | 1           | 0            | 0              |
| lab        | b         | 0      | lab    | UTC  | 1         | 1           | 0            | 0              |

setups
| setup_id | machine_id | to_part | start_at         | end_at           |
|----------|------------|---------|------------------|------------------|
| S2       | M          | P       | 2026-03-02 10:10 | 2026-03-02 10:50 |

control_plan_lines
| plan_no | rev | line | part_no | sample_n | basis        | interval_min | check_kinds | valid_from | lower_limit | upper_limit |
|---------|-----|------|---------|----------|--------------|--------------|-------------|------------|-------------|-------------|
| CP      | A   | 1    | P       | 2        | running-time | 120          | patrol      | 2026-01-01 | 1           | 2           |
| CP      | A   | 2    | P       | 2        | running-time | 120          |             | 2026-01-01 |             |             |
| CP      | A   | 3    | P       | 2        | running-time | 120          | first-off   | 2026-01-01 |             | 5           |
"""

PLACES = (
    PLANT
    + """
checks
| check_id | machine_id | part_no | run_id | setup_id | kind      | taken_at         | done_at          | entered_at       | result | extract_id |
|----------|------------|---------|--------|----------|-----------|------------------|------------------|------------------|--------|------------|
| named    | M          | P       | R1     |          | patrol    |                  | 2026-03-02 12:00 |                  | pass   | log        |
| joined   | M          | P       | R3     |          | patrol    |                  | 2026-03-02 15:00 |                  | pass   | log        |
| by-setup | M          | P       |        | S2       | first-off |                  | 2026-03-02 09:00 |                  | pass   | log        |
| unknown  | M          | P       | R9     |          | patrol    |                  | 2026-03-02 12:00 |                  | pass   | log        |
| inside   | M          | P       |        |          | patrol    |                  | 2026-03-02 09:00 |                  | pass   | log        |
| early    | M          | P       |        |          | first-off |                  | 2026-03-02 10:40 |                  | pass   | log        |
| running  | M          | P       |        |          | first-off |                  | 2026-03-02 09:50 |                  | pass   | log        |
| late     | M          | P       |        |          | last-off  |                  | 2026-03-02 10:59 |                  | pass   | log        |
| patrol   | M          | P       |        |          | patrol    |                  | 2026-03-02 10:50 |                  | pass   | log        |
| just     | M          | P       |        |          | patrol    |                  | 2026-03-02 10:58 |                  | pass   | log        |
| lab      | M          | P       |        |          | patrol    |                  | 2026-03-02 10:55 |                  | pass   | lab        |
| taken    | M          | P       |        |          | last-off  | 2026-03-02 10:00 | 2026-03-02 11:30 |                  | pass   | log        |
| entered  | M          | P       |        |          | patrol    |                  |                  | 2026-03-02 09:00 | pass   | log        |
| timeless | M          | P       | R2     |          | patrol    |                  |                  |                  | pass   | log        |
| nowhere  | M          | Q       |        |          | patrol    |                  | 2026-03-02 09:00 |                  | pass   | log        |
| before   | M          | P       |        |          | patrol    |                  | 2026-03-02 05:00 |                  | pass   | log        |
| other    | N          | P       | R1     |          | patrol    |                  | 2026-03-02 09:00 |                  | pass   | log        |
"""
)


@pytest.fixture(scope="module")
def runs():
    """Run of each check, by ids."""
    timeline = timeline_of(PLACES)
    timeline.require({"check_runs", "merged_runs"})
    rows = timeline.store.con.sql(
        "select check_id, merged_runs.run_id, running_s from check_runs "
        "join checks on row_ix = check_ix left join merged_runs using (run_ix)"
    ).fetchall()
    return {check: (run, seconds) for check, run, seconds in rows}


@pytest.mark.parametrize(
    ("check", "run"),
    [
        ("named", "R1"),
        ("joined", "R2"),
        ("by-setup", "R2"),
        ("unknown", "R2"),
        ("inside", "R1"),
        ("early", "R2"),
        ("running", "R1"),
        ("late", "R1"),
        ("patrol", "R1"),
        ("just", "R2"),
        ("lab", "R2"),
        ("taken", "R1"),
        ("entered", "R1"),
        ("timeless", "R2"),
        ("nowhere", None),
        ("before", None),
        ("other", "R1"),
    ],
)
def test_each_check_belongs_to_one_run(runs, check, run):
    assert runs[check][0] == run


def test_the_clock_is_read_when_the_check_was_done(runs):
    assert runs["inside"][1] == 3 * 3600
    # One hour between the runs is unknown, not running.
    assert runs["named"][1] == 5 * 3600
    assert runs["entered"][1] is None
    # A check that names a run of another machine is read off that machine's clock.
    assert runs["other"][1] == 3 * 3600


VERDICTS = (
    PLANT
    + """
gauges
| gauge_id | type |
|----------|------|
| good     | mic  |
| overdue  | mic  |
| out      | mic  |
| unproved | mic  |

calibrations
| gauge_id | done_on    | verdict | next_due   |
|----------|------------|---------|------------|
| good     | 2026-01-01 | in      | 2026-03-02 |
| overdue  | 2026-01-01 | in      | 2026-03-01 |
| out      | 2026-01-01 | in      | 2026-12-01 |
| out      | 2026-03-01 | out     |            |
| unproved | 2026-03-05 | in      |            |

checks
| check_id | machine_id | part_no | kind   | done_at          | result     |
|----------|------------|---------|--------|------------------|------------|
| good     | M          | P       | patrol | 2026-03-02 07:00 | pass       |
| high     | M          | P       | patrol | 2026-03-02 07:10 | pass       |
| bad      | M          | P       | patrol | 2026-03-02 07:20 | pass       |
| failed   | M          | P       | patrol | 2026-03-02 07:30 | fail       |
| unshown  | M          | P       | patrol | 2026-03-02 07:40 | fail       |
| part     | M          | P       | patrol | 2026-03-02 07:50 | incomplete |
| overdue  | M          | P       | patrol | 2026-03-02 08:00 | pass       |
| out      | M          | P       | patrol | 2026-03-02 08:10 | pass       |
| unproved | M          | P       | patrol | 2026-03-02 08:20 | pass       |
| nothing  | M          | P       | patrol | 2026-03-02 08:30 | pass       |
| limit    | M          | P       | patrol | 2026-03-02 08:40 | pass       |
| open     | M          | P       | patrol | 2026-03-02 08:50 |            |

measurements
| check_id | line | piece_no | value | attribute | gauge_id |
|----------|------|----------|-------|-----------|----------|
| good     | 1    | 1        | 1.5   |           | good     |
| good     | 1    | 2        | 1.6   |           |          |
| good     | 2    | 1        |       | good      |          |
| good     | 9    | 1        | 7     |           |          |
| high     | 1    | 1        | 2.1   |           |          |
| high     | 1    | 2        | 0.9   |           |          |
| high     | 1    | 3        | 1.9   |           |          |
| high     | 2    | 1        |       | good      |          |
| bad      | 2    | 1        |       | bad       |          |
| bad      | 2    | 2        |       | good      |          |
| failed   | 1    | 1        | 2.1   |           |          |
| failed   | 2    | 1        |       | good      |          |
| unshown  | 1    | 1        | 1.5   |           |          |
| unshown  | 2    | 1        |       | good      |          |
| part     | 1    | 1        | 1.5   |           |          |
| part     | 2    | 1        |       |           |          |
| overdue  | 1    | 1        | 1.5   |           | good     |
| overdue  | 1    | 2        | 1.5   |           | overdue  |
| overdue  | 2    | 1        |       | good      | good     |
| out      | 1    | 1        | 1.5   |           | out      |
| unproved | 1    | 1        | 1.5   |           | unproved |
| limit    | 1    | 1        | 2     |           |          |
| limit    | 1    | 2        | 1     |           |          |
| open     | 1    | 1        | 1.5   |           |          |
"""
)


@pytest.fixture(scope="module")
def lines():
    """What the checks say, by check and line."""
    timeline = timeline_of(VERDICTS)
    timeline.require({"placed_checks"})
    found = timeline.store.con.sql(
        "select check_id, line, n, n_out, completed, passed, gauge_valid from placed_checks "
        "join checks on checks.row_ix = check_ix "
        "join control_plan_lines on control_plan_lines.row_ix = line_ix"
    )
    return {(row[0], row[1]): row[2:] for row in found.fetchall()}


@pytest.mark.parametrize(
    ("check", "line", "n", "n_out", "completed", "passed"),
    [
        ("good", "1", 2, 0, True, True),
        ("good", "2", 1, 0, True, True),
        ("high", "1", 3, 2, True, False),
        ("high", "2", 1, 0, True, True),
        ("bad", "2", 2, 1, True, False),
        ("failed", "1", 1, 1, True, False),
        ("failed", "2", 1, 0, True, True),
        ("unshown", "1", 1, 0, True, False),
        ("unshown", "2", 1, 0, True, False),
        ("part", "1", 1, 0, True, True),
        ("part", "2", 0, 0, False, None),
        ("limit", "1", 2, 0, True, True),
        ("open", "1", 1, 0, True, None),
    ],
)
def test_each_line_is_judged_by_its_own_values(lines, check, line, n, n_out, completed, passed):
    assert lines[check, line][:4] == (n, n_out, completed, passed)


def test_a_check_covers_only_the_lines_that_it_measured(lines):
    assert {line for check, line in lines if check == "good"} == {"1", "2"}
    assert ("nothing", "1") not in lines
    assert ("bad", "1") not in lines


def test_one_gauge_out_of_date_makes_the_line_doubtful_and_no_other(lines):
    valid = {key: row[4] for key, row in lines.items()}
    assert not valid["overdue", "1"]
    assert not valid["out", "1"]
    assert valid["overdue", "2"]
    assert valid["good", "1"]
    assert valid["unproved", "1"]


TICKED = (
    PLANT
    + """
checks
| check_id | machine_id | part_no | kind      | done_at          | result     |
|----------|------------|---------|-----------|------------------|------------|
| pass     | M          | P       | patrol    | 2026-03-02 07:00 | pass       |
| fail     | M          | P       | patrol    | 2026-03-02 07:10 | fail       |
| part     | M          | P       | first-off | 2026-03-02 07:20 | incomplete |
"""
)


def test_without_any_measurements_a_check_covers_the_lines_that_list_its_kind():
    rows = derive("placed_checks", TICKED)
    assert pick(rows, "check_ix", "line_ix", "n", "completed", "passed") == [
        (0, 0, 0, True, True),
        (1, 0, 0, True, False),
        (0, 1, 0, True, True),
        (1, 1, 0, True, False),
        (2, 1, 0, False, None),
        (2, 2, 0, False, None),
    ]


TWO_PLANS = """
runs
| run_id | machine_id | part_no | start_at         | end_at           |
|--------|------------|---------|------------------|------------------|
| R1     | M          | P       | 2026-03-02 06:00 | 2026-03-04 10:00 |

control_plan_lines
| plan_no | rev | line | part_no | sample_n | basis        | interval_min | check_kinds | valid_from | upper_limit |
|---------|-----|------|---------|----------|--------------|--------------|-------------|------------|-------------|
| C1      | A   | 1    | P       | 2        | running-time | 120          | patrol      | 2026-01-01 | 2           |
| C2      | A   | 1    | P       | 2        | running-time | 120          | patrol      | 2026-01-01 | 2           |
| C1      | B   | 1    | P       | 2        | running-time | 120          | patrol      | 2026-03-03 | 1           |

checks
| check_id | machine_id | part_no | plan_no | kind   | done_at          | result |
|----------|------------|---------|---------|--------|------------------|--------|
| c1       | M          | P       | C1      | patrol | 2026-03-02 07:00 | pass   |
| c2       | M          | P       | C2      | patrol | 2026-03-02 07:10 | pass   |
| both     | M          | P       |         | patrol | 2026-03-03 07:10 | pass   |

measurements
| check_id | line | piece_no | value |
|----------|------|----------|-------|
| c1       | 1    | 1        | 1.5   |
| c2       | 1    | 1        | 1.5   |
| both     | 1    | 1        | 1.5   |
"""


def test_the_plan_that_a_check_names_decides_and_limits_are_those_of_the_time():
    rows = derive("placed_checks", TWO_PLANS)
    assert sorted(pick(rows, "check_ix", "line_ix", "plan_line_ix", "passed")) == [
        (0, 0, 0, True),
        (1, 1, 1, True),
        (2, 1, 1, True),
        (2, 2, 0, False),
    ]


def test_a_last_off_never_belongs_to_a_run_that_has_not_begun():
    tables = parse_tables(PLACES)
    del tables["setups"]
    rows = derive("check_runs", tables)
    assert [row["run_ix"] for row in rows if row["kind"] == "last-off"] == [1, 1]
