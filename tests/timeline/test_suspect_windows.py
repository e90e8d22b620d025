"""Windows in which product is suspect: golden cases 5 and 6, and each trigger."""

# ruff: noqa: E501  # the tables are as wide as they are

import pytest
from tables import derive, parse_tables, pick

RUNS = ("G5", "G6", "Early", "NoGood", "NoRel", "First", "Free", "Open", "Again", "Long", "Taken")
PLANT = (
    """
runs
| run_id | machine_id | part_no | start_at         | end_at           | good |
|--------|------------|---------|------------------|------------------|------|
"""
    + "\n".join(
        f"| {name} | {name} | P | 2026-03-02 06:00 | 2026-03-02 14:00 | 480 |" for name in RUNS
    )
    + """

setups
| setup_id | machine_id | to_part | start_at         | end_at           | released_at      |
|----------|------------|---------|------------------|------------------|------------------|
| NoGood   | NoGood     | P       | 2026-03-02 05:00 | 2026-03-02 05:50 | 2026-03-02 06:20 |
| Early    | Early      | P       | 2026-03-02 05:00 | 2026-03-02 05:50 | 2026-03-02 05:55 |
| First    | First      | P       | 2026-03-02 05:00 | 2026-03-02 05:50 | 2026-03-02 05:58 |

control_plan_lines
| plan_no | rev | line | part_no | sample_n | basis        | interval_min | check_kinds | valid_from | lower_limit | upper_limit |
|---------|-----|------|---------|----------|--------------|--------------|-------------|------------|-------------|-------------|
| CP      | A   | 1    | P       | 1        | running-time | 120          | patrol      | 2026-01-01 | 1           | 2           |
| CP      | A   | 2    | P       | 1        | running-time | 120          | patrol      | 2026-01-01 | 1           | 2           |

gauges
| gauge_id | type |
|----------|------|
| due      | mic  |
| fine     | mic  |

calibrations
| gauge_id | done_on    | verdict | next_due   |
|----------|------------|---------|------------|
| due      | 2026-01-01 | in      | 2026-03-01 |
| fine     | 2026-01-01 | in      | 2026-09-01 |

process_events
| event_id | machine_id | happened_at      | kind   |
|----------|------------|------------------|--------|
| G5       | G5         | 2026-03-02 11:52 | offset |
| G6       | G6         | 2026-03-02 11:52 | offset |
| Long     | Long       | 2026-03-02 09:01 | offset |
| Again    | Again      | 2026-03-02 08:50 | repair |
| Open     | Open       | 2026-03-02 08:30 | bypass |

stoppages
| stop_id | machine_id | start_at         | end_at           | reason | planned | acknowledged_at  |
|---------|------------|------------------|------------------|--------|---------|------------------|
| Taken   | Taken      | 2026-03-02 08:10 | 2026-03-02 08:20 | jam    |         | 2026-03-02 08:12 |

checks
| check_id | machine_id | part_no | kind      | taken_at         | done_at          | result |
|----------|------------|---------|-----------|------------------|------------------|--------|
| G5a      | G5         | P       | patrol    |                  | 2026-03-02 07:50 | pass   |
| G5b      | G5         | P       | patrol    |                  | 2026-03-02 09:45 | pass   |
| G5c      | G5         | P       | patrol    |                  | 2026-03-02 11:40 | fail   |
| G5d      | G5         | P       | patrol    |                  | 2026-03-02 12:05 | pass   |
| G6a      | G6         | P       | patrol    |                  | 2026-03-02 07:50 | pass   |
| G6b      | G6         | P       | patrol    |                  | 2026-03-02 09:45 | pass   |
| G6c      | G6         | P       | patrol    |                  | 2026-03-02 11:40 | fail   |
| G6x      | G6         | P       | patrol    |                  | 2026-03-02 12:00 | pass   |
| G6d      | G6         | P       | patrol    |                  | 2026-03-02 12:05 | pass   |
| Early1   | Early      | P       | first-off |                  | 2026-03-02 05:40 | fail   |
| Early2   | Early      | P       | first-off |                  | 2026-03-02 05:50 | pass   |
| NoGood1  | NoGood     | P       | patrol    |                  | 2026-03-02 08:00 | fail   |
| NoGood2  | NoGood     | P       | patrol    |                  | 2026-03-02 08:30 | pass   |
| NoRel1   | NoRel      | P       | patrol    |                  | 2026-03-02 08:00 | fail   |
| NoRel2   | NoRel      | P       | patrol    |                  | 2026-03-02 08:30 | pass   |
| First1   | First      | P       | patrol    |                  | 2026-03-02 08:00 | fail   |
| First2   | First      | P       | patrol    |                  | 2026-03-02 08:30 | pass   |
| Free1    | Free       | P       | patrol    |                  | 2026-03-02 07:00 | pass   |
| Free2    | Free       | P       | patrol    |                  | 2026-03-02 08:00 | pass   |
| Free3    | Free       | P       | patrol    |                  | 2026-03-02 08:30 | pass   |
| Open1    | Open       | P       | patrol    |                  | 2026-03-02 07:00 | pass   |
| Open2    | Open       | P       | patrol    |                  | 2026-03-02 08:00 | fail   |
| Open3    | Open       | P       | patrol    |                  | 2026-03-02 09:00 | pass   |
| Again1   | Again      | P       | patrol    |                  | 2026-03-02 07:00 | pass   |
| Again2   | Again      | P       | patrol    |                  | 2026-03-02 08:00 | fail   |
| Again3   | Again      | P       | patrol    |                  | 2026-03-02 08:30 | fail   |
| Again4   | Again      | P       | patrol    |                  | 2026-03-02 08:40 | pass   |
| Again5   | Again      | P       | patrol    |                  | 2026-03-02 09:00 | pass   |
| Again6   | Again      | P       | patrol    |                  | 2026-03-02 10:00 | fail   |
| Again7   | Again      | P       | patrol    |                  | 2026-03-02 11:00 | pass   |
| Long1    | Long       | P       | patrol    |                  | 2026-03-02 07:00 | pass   |
| Long2    | Long       | P       | patrol    |                  | 2026-03-02 08:00 | fail   |
| Long3    | Long       | P       | patrol    |                  | 2026-03-02 08:30 | pass   |
| Long4    | Long       | P       | patrol    |                  | 2026-03-02 10:00 | pass   |
| Taken1   | Taken      | P       | patrol    | 2026-03-02 07:00 | 2026-03-02 07:30 | pass   |
| Taken2   | Taken      | P       | patrol    |                  | 2026-03-02 08:00 | fail   |
| Taken3   | Taken      | P       | patrol    | 2026-03-02 08:11 | 2026-03-02 08:40 | pass   |
| Taken4   | Taken      | P       | patrol    | 2026-03-02 08:50 | 2026-03-02 09:00 | pass   |

measurements
| check_id | line | piece_no | value | gauge_id |
|----------|------|----------|-------|----------|
| G5a      | 1    | 1        | 1.5   | fine     |
| G5b      | 1    | 1        | 1.5   | fine     |
| G5b      | 2    | 1        | 1.5   | fine     |
| G5c      | 1    | 1        | 2.5   | fine     |
| G5c      | 2    | 1        | 1.5   | fine     |
| G5d      | 1    | 1        | 1.5   | fine     |
| G6a      | 1    | 1        | 1.5   | fine     |
| G6b      | 1    | 1        | 1.5   | due      |
| G6c      | 1    | 1        | 2.5   | fine     |
| G6x      | 1    | 1        | 1.5   | due      |
| G6d      | 1    | 1        | 1.5   | fine     |
| Early1   | 1    | 1        | 2.5   |          |
| Early2   | 1    | 1        | 1.5   |          |
| NoGood1  | 1    | 1        | 2.5   |          |
| NoGood2  | 1    | 1        | 1.5   |          |
| NoRel1   | 1    | 1        | 2.5   |          |
| NoRel2   | 1    | 1        | 1.5   |          |
| First1   | 1    | 1        | 2.5   |          |
| First2   | 1    | 1        | 1.5   |          |
| Free1    | 1    | 1        | 1.5   |          |
| Free2    | 1    | 1        | 2.5   |          |
| Free3    | 1    | 1        | 1.5   |          |
| Open1    | 1    | 1        | 1.5   |          |
| Open2    | 1    | 1        | 2.5   |          |
| Open3    | 2    | 1        | 1.5   |          |
| Again1   | 1    | 1        | 1.5   |          |
| Again2   | 1    | 1        | 2.5   |          |
| Again3   | 1    | 1        | 2.5   |          |
| Again4   | 1    | 1        | 1.5   |          |
| Again5   | 1    | 1        | 1.5   |          |
| Again6   | 1    | 1        | 2.5   |          |
| Again7   | 1    | 1        | 1.5   |          |
| Long1    | 1    | 1        | 1.5   |          |
| Long2    | 1    | 1        | 2.5   |          |
| Long3    | 1    | 1        | 1.5   |          |
| Long4    | 1    | 1        | 1.5   |          |
| Taken1   | 1    | 1        | 1.5   |          |
| Taken2   | 1    | 1        | 2.5   |          |
| Taken3   | 1    | 1        | 1.5   |          |
| Taken4   | 1    | 1        | 1.5   |          |
"""
)
SPAN = ("from_at", "to_at", "from_basis")


@pytest.fixture(scope="module")
def windows():
    found = {name: [] for name in RUNS}
    for row in derive("suspect_windows", PLANT):
        found[row["machine_id"]].append(row)
    return found


def test_golden_case_5_from_the_last_good_check_to_the_one_after_the_correction(windows):
    assert pick(windows["G5"], "kind", "trigger_ref", *SPAN, "pieces") == [
        ("failed-check", "G5c", "2026-03-02 09:45", "2026-03-02 12:05", "good-check", 140)
    ]
    assert pick(windows["G5"], "detected_at", "closing_check_ix") == [("2026-03-02 11:40", 3)]


def test_golden_case_6_neither_end_rests_on_a_gauge_that_was_due(windows):
    assert pick(windows["G6"], *SPAN) == [("2026-03-02 07:50", "2026-03-02 12:05", "good-check")]


def test_a_first_off_that_failed_and_was_mended_before_the_start_leaves_no_window(windows):
    assert windows["Early"] == []


def test_without_a_good_check_the_window_begins_at_the_release(windows):
    assert pick(windows["NoGood"], *SPAN) == [("2026-03-02 06:20", "2026-03-02 08:30", "release")]
    # A release before the start: nothing was made between them.
    assert pick(windows["First"], *SPAN) == [("2026-03-02 06:00", "2026-03-02 08:30", "release")]


def test_without_a_release_it_begins_with_the_run(windows):
    assert pick(windows["NoRel"], *SPAN) == [("2026-03-02 06:00", "2026-03-02 08:30", "run-start")]


def test_a_passed_check_with_a_value_out_is_a_failure(windows):
    assert pick(windows["Free"], "trigger_ref", *SPAN) == [
        ("Free2", "2026-03-02 07:00", "2026-03-02 08:30", "good-check")
    ]


def test_a_good_check_of_another_line_closes_nothing(windows):
    (row,) = windows["Open"]
    assert (row["to_at"], row["closing_check_ix"]) == (None, None)
    assert pick([row], "end_at", "pieces") == [("2026-03-02 14:00", 7 * 60)]


def test_repeated_failures_make_one_window_until_the_last_is_closed(windows):
    # The repair at 08:50 answers both; 08:40 was good, but before the repair.
    assert pick(windows["Again"], "trigger_ref", *SPAN) == [
        ("Again2", "2026-03-02 07:00", "2026-03-02 09:00", "good-check"),
        ("Again6", "2026-03-02 09:00", "2026-03-02 11:00", "good-check"),
    ]


def test_a_correction_after_the_reaction_time_is_not_that_failures(windows):
    assert pick(windows["Long"], *SPAN) == [("2026-03-02 07:00", "2026-03-02 08:30", "good-check")]
    rows = derive("suspect_windows", PLANT, reaction_within_running_min=61)
    late = [row for row in rows if row["machine_id"] == "Long"]
    assert pick(late, *SPAN) == [("2026-03-02 07:00", "2026-03-02 10:00", "good-check")]


def test_a_window_begins_when_good_pieces_were_taken_and_closes_on_pieces_taken_since(windows):
    # An acknowledged stop is a correction; the pieces of 08:11 were taken before it at 08:12.
    assert pick(windows["Taken"], *SPAN) == [("2026-03-02 07:00", "2026-03-02 09:00", "good-check")]


OTHERS = """
runs
| run_id | machine_id | part_no | start_at         | end_at           |
|--------|------------|---------|------------------|------------------|
| Chal   | Chal       | P       | 2026-03-02 06:00 | 2026-03-02 14:00 |
| Gauge  | Gauge      | P       | 2026-03-02 06:00 | 2026-03-02 14:00 |
| Stop   | Stop       | P       | 2026-03-02 06:00 | 2026-03-02 14:00 |
| Off    | Off        | L       | 2026-03-02 06:00 | 2026-03-02 14:00 |
| OffOk  | OffOk      | L       | 2026-03-02 06:00 | 2026-03-02 14:00 |

control_plan_lines
| plan_no | rev | line | part_no | sample_n | basis        | interval_min | check_kinds     | valid_from |
|---------|-----|------|---------|----------|--------------|--------------|-----------------|------------|
| CP      | A   | 1    | P       | 1        | running-time | 120          | patrol          | 2026-01-01 |
| CP      | A   | 2    | P       | 1        | shift        |              | challenge       | 2026-01-01 |
| CL      | A   | 1    | L       | 1        | running-time | 120          | patrol;last-off | 2026-01-01 |
| CL      | A   | 2    | L       | 1        | running-time | 120          | patrol          | 2026-01-01 |

calibrations
| gauge_id | done_on    | verdict | next_due   |
|----------|------------|---------|------------|
| bent     | 2026-02-01 | in      | 2026-12-01 |
| bent     | 2026-03-05 | out     |            |
| bent     | 2026-03-06 | in      |            |

stoppages
| stop_id | machine_id | start_at         | end_at           | reason |
|---------|------------|------------------|------------------|--------|
| s1      | Stop       | 2026-03-02 07:00 | 2026-03-02 08:00 |        |
| s2      | Stop       | 2026-03-02 09:00 | 2026-03-02 10:00 |        |
| s3      | Stop       | 2026-03-02 13:00 | 2026-03-02 13:50 |        |

checks
| check_id | machine_id | part_no | kind      | done_at          | result |
|----------|------------|---------|-----------|------------------|--------|
| C1       | Chal       | P       | challenge | 2026-03-02 07:00 | pass   |
| C2       | Chal       | P       | patrol    | 2026-03-02 08:00 | pass   |
| C3       | Chal       | P       | challenge | 2026-03-02 09:00 | fail   |
| C4       | Chal       | P       | patrol    | 2026-03-02 10:00 | pass   |
| C5       | Chal       | P       | challenge | 2026-03-02 11:00 | pass   |
| C6       | Chal       | P       | challenge | 2026-03-02 12:00 | fail   |
| G1       | Gauge      | P       | patrol    | 2026-03-02 07:00 | pass   |
| G2       | Gauge      | P       | patrol    | 2026-03-02 08:00 | pass   |
| G3       | Gauge      | P       | patrol    | 2026-03-02 09:00 | pass   |
| G4       | Gauge      | P       | patrol    | 2026-03-02 10:00 | pass   |
| G5       | Gauge      | P       | patrol    | 2026-03-02 12:00 | pass   |
| S1       | Stop       | P       | patrol    | 2026-03-02 08:15 | pass   |
| S2       | Stop       | P       | patrol    | 2026-03-02 10:05 | fail   |
| S3       | Stop       | P       | patrol    | 2026-03-02 10:16 | pass   |
| O1       | Off        | L       | patrol    | 2026-03-02 09:00 | pass   |
| O2       | OffOk      | L       | last-off  | 2026-03-02 14:00 | pass   |

measurements
| check_id | line | piece_no | attribute | gauge_id |
|----------|------|----------|-----------|----------|
| C2       | 1    | 1        | good      |          |
| C4       | 1    | 1        | good      |          |
| C6       | 2    | 1        | bad       |          |
| G1       | 1    | 1        | good      | other    |
| G2       | 1    | 1        | good      | bent     |
| G3       | 1    | 1        | good      | bent     |
| G4       | 1    | 1        | good      | other    |
| G5       | 1    | 1        | good      | bent     |
| S1       | 1    | 1        | good      |          |
| S3       | 1    | 1        | good      |          |
| O1       | 1    | 1        | good      |          |
| O2       | 1    | 1        | good      |          |
"""


@pytest.fixture(scope="module")
def others():
    found = {}
    for row in derive("suspect_windows", OTHERS, zone="Europe/Berlin"):
        found.setdefault(row["machine_id"], []).append(row)
    return found


def test_a_failed_challenge_goes_back_to_the_last_good_challenge_and_patrols_close_nothing(others):
    rows = sorted(others["Chal"], key=lambda row: row["detected_at"])
    assert pick(rows, "kind", "trigger_ref", *SPAN, "line_ix") == [
        # This one measured no line and stands for the run.
        ("failed-challenge", "C3", "2026-03-02 06:00", "2026-03-02 10:00", "good-check", None),
        # This one measured a line that no challenge of the run had measured before.
        ("failed-challenge", "C6", "2026-03-02 05:00", None, "run-start", 1),
    ]


def test_a_gauge_found_out_goes_back_over_every_stretch_that_rests_on_it(others):
    assert pick(others["Gauge"], "kind", "trigger_ref", *SPAN) == [
        ("gauge-out", "bent/2026-03-05", "2026-03-02 06:00", "2026-03-02 09:00", "good-check"),
        ("gauge-out", "bent/2026-03-05", "2026-03-02 09:00", None, "good-check"),
    ]
    assert {row[0] for row in pick(others["Gauge"], "detected_at")} == {"2026-03-05 23:00"}


def test_a_restart_past_its_limit_is_suspect_from_the_stop_to_a_good_check(others):
    # s1 was checked after exactly 15 minutes, s2 after 5 (which failed: a window of its own), and
    # after s3 the run ended within the limit.
    assert [row["kind"] for row in others["Stop"]] == ["failed-check"]


def test_a_failed_check_that_measured_no_line_stands_for_the_run(others):
    assert pick(others["Stop"], "trigger_ref", *SPAN, "line_ix") == [
        ("S2", "2026-03-02 07:15", "2026-03-02 09:16", "good-check", None)
    ]


def test_a_restart_limit_is_a_criterion():
    rows = derive("suspect_windows", OTHERS, restart_check_running_min=4)
    found = [row for row in rows if row["kind"] == "restart"]
    assert pick(found, "trigger_ref", "detected_at", *SPAN, "line_ix") == [
        ("s1", "2026-03-02 08:00", "2026-03-02 07:00", "2026-03-02 08:15", "stop", None),
        ("s2", "2026-03-02 10:00", "2026-03-02 09:00", "2026-03-02 10:16", "stop", None),
        ("s3", "2026-03-02 13:50", "2026-03-02 13:00", None, "stop", None),
    ]


def test_a_missing_last_off_leaves_the_end_open_for_the_lines_that_ask_for_one(others):
    assert pick(others["Off"], "kind", "trigger_ref", *SPAN, "line_ix") == [
        ("last-off", "Off", "2026-03-02 08:00", "2026-03-02 13:00", "good-check", 2)
    ]
    assert "OffOk" not in others


def test_without_measurements_a_failed_check_fails_the_lines_of_its_kind():
    tables = parse_tables(OTHERS)
    del tables["measurements"], tables["stoppages"]
    rows = [row for row in derive("suspect_windows", tables) if row["machine_id"] == "Stop"]
    assert pick(rows, "trigger_ref", "from_at", "to_at") == [
        ("S2", "2026-03-02 08:15", "2026-03-02 10:16")
    ]
