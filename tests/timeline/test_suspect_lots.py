"""Lots in a suspect window: what was held, moved, shipped and disposed of."""

# ruff: noqa: E501  # the tables are as wide as they are

import pytest
from tables import derive, pick

PLANT = """
runs
| run_id | machine_id | part_no | start_at         | end_at           | extract_id |
|--------|------------|---------|------------------|------------------|------------|
| R      | M          | P       | 2026-03-02 06:00 | 2026-03-02 14:00 | a          |

extracts
| extract_id | file_name | sha256 | system | zone | rows_read | rows_loaded | rows_refused | rows_duplicate |
|------------|-----------|--------|--------|------|-----------|-------------|--------------|----------------|
| a          | a         | 0      | a      | UTC  | 1         | 1           | 0            | 0              |
| b          | b         | 0      | b      | UTC  | 1         | 1           | 0            | 0              |

control_plan_lines
| plan_no | rev | line | part_no | sample_n | basis        | interval_min | check_kinds | valid_from |
|---------|-----|------|---------|----------|--------------|--------------|-------------|------------|
| CP      | A   | 1    | P       | 1        | running-time | 120          | patrol      | 2026-01-01 |

checks
| check_id | machine_id | part_no | kind   | done_at          | result | extract_id |
|----------|------------|---------|--------|------------------|--------|------------|
| C1       | M          | P       | patrol | 2026-03-02 09:45 | pass   | a          |
| C2       | M          | P       | patrol | 2026-03-02 11:40 | fail   | a          |
| C3       | M          | P       | patrol | 2026-03-02 12:05 | pass   | a          |

lots
| lot_no | part_no | machine_id | qty | opened_at        | closed_at        | moved_at         | container | extract_id |
|--------|---------|------------|-----|------------------|------------------|------------------|-----------|------------|
| A      | P       | M          | 45  | 2026-03-02 09:20 | 2026-03-02 10:05 |                  | bin-1     | a          |
| B      | P       | M          | 65  | 2026-03-02 10:05 | 2026-03-02 11:10 | 2026-03-02 11:20 | bin-2     | a          |
| C      | P       | M          | 35  | 2026-03-02 11:10 | 2026-03-02 11:45 |                  | bin-3     | a          |
| D      | P       | M          | 45  | 2026-03-02 11:45 | 2026-03-02 12:30 |                  | bin-1     | a          |
| before | P       | M          | 10  | 2026-03-02 09:00 | 2026-03-02 09:43 |                  |           | a          |
| early  | P       | M          | 10  | 2026-03-02 09:00 | 2026-03-02 09:42 |                  |           | b          |
| edge   | P       | M          | 10  | 2026-03-02 09:00 | 2026-03-02 09:45 |                  |           | a          |
| after  | P       | M          | 10  | 2026-03-02 12:07 | 2026-03-02 13:00 |                  |           | a          |
| closed | P       | M          | 10  |                  | 2026-03-02 11:30 |                  |           | a          |
| past   | P       | M          | 10  |                  | 2026-03-02 13:30 |                  |           | a          |
| open   | P       | M          | 10  | 2026-03-02 12:00 |                  |                  |           | a          |
| other  | Q       | M          | 10  | 2026-03-02 11:00 | 2026-03-02 12:00 |                  |           | a          |
| else   | P       | N          | 10  | 2026-03-02 11:00 | 2026-03-02 12:00 |                  |           | a          |
| W      | P       | Wash       | 300 | 2026-03-02 15:00 | 2026-03-02 16:00 | 2026-03-02 16:30 |           | a          |

lot_links
| from_lot | to_lot | linked_at        |
|----------|--------|------------------|
| A        | W      | 2026-03-02 15:00 |
| B        | W      | 2026-03-02 15:10 |
| W        | V      |                  |
| V        | W      |                  |
| edge     | old    | 2026-03-02 09:30 |
| edge     | E      | 2026-03-02 10:00 |
"""
HOLDS = """
holds
| hold_id | lot_no | container | machine_id | qty | placed_at        | disposition | disposed_at      | qty_disposed |
|---------|--------|-----------|------------|-----|------------------|-------------|------------------|--------------|
"""


def lots(*parts):
    return {row["lot_no"]: row for row in derive("suspect_lots", PLANT + "\n".join(parts))}


@pytest.fixture(scope="module")
def golden():
    return lots(HOLDS + "| H | C | | | 35 | 2026-03-02 11:45 | | | |")


def test_golden_case_5_a_b_and_d_are_not_contained(golden):
    assert {lot: golden[lot]["state"] for lot in "ABCD"} == {
        "A": "not-held",
        "B": "not-held",
        "C": "held",
        "D": "not-held",
    }
    assert pick([golden["C"]], "held_qty", "held_at") == [(35, "2026-03-02 11:45")]


def test_a_lot_is_touched_if_opened_before_the_end_and_closed_after_the_start(golden):
    touched = {
        lot
        for lot, row in golden.items()
        if row["how"] == "touch" and not row["touch_only_by_tolerance"]
    }
    assert touched == {"A", "B", "C", "D", "open", "closed"}


def test_what_only_the_clocks_tolerance_puts_into_the_window_is_marked(golden):
    # 09:43 is two minutes before the window by the same clock: outside. 09:42 by another system's
    # clock may lie inside, and so may 09:45, which is the window's start.
    only = {lot for lot, row in golden.items() if row["touch_only_by_tolerance"]}
    assert only == {"early", "edge", "E"}


def test_links_lead_on_and_a_circle_ends(golden):
    assert {lot for lot, row in golden.items() if row["how"] == "link"} == {"W", "V", "E"}
    assert golden["W"]["qty"] == 300
    assert golden["V"]["qty"] is None


def test_what_left_before_the_window_is_not_followed(golden):
    assert "old" not in golden


def test_holds_add_up_to_the_lot_and_count_from_when_it_is_whole():
    row = lots(
        HOLDS
        + "| H1 | C | | | 20 | 2026-03-02 11:45 | | | |\n"
        + "| H2 | C | | | 30 | 2026-03-02 12:45 | | | |\n"
        + "| H3 | D | | | 20 | 2026-03-02 11:50 | | | |\n"
        + "| H4 | A | | | 45 | 2026-03-02 10:00 | release | 2026-03-02 11:00 | 45 |\n"
        + "| H5 | B | | | 65 | 2026-03-02 10:00 | | | |"
    )
    assert pick([row["C"]], "held_qty", "held_at", "state") == [(35, "2026-03-02 12:45", "held")]
    assert pick([row["D"]], "held_qty", "held_at", "state") == [
        (20, "2026-03-02 11:50", "partly-held")
    ]
    # Disposed of before the detection: that hold was about something else.
    assert row["A"]["state"] == "not-held"
    # Placed before the detection and still in force: it holds.
    assert row["B"]["state"] == "held"


def test_a_hold_by_container_takes_the_lot_that_was_in_it():
    row = lots(HOLDS + "| H1 | | bin-1 | | 45 | 2026-03-02 11:50 | | | |")
    assert row["D"]["state"] == "held"
    assert row["A"]["state"] == "not-held"


def test_a_hold_by_machine_takes_the_latest_lots_up_to_its_quantity():
    row = lots(HOLDS + "| H1 | | | M | 60 | 2026-03-02 12:00 | | | |")
    held = {lot: row[lot]["held_qty"] for lot in row if row[lot]["held_qty"]}
    # open 10, D 45, then 5 of C; B had been moved away and A is older.
    assert held == {"open": 10, "D": 45, "C": 5}


SHIPMENTS = """
shipment_lines
| ship_no | line | part_no | lot_no | qty | shipped_at       |
|---------|------|---------|--------|-----|------------------|
| S1      | 1    | P       | A      | 45  | 2026-03-03 08:00 |
| S2      | 1    | P       | B      | 30  | 2026-03-03 08:00 |
| S3      | 1    | P       | B      | 35  | 2026-03-05 08:00 |
| S4      | 1    | P       | C      | 30  | 2026-03-03 08:00 |
| S5      | 1    | P       | D      | 45  | 2026-03-03 08:00 |
| S6      | 1    | P       | W      | 300 | 2026-03-03 08:00 |
"""


def test_shipments_count_as_covered_by_what_was_disposed_of_by_then():
    row = lots(
        HOLDS
        + "| H1 | B | | | 30 | 2026-03-02 11:45 | release | 2026-03-02 18:00 | 30 |\n"
        + "| H2 | B | | | 35 | 2026-03-02 11:45 | rework | 2026-03-04 18:00 |  |\n"
        + "| H3 | C | | | 35 | 2026-03-02 11:45 | concession | 2026-03-03 09:00 | 35 |\n"
        + "| H4 | D | | | 45 | 2026-03-02 11:45 | scrap | 2026-03-02 18:00 | 45 |\n",
        SHIPMENTS,
    )
    shipped = ("shipped_at", "shipped_qty", "disposed_qty", "state")
    assert pick([row["B"]], *shipped) == [("2026-03-03 08:00", 65, 65, "shipped")]
    assert pick([row["C"]], *shipped) == [("2026-03-03 08:00", 30, 0, "shipped")]
    assert pick([row["D"]], *shipped) == [("2026-03-03 08:00", 45, 0, "shipped")]
    assert pick([row["A"]], *shipped) == [("2026-03-03 08:00", 45, 0, "shipped")]
    # What it was washed into went out with it.
    assert pick([row["W"]], "how", *shipped) == [("link", "2026-03-03 08:00", 300, 0, "shipped")]


def test_what_was_not_shipped_shows_what_was_disposed_of():
    row = lots(HOLDS + "| H1 | C | | | 35 | 2026-03-02 11:45 | release | 2026-03-02 18:00 | 20 |")
    assert pick([row["C"]], "shipped_at", "shipped_qty", "disposed_qty", "state") == [
        (None, 0, 20, "held")
    ]


def test_a_window_that_nothing_closes_reaches_to_the_runs_end():
    found = lots().keys()
    assert "after" not in found
    still_open = derive(
        "suspect_lots",
        PLANT.replace(
            "| C3       | M          | P       | patrol",
            "| C3       | M          | Q       | patrol",
        ),
    )
    assert "after" in {row["lot_no"] for row in still_open}
