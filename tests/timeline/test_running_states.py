"""When a machine ran, stood, or nobody knows, and how many pieces it made meanwhile."""

from tables import derive, pick

STATES = """
machine_states
| machine_id | start_at         | end_at           | state |
|------------|------------------|------------------|-------|
"""
COUNTS = """
piece_counts
| machine_id | counted_at       | cumulative | reset |
|------------|------------------|------------|-------|
"""
RUNS = """
runs
| run_id | machine_id | part_no | start_at         | end_at           | good | scrap |
|--------|------------|---------|------------------|------------------|------|-------|
"""
STOPS = """
stoppages
| stop_id | machine_id | start_at         | end_at           |
|---------|------------|------------------|------------------|
"""


def at(time):
    return f"2026-03-02 {time}" if time else ""


def state(start, end, what):
    return f"| M1 | {at(start)} | {at(end)} | {what} |\n"


def count(time, shown, reset=""):
    return f"| M1 | {at(time)} | {shown} | {reset} |\n"


def run(run_id, start, end, good="", scrap=""):
    return f"| {run_id} | M1 | P1 | {at(start)} | {at(end)} | {good} | {scrap} |\n"


def stop(stop_id, start, end):
    return f"| {stop_id} | M1 | {at(start)} | {at(end)} |\n"


def found(text, **criteria):
    rows = derive("running_states", text, **criteria)
    return [
        (start[-5:], end[-5:], what, pieces)
        for start, end, what, pieces in pick(rows, "from_at", "to_at", "state", "pieces")
    ]


def test_set_up_maintenance_and_unplanned_time_stand():
    text = STATES + state("06:00", "07:00", "setup") + state("07:00", "08:00", "maintenance")
    text += state("08:00", "09:00", "unplanned") + state("09:00", "10:00", "running")
    assert found(text) == [("06:00", "09:00", "stopped", None), ("09:00", "10:00", "running", None)]


def test_time_that_no_row_covers_is_unknown_and_never_running():
    text = STATES + state("06:00", "07:00", "running") + state("08:00", "09:00", "running")
    text += state("09:00", "10:00", "unknown")
    assert found(text) == [
        ("06:00", "07:00", "running", None),
        ("07:00", "08:00", "unknown", None),
        ("08:00", "09:00", "running", None),
        ("09:00", "10:00", "unknown", None),
    ]


def test_a_state_without_an_end_lasts_until_the_next_row_and_the_last_one_to_the_end():
    text = STATES + state("06:00", "", "running") + state("08:00", "", "stopped")
    rows = derive("running_states", text, period=(at("05:00"), at("10:00")))
    assert pick(rows, "from_at", "to_at", "state") == [
        (at("05:00"), at("06:00"), "unknown"),
        (at("06:00"), at("08:00"), "running"),
        (at("08:00"), at("10:00"), "stopped"),
    ]


def test_where_two_states_overlap_the_later_start_decides():
    text = STATES + state("06:00", "10:00", "running") + state("08:00", "09:00", "stopped")
    assert [span[:3] for span in found(text)] == [
        ("06:00", "08:00", "running"),
        ("08:00", "09:00", "stopped"),
        ("09:00", "10:00", "unknown"),
    ]


def test_without_states_a_machine_runs_inside_a_run_and_outside_a_stop():
    text = RUNS + run("r1", "06:00", "08:00", "60", "0") + run("r2", "09:00", "10:00", "40", "20")
    text += STOPS + stop("s1", "06:30", "07:00") + stop("s2", "08:30", "08:45")
    assert found(text) == [
        ("06:00", "06:30", "running", 20),
        ("06:30", "07:00", "stopped", 0),
        ("07:00", "08:00", "running", 40),
        ("08:00", "08:30", "unknown", 0),
        ("08:30", "08:45", "stopped", 0),
        ("08:45", "09:00", "unknown", 0),
        ("09:00", "10:00", "running", 60),
    ]


def test_a_run_without_reported_pieces_has_none_known_and_not_zero():
    text = RUNS + run("r1", "06:00", "08:00", "60") + run("r2", "08:00", "10:00")
    text += STOPS + stop("s1", "07:30", "08:30")
    assert found(text) == [
        ("06:00", "07:30", "running", 60),
        ("07:30", "08:30", "stopped", None),
        ("08:30", "10:00", "running", None),
    ]


def test_running_without_a_piece_between_two_readings_is_dry_cycling():
    text = STATES + state("06:00", "12:00", "running")
    text += COUNTS + count("07:00", 100) + count("08:00", 100) + count("10:00", 160)
    assert found(text) == [
        ("06:00", "07:00", "running", None),
        ("07:00", "08:00", "stopped", 0),
        ("08:00", "12:00", "running", None),
    ]


def test_pieces_are_spread_over_the_seconds_that_ran_and_none_is_lost():
    text = STATES + state("06:00", "07:00", "running") + state("07:00", "09:00", "stopped")
    text += state("09:00", "11:00", "running")
    text += COUNTS + count("06:00", 0) + count("11:00", 100)
    assert found(text) == [
        ("06:00", "07:00", "running", 33),
        ("07:00", "09:00", "stopped", 0),
        ("09:00", "11:00", "running", 67),
    ]


def test_pieces_counted_while_nothing_ran_are_kept():
    text = (
        STATES + state("06:00", "08:00", "stopped") + COUNTS + count("06:00", 5) + count("08:00", 9)
    )
    assert found(text) == [("06:00", "08:00", "stopped", 4)]


def test_a_counter_that_was_set_back_starts_from_zero_marked_or_not():
    text = STATES + state("06:00", "09:00", "running") + COUNTS + count("06:00", 900)
    marked = text + count("07:00", 950, "yes") + count("09:00", 990)
    unmarked = text + count("07:00", 50) + count("09:00", 60)
    assert found(marked) == [("06:00", "09:00", "running", 990)]
    assert found(unmarked) == [("06:00", "09:00", "running", 60)]


def test_the_counter_and_not_the_report_gives_the_pieces_where_both_are():
    text = RUNS + run("r1", "06:00", "08:00", "500")
    text += COUNTS + count("06:00", 0) + count("08:00", 120)
    assert found(text) == [("06:00", "08:00", "running", 120)]


def test_a_stop_that_never_ended_lasts_to_the_end_of_the_period():
    text = RUNS + run("r1", "06:00", "10:00", "30") + STOPS + stop("s1", "09:00", "")
    assert found(text) == [("06:00", "09:00", "running", 30), ("09:00", "10:00", "stopped", 0)]


def test_a_stated_period_cuts_what_lies_outside_it():
    text = (
        STATES
        + state("06:00", "12:00", "running")
        + COUNTS
        + count("06:00", 0)
        + count("12:00", 60)
    )
    rows = derive("running_states", text, period=(at("08:00"), at("09:00")))
    assert pick(rows, "from_at", "to_at", "state", "pieces") == [
        (at("08:00"), at("09:00"), "running", 10)
    ]
