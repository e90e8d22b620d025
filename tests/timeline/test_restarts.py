"""Restarts that ask for a check, and the check that came."""

import pytest
from tables import derive, parse_tables, pick

PLANT = """
machines
| machine_id | area | process |
|------------|------|---------|
| Break      | A    | turning |

shift_instances
| area | production_date | shift | start_at         | end_at           | overtime |
|------|-----------------|-------|------------------|------------------|----------|
| A    | 2026-03-02      | early | 2026-03-02 06:00 | 2026-03-02 14:00 | no       |

planned_breaks
| area | production_date | shift | no | start_at         | end_at           |
|------|-----------------|-------|----|------------------|------------------|
| A    | 2026-03-02      | early | 1  | 2026-03-02 09:00 | 2026-03-02 09:30 |

runs
| run_id | machine_id | part_no | start_at         | end_at           |
|--------|------------|---------|------------------|------------------|
| Len    | Len        | P       | 2026-03-02 06:00 | 2026-03-02 14:00 |
| Kind   | Kind       | P       | 2026-03-02 06:00 | 2026-03-02 14:00 |
| Jam    | Jam        | P       | 2026-03-02 06:00 | 2026-03-02 14:00 |
| Series | Series     | P       | 2026-03-02 06:00 | 2026-03-02 14:00 |
| Break  | Break      | P       | 2026-03-02 06:00 | 2026-03-02 14:00 |
| Next   | Next       | P       | 2026-03-02 06:00 | 2026-03-02 09:00 |
| Next2  | Next       | Q       | 2026-03-02 10:00 | 2026-03-02 14:00 |
| Same   | Same       | P       | 2026-03-02 06:00 | 2026-03-02 09:00 |
| Same2  | Same       | P       | 2026-03-02 10:00 | 2026-03-02 14:00 |
| Chk    | Chk        | P       | 2026-03-02 06:00 | 2026-03-02 14:00 |

stoppages
| stop_id | machine_id | start_at         | end_at           | reason   |
|---------|------------|------------------|------------------|----------|
| l29     | Len        | 2026-03-02 07:00 | 2026-03-02 07:29 | material |
| l30     | Len        | 2026-03-02 08:00 | 2026-03-02 08:30 | material |
| l20a    | Len        | 2026-03-02 10:00 | 2026-03-02 10:20 |          |
| l20b    | Len        | 2026-03-02 10:20 | 2026-03-02 10:40 | cleaning |
| lopen   | Len        | 2026-03-02 13:00 |                  | crash    |
| crash   | Kind       | 2026-03-02 07:00 | 2026-03-02 07:01 | crash    |
| power   | Kind       | 2026-03-02 08:00 | 2026-03-02 08:01 | power    |
| tool    | Kind       | 2026-03-02 09:00 | 2026-03-02 09:01 | tool     |
| adjust  | Kind       | 2026-03-02 10:00 | 2026-03-02 10:01 | adjustment |
| weekend | Kind       | 2026-03-02 11:00 | 2026-03-02 11:01 | weekend  |
| jam     | Kind       | 2026-03-02 12:00 | 2026-03-02 12:01 | jam      |
| j1      | Jam        | 2026-03-02 07:00 | 2026-03-02 07:02 | jam      |
| j2      | Jam        | 2026-03-02 07:20 | 2026-03-02 07:22 | jam      |
| j3      | Jam        | 2026-03-02 07:31 | 2026-03-02 07:33 | jam      |
| j4      | Jam        | 2026-03-02 07:50 | 2026-03-02 07:52 | jam      |
| j5      | Jam        | 2026-03-02 08:10 | 2026-03-02 08:12 | jam      |
| k1      | Jam        | 2026-03-02 10:00 | 2026-03-02 10:45 | jam      |
| s1      | Series     | 2026-03-02 07:00 | 2026-03-02 07:01 | jam      |
| s2      | Series     | 2026-03-02 07:05 | 2026-03-02 07:06 | jam      |
| s3      | Series     | 2026-03-02 07:10 | 2026-03-02 07:11 | jam      |
| s4      | Series     | 2026-03-02 07:15 | 2026-03-02 07:16 | jam      |
| s5      | Series     | 2026-03-02 07:20 | 2026-03-02 07:21 | jam      |
| s6      | Series     | 2026-03-02 07:25 | 2026-03-02 07:26 | jam      |
| s7      | Series     | 2026-03-02 07:30 | 2026-03-02 07:31 | jam      |
| b1      | Break      | 2026-03-02 08:59 | 2026-03-02 09:31 |          |
| b2      | Break      | 2026-03-02 12:00 | 2026-03-02 12:31 |          |
| n1      | Next       | 2026-03-02 09:00 | 2026-03-02 10:00 |          |
| m1      | Same       | 2026-03-02 09:00 | 2026-03-02 10:00 |          |
| c1      | Chk        | 2026-03-02 07:00 | 2026-03-02 08:00 |          |
| c2      | Chk        | 2026-03-02 09:00 | 2026-03-02 10:00 |          |
| c3      | Chk        | 2026-03-02 12:00 | 2026-03-02 13:00 |          |

checks
| check_id | machine_id | part_no | kind   | taken_at         | done_at          | result     |
|----------|------------|---------|--------|------------------|------------------|------------|
| c0       | Chk        | P       | patrol |                  | 2026-03-02 07:57 | pass       |
| c1       | Chk        | P       | patrol |                  | 2026-03-02 08:05 | incomplete |
| c2       | Chk        | P       | patrol | 2026-03-02 08:10 | 2026-03-02 09:10 | fail       |
| c3       | Chk        | P       | audit  |                  | 2026-03-02 09:58 | pass       |
"""


@pytest.fixture(scope="module")
def restarts():
    found = {}
    for row in derive("restarts", PLANT):
        found.setdefault(row["machine_id"], []).append(row)
    return found


def test_a_stop_counts_from_the_threshold_on_and_stops_without_running_between_are_one(restarts):
    assert pick(restarts["Len"], "stop_ref", "stopped_at", "restarted_at", "stop_s") == [
        ("l30", "2026-03-02 08:00", "2026-03-02 08:30", 1800),
        ("l20a", "2026-03-02 10:00", "2026-03-02 10:40", 2400),
    ]


def test_listed_reasons_count_whatever_their_length_and_a_single_jam_does_not(restarts):
    assert [row["reason"] for row in restarts["Kind"]] == [
        "crash",
        "power",
        "tool",
        "adjustment",
        "weekend",
    ]


def test_three_jams_within_half_an_hour_are_one_event(restarts):
    rows = [row for row in restarts["Jam"] if row["is_jam_group"]]
    # j1 to j3 take 31 minutes; j2 to j4 exactly 30.
    assert pick(rows, "stop_ref", "restarted_at") == [("j2", "2026-03-02 07:52")]


def test_a_jam_over_the_threshold_counts_for_its_length(restarts):
    rows = [row for row in restarts["Jam"] if not row["is_jam_group"]]
    assert pick(rows, "stop_ref", "reason") == [("k1", "jam")]


def test_a_long_series_of_jams_makes_an_event_of_every_three(restarts):
    assert pick(restarts["Series"], "stop_ref", "restarted_at") == [
        ("s1", "2026-03-02 07:11"),
        ("s4", "2026-03-02 07:26"),
    ]


def test_a_stop_equal_to_a_planned_break_does_not_count(restarts):
    assert [row["stop_ref"] for row in restarts["Break"]] == ["b2"]


def test_a_standstill_with_a_change_of_part_is_no_restart_and_one_without_is(restarts):
    assert "Next" not in restarts
    assert [row["stop_ref"] for row in restarts["Same"]] == ["m1"]


def test_the_first_complete_check_of_any_kind_with_pieces_taken_since_serves(restarts):
    assert pick(restarts["Chk"], "stop_ref", "check_ix", "checked_at") == [
        ("c1", 2, "2026-03-02 09:10"),
        ("c2", 3, "2026-03-02 09:58"),
        ("c3", None, None),
    ]


def test_seconds_are_running_seconds_to_the_check_and_to_the_runs_end(restarts):
    assert pick(restarts["Chk"], "running_s", "running_s_to_run_end") == [
        (3600, 4 * 3600),
        # Two minutes before the restart, by clocks of one system: just as well after it.
        (0, 3 * 3600),
        (None, 3600),
    ]


def test_without_stoppages_the_stretches_in_which_the_machine_stood_serve():
    tables = parse_tables(PLANT)
    del tables["stoppages"]
    tables |= parse_tables("""
machine_states
| machine_id | start_at         | end_at           | state       | reason |
|------------|------------------|------------------|-------------|--------|
| Len        | 2026-03-02 06:00 | 2026-03-02 07:00 | running     |        |
| Len        | 2026-03-02 07:00 | 2026-03-02 07:20 | stopped     |        |
| Len        | 2026-03-02 07:20 | 2026-03-02 07:40 | maintenance | oil    |
| Len        | 2026-03-02 07:40 | 2026-03-02 14:00 | running     |        |
""")
    rows = derive("restarts", tables, zone="Europe/Berlin")
    assert pick(rows, "stop_ref", "reason", "stop_s") == [("Len/2026-03-02 07:00", "oil", 2400)]


def test_threshold_and_jam_groups_are_criteria():
    rows = derive(
        "restarts", PLANT, restart_threshold_min=29, jam_group_count=4, jam_group_window_min=50
    )
    assert "l29" in {row["stop_ref"] for row in rows}
    groups = [row["stop_ref"] for row in rows if row["is_jam_group"]]
    assert groups == ["j1", "s1"]
