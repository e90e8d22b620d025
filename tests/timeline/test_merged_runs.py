"""Runs that only paper split are one; a real change, a long gap or another part is not."""

from tables import derive, pick

HEADER = """
runs
| run_id | machine_id | part_no | tool_id | start_at | end_at | end_kind | good | scrap |
|--------|------------|---------|---------|----------|--------|----------|------|-------|
"""


def run(run_id, part, start, end, tool="", kind="", good="10", scrap="", day="2026-03-02"):
    start, end = (f"{day} {time}" if 0 < len(time) < 6 else time for time in (start, end))
    return f"| {run_id} | M1 | {part} | {tool} | {start} | {end} | {kind} | {good} | {scrap} |\n"


def merged(*rows, **criteria):
    return derive("merged_runs", HEADER + "".join(rows), **criteria)


def spans(rows):
    return pick(rows, "run_id", "start_at", "end_at", "run_ids")


def test_a_run_split_at_midnight_is_one():
    rows = merged(
        run("r1", "P1", "22:00", "2026-03-03 00:00", kind="other", scrap="1"),
        run("r2", "P1", "2026-03-03 00:00", "2026-03-03 04:00", kind="order-done"),
    )
    assert spans(rows) == [("r1", "2026-03-02 22:00", "2026-03-03 04:00", ["r1", "r2"])]
    assert pick(rows, "run_ix", "machine_ix", "is_open", "end_kind", "pieces") == [
        (1, 1, False, "order-done", 21)
    ]


def test_a_gap_just_below_the_threshold_joins_and_the_threshold_itself_does_not():
    first, below = run("r1", "P1", "06:00", "10:00"), run("r2", "P1", "10:29", "12:00")
    at_it = run("r2", "P1", "10:30", "12:00")
    assert len(merged(first, below)) == 1
    assert len(merged(first, at_it)) == 2
    assert len(merged(first, at_it, restart_threshold_min=31)) == 1


def test_another_part_in_between_parts_two_runs_of_the_same_part():
    rows = merged(
        run("r1", "P1", "06:00", "10:00"),
        run("r2", "P2", "10:00", "10:10"),
        run("r3", "P1", "10:10", "12:00"),
    )
    assert pick(rows, "run_id", "run_ix") == [("r1", 1), ("r2", 2), ("r3", 3)]


def test_another_tool_is_a_change_and_no_tool_twice_is_none():
    assert (
        len(
            merged(run("r1", "P1", "06:00", "10:00", "T1"), run("r2", "P1", "10:00", "12:00", "T2"))
        )
        == 2
    )
    assert len(merged(run("r1", "P1", "06:00", "10:00"), run("r2", "P1", "10:00", "12:00"))) == 1


def test_two_parts_made_side_by_side_are_each_joined_over_midnight():
    rows = merged(
        run("a1", "PA", "20:00", "2026-03-03 00:00"),
        run("b1", "PB", "20:00", "2026-03-03 00:00"),
        run("a2", "PA", "2026-03-03 00:00", "2026-03-03 02:00"),
        run("b2", "PB", "2026-03-03 00:00", "2026-03-03 02:00"),
    )
    assert pick(rows, "run_id", "run_ids") == [("a1", ["a1", "a2"]), ("b1", ["b1", "b2"])]


def test_a_run_without_an_end_lasts_until_the_next_begins():
    rows = merged(run("r1", "P1", "06:00", ""), run("r2", "P2", "10:00", "12:00"))
    assert pick(rows, "run_id", "end_at", "is_open") == [
        ("r1", "2026-03-02 10:00", True),
        ("r2", "2026-03-02 12:00", False),
    ]


def test_the_last_run_without_an_end_lasts_to_the_end_of_the_period():
    found = derive(
        "merged_runs",
        HEADER + run("r1", "P1", "06:00", ""),
        period=("2026-03-02 00:00", "2026-03-02 18:00"),
    )
    assert pick(found, "end_at", "is_open") == [("2026-03-02 18:00", True)]


def test_pieces_are_not_known_where_one_of_the_runs_reports_none():
    rows = merged(
        run("r1", "P1", "06:00", "10:00", good="40", scrap="2"),
        run("r2", "P1", "10:00", "12:00", good=""),
    )
    assert pick(rows, "run_id", "pieces") == [("r1", None)]


def test_a_run_that_began_in_the_repeated_hour_is_left_out():
    rows = derive(
        "merged_runs",
        HEADER
        + run("r1", "P1", "2026-10-25 02:30", "2026-10-25 06:00")
        + run("r2", "P1", "2026-10-25 08:00", "2026-10-25 09:00"),
        zone="Europe/Berlin",
    )
    assert pick(rows, "run_id", "start_at") == [("r2", "2026-10-25 07:00")]
