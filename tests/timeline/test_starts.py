"""Starts that ask for a set-up, and the record that proves it."""

# ruff: noqa: E501  # the tables are as wide as they are

import pytest
from tables import derive, pick

PLANT = """
runs
| run_id | machine_id | part_no | tool_id | start_at         | end_at           |
|--------|------------|---------|---------|------------------|------------------|
| A1     | A          | P       |         | 2026-03-02 06:00 | 2026-03-02 08:00 |
| A2     | A          | Q       | T1      | 2026-03-02 08:30 | 2026-03-02 10:00 |
| A3     | A          | P       | T1      | 2026-03-02 11:00 | 2026-03-02 12:00 |
| A4     | A          | P       | T2      | 2026-03-02 13:00 | 2026-03-02 14:00 |
| A5     | A          | P       |         | 2026-03-02 15:00 | 2026-03-02 16:00 |
| B1     | B          | P       |         | 2026-03-02 06:00 | 2026-03-02 08:00 |
| B2     | B          | Q       |         | 2026-03-02 20:00 | 2026-03-02 21:00 |
| C1     | C          | P       |         | 2026-03-02 06:00 | 2026-03-02 08:00 |
| C2     | C          | Q       |         | 2026-03-02 20:00 | 2026-03-02 21:00 |
| D1     | D          | P       |         | 2026-03-02 06:00 | 2026-03-02 08:00 |
| D2     | D          | Q       |         | 2026-03-02 08:10 | 2026-03-02 10:00 |

setups
| setup_id | machine_id | to_part | start_at         | end_at           | released_at      |
|----------|------------|---------|------------------|------------------|------------------|
| SA1      | A          | P       | 2026-03-02 05:30 | 2026-03-02 05:50 | 2026-03-02 05:59 |
| SA2      | A          | Q       | 2026-03-02 08:00 | 2026-03-02 08:20 |                  |
| SA2b     | A          | Q       | 2026-03-02 08:20 | 2026-03-02 08:32 | 2026-03-02 08:40 |
| SA3      | A          | P       | 2026-03-02 10:30 | 2026-03-02 11:01 |                  |
| SB2      | B          | Q       | 2026-03-02 11:30 | 2026-03-02 12:00 |                  |
| SC2      | C          | Q       | 2026-03-02 11:30 | 2026-03-02 11:59 |                  |
| SD2      | D          | Q       | 2026-03-02 08:00 | 2026-03-02 08:13 |                  |
"""


@pytest.fixture(scope="module")
def starts():
    return {row["run_id"]: row for row in derive("starts", PLANT)}


def test_the_first_run_and_each_change_of_part_or_tool_are_starts(starts):
    assert {run: row["kind"] for run, row in starts.items() if run[0] == "A"} == {
        "A1": "first",
        "A2": "part",
        "A3": "part",
        "A4": "tool",
    }


def test_a_tool_that_is_not_written_is_no_change(starts):
    assert "A5" not in starts


def test_the_latest_record_of_machine_and_part_serves_even_two_minutes_after_the_start(starts):
    assert starts["A1"]["setup_id"] == "SA1"
    assert starts["A2"]["setup_id"] == "SA2b"


def test_a_record_three_minutes_after_the_start_is_beyond_what_clocks_of_one_system_allow(starts):
    assert starts["D2"]["setup_id"] is None


def test_a_record_exactly_eight_hours_before_serves_and_one_minute_more_does_not(starts):
    assert starts["B2"]["setup_id"] == "SB2"
    assert starts["C2"]["setup_id"] is None


def test_a_record_that_served_an_earlier_start_is_not_taken_again(starts):
    # SA1 lies within eight hours of A3, and SA3 (which ended a minute into A3) of A4.
    assert starts["A3"]["setup_id"] == "SA3"
    assert starts["A4"]["setup_id"] is None


def test_the_release_comes_from_the_record(starts):
    assert pick([starts["A2"], starts["A3"]], "released_at", "release_basis") == [
        ("2026-03-02 08:40", "record"),
        (None, "none"),
    ]


def test_the_look_back_is_a_criterion():
    rows = {row["run_id"]: row for row in derive("starts", PLANT, setup_lookback_min=960)}
    assert rows["C2"]["setup_id"] == "SC2"


LAB = """
extracts
| extract_id | file_name | sha256 | zone | clock_id | rows_read | rows_loaded | rows_refused | rows_duplicate |
|------------|-----------|--------|------|----------|-----------|-------------|--------------|----------------|
| lab        | lab.csv   | 0      | UTC  | lab      | 1         | 1           | 0            | 0              |

clocks
| clock_id | valid_from       | offset_s | method |
|----------|------------------|----------|--------|
| lab      | 2026-01-01 00:00 | 660      | pairs  |

runs
| run_id | machine_id | part_no | start_at         | end_at           |
|--------|------------|---------|------------------|------------------|
| R      | M          | P       | 2026-03-02 02:06 | 2026-03-02 08:00 |

setups
| setup_id | machine_id | to_part | start_at         | end_at           | released_at      |
|----------|------------|---------|------------------|------------------|------------------|
| S        | M          | P       | 2026-03-02 01:00 | 2026-03-02 01:50 | 2026-03-02 02:05 |

checks
| check_id | machine_id | part_no | kind      | done_at          | result | extract_id |
|----------|------------|---------|-----------|------------------|--------|------------|
| C        | M          | P       | first-off | 2026-03-02 02:12 | pass   | lab        |
"""


def test_golden_case_12_a_result_of_a_fast_clock_came_before_the_release():
    (start,) = derive("starts", LAB)
    (check,) = derive("check_runs", LAB)
    assert pick([check], "done_at") == [("2026-03-02 02:01",)]
    assert check["done_at"] < start["released_at"]
    assert check["run_ix"] == start["run_ix"]
