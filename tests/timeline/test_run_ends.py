"""How runs ended: golden case 11, and which last-off is whose."""

# ruff: noqa: E501  # the tables are as wide as they are

import pytest
from tables import derive, pick

PLANT = """
machines
| machine_id | area | process |
|------------|------|---------|
| G11        | A    | turning |
| Edge       | A    | turning |

shift_instances
| area | production_date | shift | start_at         | end_at           | overtime |
|------|-----------------|-------|------------------|------------------|----------|
| A    | 2026-03-01      | night | 2026-03-01 21:30 | 2026-03-02 05:30 | no       |
| A    | 2026-03-02      | early | 2026-03-02 05:30 | 2026-03-02 13:30 | no       |

runs
| run_id | machine_id | part_no | tool_id | start_at         | end_at           | end_kind   |
|--------|------------|---------|---------|------------------|------------------|------------|
| G11    | G11        | P       |         | 2026-03-01 22:00 | 2026-03-02 05:30 | auto-stop  |
| G11n   | G11        | Q       |         | 2026-03-02 07:00 | 2026-03-02 09:00 | order-done |
| Gap    | Gap        | P       |         | 2026-03-02 06:00 | 2026-03-02 09:00 | order-done |
| Edge   | Edge       | P       |         | 2026-03-01 22:00 | 2026-03-02 05:30 | shift      |
| Open   | Open       | P       |         | 2026-03-02 06:00 |                  |            |
| Cut    | Cut        | P       |         | 2026-03-02 06:00 |                  |            |
| Cut2   | Cut        | Q       |         | 2026-03-02 08:00 | 2026-03-02 09:00 | order-done |
| T1     | Twice      | P       | A       | 2026-03-02 06:00 | 2026-03-02 08:00 | tool       |
| T2     | Twice      | P       | B       | 2026-03-02 08:30 | 2026-03-02 10:00 | order-done |
| N1     | Named      | P       | A       | 2026-03-02 06:00 | 2026-03-02 08:00 | tool       |
| N2     | Named      | P       | B       | 2026-03-02 08:30 | 2026-03-02 10:00 | order-done |

machine_states
| machine_id | start_at         | end_at           | state   |
|------------|------------------|------------------|---------|
| Gap        | 2026-03-02 06:00 | 2026-03-02 08:00 | running |
| Gap        | 2026-03-02 08:00 | 2026-03-02 08:30 | unknown |
| Gap        | 2026-03-02 08:30 | 2026-03-02 09:00 | stopped |
| Cut        | 2026-03-02 06:00 | 2026-03-02 07:40 | running |
| Cut        | 2026-03-02 07:40 | 2026-03-02 08:00 | setup   |
| Cut        | 2026-03-02 08:00 | 2026-03-02 09:00 | running |

stoppages
| stop_id | machine_id | start_at         | end_at |
|---------|------------|------------------|--------|
| G11     | G11        | 2026-03-02 03:12 | 2026-03-02 07:00 |

setups
| setup_id | machine_id | to_part | start_at         | end_at           |
|----------|------------|---------|------------------|------------------|
| G11a     | G11        | P       | 2026-03-01 21:40 | 2026-03-01 22:00 |
| G11b     | G11        | Q       | 2026-03-02 06:20 | 2026-03-02 06:50 |
| G11c     | G11        | Q       | 2026-03-02 06:30 | 2026-03-02 06:50 |

control_plan_lines
| plan_no | rev | line | part_no | sample_n | basis        | interval_min | check_kinds     | valid_from | valid_to   |
|---------|-----|------|---------|----------|--------------|--------------|-----------------|------------|------------|
| CP      | A   | 10   | P       | 1        | running-time | 120          | patrol;last-off | 2026-01-01 |            |
| CQ      | A   | 10   | Q       | 1        | running-time | 120          | patrol          | 2026-01-01 |            |
| CQ      | A   | 20   | Q       | 1        | running-time | 120          | last-off        | 2026-01-01 | 2026-03-01 |

checks
| check_id | machine_id | part_no | run_id | kind     | done_at          | result |
|----------|------------|---------|--------|----------|------------------|--------|
| G11      | G11        | P       |        | last-off | 2026-03-02 06:40 | pass   |
| G11b     | G11        | P       |        | last-off | 2026-03-02 06:50 | pass   |
| G11n     | G11        | Q       |        | last-off | 2026-03-02 08:57 | pass   |
| T1       | Twice      | P       |        | last-off | 2026-03-02 09:59 | pass   |
| T2       | Twice      | P       |        | last-off | 2026-03-02 10:30 | pass   |
| N1       | Named      | P       | N1     | last-off | 2026-03-02 11:00 | pass   |

lots
| lot_no | part_no | machine_id | qty | opened_at        | closed_at        | moved_at         |
|--------|---------|------------|-----|------------------|------------------|------------------|
| old    | P       | G11        | 100 | 2026-03-01 23:00 | 2026-03-02 03:09 | 2026-03-02 03:30 |
| last   | P       | G11        | 100 | 2026-03-02 03:09 | 2026-03-02 03:11 | 2026-03-02 04:30 |
| other  | Q       | G11        | 100 | 2026-03-02 03:00 | 2026-03-02 03:20 | 2026-03-02 03:31 |
| edge   | P       | Edge       | 100 | 2026-03-02 05:00 |                  |                  |
| n1     | P       | Named      | 100 | 2026-03-02 07:00 |                  | 2026-03-02 12:00 |

lot_links
| from_lot | to_lot | linked_at        |
|----------|--------|------------------|
| edge     | wash   | 2026-03-02 06:00 |
| last     | wash   | 2026-03-02 09:00 |

shipment_lines
| ship_no | line | part_no | lot_no | qty | shipped_at       |
|---------|------|---------|--------|-----|------------------|
| S       | 1    | P       | n1     | 100 | 2026-03-02 11:30 |
"""


@pytest.fixture(scope="module")
def ends():
    return {row["run_id"]: row for row in derive("run_ends", PLANT)}


def test_golden_case_11_every_ground_is_there(ends):
    (row,) = pick(
        [ends["G11"]], "end_at", "last_off_at", "next_setup_at", "lots_moved_at", "shift_end_at"
    )
    assert row == (
        "2026-03-02 03:12",
        "2026-03-02 06:40",
        "2026-03-02 06:20",
        "2026-03-02 04:30",
        "2026-03-02 05:30",
    )
    assert ends["G11"]["last_off_check_ix"] == 0
    assert pick([ends["G11"]], "booked_end_at", "next_run_at") == [
        ("2026-03-02 05:30", "2026-03-02 07:00")
    ]


def test_where_the_state_before_the_end_is_unknown_the_booked_end_stands(ends):
    assert pick([ends["Gap"]], "end_at") == [("2026-03-02 09:00",)]


def test_a_run_without_an_end_ends_before_the_next_one_where_it_ran_last(ends):
    assert pick([ends["Cut"]], "end_at", "next_run_at") == [
        ("2026-03-02 07:40", "2026-03-02 08:00")
    ]


def test_a_run_still_open_has_no_end(ends):
    assert "Open" not in ends


def test_an_end_on_the_hour_of_the_change_belongs_to_the_shift_that_goes(ends):
    assert pick([ends["Edge"]], "shift_end_at") == [("2026-03-02 05:30",)]


def test_a_last_off_three_minutes_before_the_end_is_none(ends):
    assert ends["G11n"]["last_off_at"] is None


def test_a_last_off_two_minutes_before_the_end_belongs_to_the_run_that_is_ending(ends):
    # Done at 09:59 with the run of the second tool ending at 10:00: not the first tool's.
    assert ends["T1"]["last_off_at"] is None
    assert pick([ends["T2"]], "last_off_at") == [("2026-03-02 09:59",)]


def test_a_last_off_that_names_its_run_is_that_runs(ends):
    assert pick([ends["N1"]], "last_off_at") == [("2026-03-02 11:00",)]
    assert ends["N2"]["last_off_at"] is None


def test_lots_leave_by_link_or_shipment_too(ends):
    assert pick([ends["Edge"], ends["N1"]], "lots_moved_at") == [
        ("2026-03-02 06:00",),
        ("2026-03-02 11:30",),
    ]


def test_a_last_off_is_asked_for_only_by_a_line_valid_at_the_end(ends):
    assert {run: row["lines_ask_last_off"] for run, row in ends.items() if run[0] == "G"} == {
        "G11": True,
        "G11n": False,
        "Gap": True,
    }
