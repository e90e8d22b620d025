"""What was open at a change of shift."""

# ruff: noqa: E501  # the tables are as wide as they are

import pytest
from tables import derive, parse_tables, pick

MACHINES = (
    *("Stop", "Planned", "Over", "Due", "Held", "Freed", "Box", "Set", "Rel", "Old"),
    *("Alone", "Att", "Temp", "Ended", "Chal", "Again", "Coil", "Long"),
)
PLANT = (
    """
machines
| machine_id | area | process |
|------------|------|---------|
"""
    + "\n".join(f"| {name} | A | turning |" for name in MACHINES)
    + """

shift_instances
| area | production_date | shift | start_at         | end_at           | overtime |
|------|-----------------|-------|------------------|------------------|----------|
| A    | 2026-03-02      | early | 2026-03-02 06:00 | 2026-03-02 14:00 | no       |
| A    | 2026-03-02      | late  | 2026-03-02 14:00 | 2026-03-02 22:00 | no       |
| A    | 2026-03-03      | early | 2026-03-03 06:00 | 2026-03-03 14:00 | no       |

runs
| run_id | machine_id | part_no | start_at         | end_at           |
|--------|------------|---------|------------------|------------------|
| Stop   | Stop       | Q       | 2026-03-02 06:00 | 2026-03-02 22:00 |
| Over   | Over       | P       | 2026-03-02 06:00 | 2026-03-02 22:00 |
| Due    | Due        | P       | 2026-03-02 06:00 | 2026-03-02 22:00 |
| Alone  | Alone      | Q       | 2026-03-02 06:00 | 2026-03-02 18:00 |
| Att    | Att        | Q       | 2026-03-02 06:00 | 2026-03-02 18:00 |
| Chal   | Chal       | Q       | 2026-03-02 06:00 | 2026-03-02 13:00 |
| Again  | Again      | Q       | 2026-03-02 06:00 | 2026-03-02 13:00 |

stoppages
| stop_id | machine_id | start_at         | end_at           | reason | planned |
|---------|------------|------------------|------------------|--------|---------|
| s1      | Stop       | 2026-03-02 13:30 | 2026-03-02 14:30 | jam    |         |
| s2      | Stop       | 2026-03-02 20:00 | 2026-03-02 21:59 | jam    |         |
| s3      | Planned    | 2026-03-02 13:30 | 2026-03-02 14:30 |        | yes     |
| s4      | Due        | 2026-03-02 13:00 | 2026-03-02 13:50 |        |         |

control_plan_lines
| plan_no | rev | line | part_no | sample_n | basis        | interval_min | check_kinds | valid_from |
|---------|-----|------|---------|----------|--------------|--------------|-------------|------------|
| CP      | A   | 10   | P       | 1        | running-time | 120          | patrol      | 2026-01-01 |
| CP      | A   | 20   | P       | 1        | running-time | 120          | patrol      | 2026-01-01 |

checks
| check_id | machine_id | part_no | kind      | done_at          | result |
|----------|------------|---------|-----------|------------------|--------|
| Over     | Over       | P       | patrol    | 2026-03-02 11:47 | pass   |
| Due      | Due        | P       | patrol    | 2026-03-02 11:00 | pass   |
| Chal1    | Chal       | Q       | challenge | 2026-03-02 10:00 | fail   |
| Again1   | Again      | Q       | challenge | 2026-03-02 10:00 | fail   |
| Again2   | Again      | Q       | challenge | 2026-03-02 10:30 | pass   |

holds
| hold_id | lot_no | container | machine_id | qty | placed_at        | disposition | disposed_at      |
|---------|--------|-----------|------------|-----|------------------|-------------|------------------|
| H1      |        |           | Held       | 5   | 2026-03-02 10:00 |             |                  |
| H2      |        |           | Freed      | 5   | 2026-03-02 10:00 | release     | 2026-03-02 13:59 |
| H3      | L1     |           |            | 5   | 2026-03-02 15:00 | release     | 2026-03-03 07:00 |
| H4      |        | box       |            | 5   | 2026-03-02 16:00 |             |                  |

lots
| lot_no | part_no | machine_id | qty | opened_at        | container |
|--------|---------|------------|-----|------------------|-----------|
| L0     | P       | Freed      | 50  | 2026-03-02 07:00 | box       |
| L1     | P       | Held       | 50  | 2026-03-02 08:00 |           |
| L2     | P       | Box        | 50  | 2026-03-02 12:00 | box       |

setups
| setup_id | machine_id | to_part | start_at         | end_at           | released_at      |
|----------|------------|---------|------------------|------------------|------------------|
| S1       | Set        | P       | 2026-03-02 13:00 | 2026-03-02 13:40 | 2026-03-02 14:05 |
| S2       | Rel        | P       | 2026-03-02 13:00 | 2026-03-02 13:40 | 2026-03-02 13:55 |
| S3       | Old        | P       | 2026-03-02 07:00 | 2026-03-02 07:40 |                  |
| S4       | Old        | P       | 2026-03-02 12:00 | 2026-03-02 12:40 | 2026-03-02 12:50 |

allocations
| person_key | machine_or_group | start_at         | end_at           | role     | basis   |
|------------|------------------|------------------|------------------|----------|---------|
| p1         | Att              | 2026-03-02 06:00 | 2026-03-02 22:00 | operator | actual  |
| p2         | Stop             | 2026-03-02 06:00 | 2026-03-02 22:00 | operator | actual  |
| p3         | Over             | 2026-03-02 06:00 | 2026-03-02 22:00 | operator | actual  |
| p4         | Due              | 2026-03-02 06:00 | 2026-03-02 22:00 | operator | actual  |
| p5         | Long             | 2026-03-02 14:00 | 2026-03-02 22:00 | operator | planned |

staffing_rules
| rule_id | area | min_operators | valid_from | valid_to   |
|---------|------|---------------|------------|------------|
| r1      | A    | 6             | 2026-01-01 |            |
| r2      | A    | 9             | 2026-01-01 |            |
| r3      | A    | 1             | 2026-01-01 | 2026-03-01 |

temporary_changes
| change_id | machine_id | control_replaced | alternative | from_at          | to_at            |
|-----------|------------|------------------|-------------|------------------|------------------|
| t1        | Temp       | camera           | eye         | 2026-03-02 08:00 |                  |
| t2        | Ended      | camera           | eye         | 2026-03-02 08:00 | 2026-03-02 14:00 |

material_uses
| machine_id | lot_no | start_at         | end_at           |
|------------|--------|------------------|------------------|
| Coil       | c1     | 2026-03-02 10:00 |                  |
| Coil       | c2     | 2026-03-02 16:00 | 2026-03-03 09:00 |
| Long       | c3     | 2026-03-02 10:00 | 2026-03-02 16:01 |
"""
)
NOON = "2026-03-02 14:00"


@pytest.fixture(scope="module")
def matters():
    """(kind, machine, since, detail) of each change."""
    found = {}
    for row in derive("open_matters", PLANT):
        (change,) = pick([row], "change_at")
        found.setdefault(change[0], []).extend(
            pick([row], "kind", "machine_id", "since_at", "detail")
        )
    return found


def of(matters, kind, change=NOON):
    return [row[1:] for row in matters[change] if row[0] == kind]


def test_a_stop_that_is_not_planned_and_spans_the_change(matters):
    assert of(matters, "stop") == [("Stop", "2026-03-02 13:30", "jam")]


def test_a_check_past_interval_and_grace_by_the_running_clock(matters):
    # Over: 133 minutes at 14:00 against 132. Due: 180 minutes, 50 of them in a stop: 130.
    assert of(matters, "check-overdue") == [("Over", "2026-03-02 11:47", "10,20")]


def test_holds_of_the_outgoing_shift_by_machine_lot_or_container(matters):
    assert of(matters, "hold") == [("Held", "2026-03-02 10:00", "H1")]
    # The outgoing shift of the next morning is the late shift of the day before.
    assert of(matters, "hold", "2026-03-03 06:00") == [
        ("Box", "2026-03-02 16:00", "H4"),
        ("Held", "2026-03-02 15:00", "H3"),
    ]


def test_the_latest_set_up_without_a_release_by_then(matters):
    assert of(matters, "setup-unreleased") == [("Set", "2026-03-02 13:00", "S1")]


def test_a_plant_that_records_no_release_has_no_unreleased_set_up():
    tables = parse_tables(PLANT)
    setups = tables["setups"]
    rows = tuple((*row[:5], "") for row in setups.rows)
    tables["setups"] = type(setups)(setups.header, rows)
    assert "setup-unreleased" not in {row["kind"] for row in derive("open_matters", tables)}


def test_a_machine_that_runs_without_attendance(matters):
    assert [row[0] for row in of(matters, "unattended")] == ["Alone"]


def test_a_temporary_change_until_it_ends(matters):
    assert of(matters, "temporary-change") == [("Temp", "2026-03-02 08:00", "camera")]
    assert [row[0] for row in of(matters, "temporary-change", "2026-03-03 06:00")] == ["Temp"]


def test_a_failed_challenge_of_the_outgoing_shift_that_was_not_passed_again(matters):
    assert of(matters, "challenge-failed") == [("Chal", "2026-03-02 10:00", "Chal1")]


def test_material_that_ends_within_two_hours(matters):
    # c1 has no end: it lasts until the next lot at exactly 16:00. c3 lasts a minute longer.
    assert of(matters, "material-low") == [("Coil", "2026-03-02 10:00", "c1")]


def test_too_few_operators_by_the_most_generous_rule_and_a_planned_place_left_vacant(matters):
    assert of(matters, "staffing") == [
        ("Long", NOON, "Long"),
        (None, NOON, "4 of 6"),
    ]


def test_a_shift_without_anybody_on_record_says_nothing_of_staffing(matters):
    assert of(matters, "staffing", "2026-03-03 06:00") == []


def test_one_matter_per_kind_and_machine(matters):
    for rows in matters.values():
        keys = [row[:2] for row in rows]
        assert len(keys) == len(set(keys))


def test_without_stoppages_the_states_serve():
    tables = parse_tables(PLANT)
    del tables["stoppages"]
    tables |= parse_tables("""
machine_states
| machine_id | start_at         | end_at           | state       | reason |
|------------|------------------|------------------|-------------|--------|
| Stop       | 2026-03-02 13:00 |                  | maintenance | oil    |
| Stop       | 2026-03-02 14:10 | 2026-03-02 22:00 | running     |        |
| Planned    | 2026-03-02 13:00 | 2026-03-02 15:00 | unplanned   |        |
""")
    rows = [row for row in derive("open_matters", tables) if row["kind"] == "stop"]
    assert pick(rows, "machine_id", "since_at", "detail") == [("Stop", "2026-03-02 13:00", "oil")]
