"""Gaps between checks: the golden cases, release, versions, and the shape of the rows."""

# ruff: noqa: E501  # the tables are as wide as they are

import pytest
from tables import derive, pick

HEAD = """
machines
| machine_id | area | process |
|------------|------|---------|
| G1         | A    | turning |
| G2         | A    | turning |
| Rel        | A    | turning |
| Pre        | A    | turning |
| Late       | A    | turning |
| Two        | A    | turning |
| Ver        | A    | turning |
| Basis      | A    | turning |
| Unk        | A    | turning |
| None       | A    | turning |

shift_instances
| area | production_date | shift | start_at         | end_at           | overtime |
|------|-----------------|-------|------------------|------------------|----------|
| A    | 2026-03-02      | early | 2026-03-02 05:30 | 2026-03-02 13:30 | no       |
| A    | 2026-03-02      | late  | 2026-03-02 13:30 | 2026-03-02 21:30 | no       |

runs
| run_id | machine_id | part_no | start_at         | end_at           | good |
|--------|------------|---------|------------------|------------------|------|
| G1     | G1         | P       | 2026-03-02 06:00 | 2026-03-02 13:30 | 360  |
| G2     | G2         | P       | 2026-03-02 12:00 | 2026-03-02 16:00 | 240  |
| Rel    | Rel        | P       | 2026-03-02 06:00 | 2026-03-02 08:00 |      |
| Pre    | Pre        | P       | 2026-03-02 06:00 | 2026-03-02 08:00 |      |
| Late   | Late       | P       | 2026-03-02 06:00 | 2026-03-02 08:00 |      |
| Two    | Two        | T       | 2026-03-02 06:00 | 2026-03-02 12:00 |      |
| Ver    | Ver        | V       | 2026-03-01 18:00 | 2026-03-03 04:00 |      |
| Basis  | Basis      | B       | 2026-03-01 18:00 | 2026-03-02 06:00 |      |
| Unk    | Unk        | P       | 2026-03-02 06:00 | 2026-03-02 08:00 |      |
| None   | None       | N       | 2026-03-02 06:00 | 2026-03-02 08:00 |      |

setups
| setup_id | machine_id | to_part | start_at         | end_at           | released_at      |
|----------|------------|---------|------------------|------------------|------------------|
| Rel      | Rel        | P       | 2026-03-02 05:00 | 2026-03-02 05:50 | 2026-03-02 06:20 |
| Pre      | Pre        | P       | 2026-03-02 05:00 | 2026-03-02 05:50 | 2026-03-02 05:55 |

stoppages
| stop_id | machine_id | start_at         | end_at           |
|---------|------------|------------------|------------------|
| G1      | G1         | 2026-03-02 07:00 | 2026-03-02 08:30 |

control_plan_lines
| plan_no | rev | line | part_no | sample_n | basis        | interval_min | check_kinds | valid_from | valid_to   |
|---------|-----|------|---------|----------|--------------|--------------|-------------|------------|------------|
| CP      | A   | 10   | P       | 1        | running-time | 120          | patrol      | 2026-01-01 |            |
| CT      | A   | 9    | T       | 1        | running-time | 120          | patrol      | 2026-01-01 |            |
| CT      | A   | 10   | T       | 1        | running-time | 60           | patrol      | 2026-01-01 |            |
| CT      | A   | 11   | T       | 1        | clock-time   | 60           | patrol      | 2026-01-01 |            |
| CT      | A   | 12   | T       | 1        | pieces       |              | patrol      | 2026-01-01 |            |
| CV      | A   | 1    | V       | 1        | running-time | 120          | patrol      | 2026-01-01 |            |
| CV      | B   | 1    | V       | 1        | running-time | 60           | patrol      | 2026-03-02 | 2026-03-02 |
| CB      | A   | 1    | B       | 1        | running-time | 120          | patrol      | 2026-01-01 |            |
| CB      | B   | 1    | B       | 1        | clock-time   | 120          | patrol      | 2026-03-02 |            |
"""
CHECKS = (
    HEAD
    + """
checks
| check_id | machine_id | part_no | run_id | kind      | done_at          | result     |
|----------|------------|---------|--------|-----------|------------------|------------|
| G1a      | G1         | P       |        | patrol    | 2026-03-02 06:10 | pass       |
| G1b      | G1         | P       |        | patrol    | 2026-03-02 09:20 | pass       |
| G2a      | G2         | P       |        | patrol    | 2026-03-02 12:30 | pass       |
| G2b      | G2         | P       |        | patrol    | 2026-03-02 15:00 | fail       |
| Rel0     | Rel        | P       |        | first-off | 2026-03-02 06:10 | pass       |
| Rel1     | Rel        | P       |        | patrol    | 2026-03-02 07:00 | pass       |
| Rel2     | Rel        | P       |        | patrol    | 2026-03-02 07:00 | pass       |
| Pre0     | Pre        | P       |        | first-off | 2026-03-02 05:52 | pass       |
| Late1    | Late       | P       |        | patrol    | 2026-03-02 08:00 | pass       |
| Late2    | Late       | P       |        | last-off  | 2026-03-02 09:00 | pass       |
| Two1     | Two        | T       |        | patrol    | 2026-03-02 08:00 | pass       |
| Two2     | Two        | T       |        | patrol    | 2026-03-02 09:00 | incomplete |
| Ver1     | Ver        | V       |        | patrol    | 2026-03-01 23:30 | pass       |
| Ver2     | Ver        | V       |        | patrol    | 2026-03-02 01:00 | pass       |
| Ver3     | Ver        | V       |        | patrol    | 2026-03-02 02:00 | pass       |
| Unk1     | Unk        | P       | Unk    | patrol    |                  | pass       |

measurements
| check_id | line | piece_no | value |
|----------|------|----------|-------|
| G1a      | 10   | 1        | 1     |
| G1b      | 10   | 1        | 1     |
| G2a      | 10   | 1        | 1     |
| G2b      | 10   | 1        | 1     |
| Rel0     | 10   | 1        | 1     |
| Rel1     | 10   | 1        | 1     |
| Rel2     | 10   | 1        | 1     |
| Pre0     | 10   | 1        | 1     |
| Late1    | 10   | 1        | 1     |
| Late2    | 10   | 1        | 1     |
| Two1     | 9    | 1        | 1     |
| Two1     | 10   | 1        | 1     |
| Two1     | 11   | 1        | 1     |
| Two2     | 9    | 1        | 1     |
| Two2     | 10   | 1        |       |
| Ver1     | 1    | 1        | 1     |
| Ver2     | 1    | 1        | 1     |
| Ver3     | 1    | 1        | 1     |
| Unk1     | 10   | 1        | 1     |
"""
)
ENDS = ("from_at", "to_at", "from_kind", "to_kind")


@pytest.fixture(scope="module")
def gaps():
    """Rows by machine."""
    machines = dict.fromkeys(range(1, 11))
    names = ["Basis", "G1", "G2", "Late", "None", "Pre", "Rel", "Two", "Unk", "Ver"]
    by_ix = dict(zip(machines, names, strict=True))
    found = {name: [] for name in names}
    for row in derive("check_gaps", CHECKS):
        found[by_ix[row["machine_ix"]]].append(row)
    return found


def test_golden_case_1_a_stop_pauses_the_clock(gaps):
    between = gaps["G1"][1]
    assert pick([between], *ENDS) == [("2026-03-02 06:10", "2026-03-02 09:20", "check", "check")]
    assert (between["running_s"], between["wall_s"]) == (100 * 60, 190 * 60)
    assert between["limit_s"] == 132 * 60


def test_golden_case_2_the_clock_goes_on_over_a_change_of_shift(gaps):
    between = gaps["G2"][1]
    assert between["running_s"] == 150 * 60
    assert between["running_s"] > between["limit_s"]
    # A check that fails was made all the same.
    assert between["to_kind"] == "check"


def test_a_gap_belongs_to_the_shift_in_which_it_ends(gaps):
    assert [row["shift_ix"] for row in gaps["G2"]] == [1, 2, 2]
    # This run ends on the hour of the change: the shift that goes.
    assert gaps["G1"][-1]["shift_ix"] == 1


def test_pieces_are_those_of_the_clock(gaps):
    assert [row["pieces"] for row in gaps["G2"]] == [30, 150, 60]
    assert gaps["Rel"][0]["pieces"] is None


def test_gaps_begin_at_a_release_after_the_start_and_equal_times_make_one_point(gaps):
    assert pick(gaps["Rel"], *ENDS) == [
        ("2026-03-02 06:20", "2026-03-02 07:00", "release", "check"),
        ("2026-03-02 07:00", "2026-03-02 08:00", "check", "run-end"),
    ]


def test_a_release_before_the_start_counts_as_the_start(gaps):
    assert pick(gaps["Pre"], *ENDS) == [
        ("2026-03-02 06:00", "2026-03-02 08:00", "release", "run-end")
    ]


def test_no_recorded_release_counts_as_released_at_the_start(gaps):
    assert gaps["G1"][0]["from_kind"] == "start"


def test_a_check_after_the_end_ends_no_gap(gaps):
    assert pick(gaps["Late"], *ENDS) == [("2026-03-02 06:00", "2026-03-02 08:00", "start", "check")]


def test_lines_with_one_gap_make_one_row_under_the_strictest_limit(gaps):
    running = [row for row in gaps["Two"] if row["basis"] == "running-time"]
    assert pick(running, "from_at", "to_at", "lines", "limit_s") == [
        ("2026-03-02 06:00", "2026-03-02 08:00", "10,9", 70 * 60),
        ("2026-03-02 08:00", "2026-03-02 09:00", "9", 132 * 60),
        ("2026-03-02 08:00", "2026-03-02 12:00", "10", 70 * 60),
        ("2026-03-02 09:00", "2026-03-02 12:00", "9", 132 * 60),
    ]
    assert running[0]["line_ixs"] == [1, 2]


def test_lines_due_by_the_clock_have_rows_of_their_own_and_lines_due_by_pieces_none(gaps):
    clock = [row for row in gaps["Two"] if row["basis"] == "clock-time"]
    assert [row["lines"] for row in clock] == ["11", "11"]
    assert {name for row in gaps["Two"] for name in row["lines"].split(",")} == {"9", "10", "11"}


def test_a_new_version_restarts_nothing_and_the_most_generous_limit_of_a_gap_serves(gaps):
    assert pick(gaps["Ver"], "from_at", "to_at", "limit_s", "line_ixs") == [
        ("2026-03-01 18:00", "2026-03-01 23:30", 132 * 60, [5]),
        ("2026-03-01 23:30", "2026-03-02 01:00", 132 * 60, [6]),
        ("2026-03-02 01:00", "2026-03-02 02:00", 70 * 60, [6]),
        ("2026-03-02 02:00", "2026-03-03 04:00", 132 * 60, [5]),
    ]


def test_a_line_that_changes_its_basis_is_tiled_for_each(gaps):
    assert pick(gaps["Basis"], *ENDS, "basis") == [
        ("2026-03-01 18:00", "2026-03-02 00:00", "start", "run-end", "running-time"),
        ("2026-03-02 00:00", "2026-03-02 06:00", "start", "run-end", "clock-time"),
    ]


def test_a_completed_check_without_a_time_is_told(gaps):
    assert [row["time_missing"] for row in gaps["Unk"]] == [True]
    assert {row["time_missing"] for row in gaps["G1"]} == {False}


def test_a_run_without_a_plan_has_no_gap(gaps):
    assert gaps["None"] == []


def test_without_staffing_records_the_class_is_not_assessable(gaps):
    assert {row["attendance"] for row in gaps["G1"]} == {"not-assessable"}


def night(checks, start, end):
    rows = "\n".join(f"| {at} | M | P | patrol | {at} | pass |" for at in checks)
    return f"""
runs
| run_id | machine_id | part_no | start_at | end_at |
|--------|------------|---------|----------|--------|
| R      | M          | P       | {start}  | {end}  |

control_plan_lines
| plan_no | rev | line | part_no | sample_n | basis        | interval_min | check_kinds | valid_from |
|---------|-----|------|---------|----------|--------------|--------------|-------------|------------|
| CP      | A   | 10   | P       | 1        | running-time | 120          | patrol      | 2026-01-01 |

checks
| check_id | machine_id | part_no | kind | done_at | result |
|----------|------------|---------|------|---------|--------|
{rows}
"""


def test_golden_case_3_the_hour_that_comes_twice_has_run():
    tables = night(
        ["2026-10-25T01:45+02:00", "2026-10-25 03:00"], "2026-10-24 22:00", "2026-10-25 05:00"
    )
    between = derive("check_gaps", tables, zone="Europe/Berlin")[1]
    assert between["running_s"] == 135 * 60
    assert between["running_s"] - between["limit_s"] == 3 * 60


def test_golden_case_4_the_hour_that_is_left_out_has_not_run():
    tables = night(["2026-03-29 01:30", "2026-03-29 04:00"], "2026-03-28 22:00", "2026-03-29 05:00")
    between = derive("check_gaps", tables, zone="Europe/Berlin")[1]
    assert between["running_s"] == 90 * 60


STAFFED = (
    night(["2026-03-02 06:00"], "2026-03-02 06:00", "2026-03-02 12:00")
    + """
machines
| machine_id | area | process |
|------------|------|---------|
| M          | A    | turning |

allocations
| person_key | machine_or_group | start_at         | end_at           | role     | basis  |
|------------|------------------|------------------|------------------|----------|--------|
| p          | M                | 2026-03-02 06:00 | {until} | operator | actual |
"""
)


@pytest.mark.parametrize(
    ("until", "attendance"),
    [("2026-03-02 10:00", "attended"), ("2026-03-02 09:59", "mixed")],
)
def test_a_class_needs_two_thirds_of_the_running_time(until, attendance):
    (gap,) = derive("check_gaps", STAFFED.format(until=until))
    assert gap["attendance"] == attendance


def test_a_gap_in_which_nothing_ran_has_no_class():
    tables = (
        night(["2026-03-02 07:00"], "2026-03-02 06:00", "2026-03-02 12:00")
        + """
stoppages
| stop_id | machine_id | start_at         | end_at           |
|---------|------------|------------------|------------------|
| S       | M          | 2026-03-02 06:00 | 2026-03-02 07:30 |
"""
    )
    first, second = derive("check_gaps", tables)
    assert (first["running_s"], first["attendance"]) == (0, None)
    assert second["running_s"] == 270 * 60


def test_time_outside_a_stated_period_is_unknown():
    tables = night(["2026-03-02 07:00"], "2026-03-02 06:00", "2026-03-02 12:00")
    first, second = derive(
        "check_gaps", tables, period=("2026-03-02 06:30:00", "2026-03-02 11:00:00")
    )
    assert (first["running_s"], first["unknown_s"]) == (30 * 60, 30 * 60)
    assert (second["running_s"], second["unknown_s"]) == (240 * 60, 60 * 60)
