"""Each structured observation against frozen records: agrees, contradicts, or cannot be said."""

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.audit.conftest import stamped
from tests.audit.small_records import timeline_over
from tests.timeline.tables import parse_tables

from witnessmark.audit.compare import compare, compare_all
from witnessmark.audit.contradictions import READINGS
from witnessmark.audit.items import Comparison, Observation
from witnessmark.audit.state import AuditState
from witnessmark.criteria.requirements import requirement_of
from witnessmark.records.memory import TextTable

PLANT = """
machines
| machine_id | area | process |
|------------|------|---------|
| T1         | A    | turning |
| T2         | A    | turning |
| T3         | A    | turning |

shift_instances
| area | production_date | shift | start_at         | end_at           | overtime |
|------|-----------------|-------|------------------|------------------|----------|
| A    | 2026-03-24      | early | 2026-03-24 06:00 | 2026-03-24 14:00 | no       |

allocations
| person_key | machine_or_group | start_at         | end_at           | role     | basis  |
|------------|------------------|------------------|------------------|----------|--------|
| place 1    | T1               | 2026-03-24 06:00 | 2026-03-24 10:00 | operator | actual |
| place 1    | T3               | 2026-03-24 10:00 | 2026-03-24 14:00 | operator | actual |

machine_states
| machine_id | start_at         | end_at           | state   |
|------------|------------------|------------------|---------|
| T1         | 2026-03-24 06:00 | 2026-03-24 12:00 | running |
| T2         | 2026-03-24 06:00 | 2026-03-24 08:00 | running |
| T2         | 2026-03-24 08:00 | 2026-03-24 12:00 | stopped |
| T3         | 2026-03-24 06:00 | 2026-03-24 08:00 | running |

runs
| run_id | machine_id | part_no | start_at         | end_at           |
|--------|------------|---------|------------------|------------------|
| r1     | T1         | P1      | 2026-03-24 06:00 | 2026-03-24 12:00 |

piece_counts
| machine_id | counted_at       | cumulative |
|------------|------------------|------------|
| T1         | 2026-03-24 06:00 | 0          |
| T1         | 2026-03-24 12:00 | 3600       |

setups
| setup_id | machine_id | to_part | start_at         | end_at           |
|----------|------------|---------|------------------|------------------|
| s1       | T1         | P1      | 2026-03-24 07:00 | 2026-03-24 07:30 |

checks
| check_id | machine_id | part_no | kind   | done_at          | entered_at       | result |
|----------|------------|---------|--------|------------------|------------------|--------|
| c1       | T1         | P1      | patrol | 2026-03-24 08:00 | 2026-03-24 08:01 | pass   |
| c2       | T1         | P1      | patrol | 2026-03-24 09:00 | 2026-03-24 13:00 | pass   |

board_statuses
| area | letter | production_date | version | colour | declared_at      |
|------|--------|-----------------|---------|--------|------------------|
| A    | Q      | 2026-03-23      | 1       | red    | 2026-03-24 08:00 |
| A    | Q      | 2026-03-23      | 2       | green  | 2026-03-24 11:00 |
| A    | D      | 2026-03-23      |         | green  |                  |

holds
| hold_id | lot_no | qty | placed_at        | disposed_at      |
|---------|--------|-----|------------------|------------------|
| h1      | L1     | 50  | 2026-03-24 07:00 |                  |
| h2      | L2     | 50  | 2026-03-24 07:00 | 2026-03-24 08:00 |
"""


@pytest.fixture(scope="module")
def timeline():
    with timeline_over(PLANT) as found:
        yield found


def seen(form, clock, machine="", id_="o", **values):
    at = f"2026-03-24T{clock}:00Z" if ":" in clock else clock
    return Observation(**stamped(id_), form=form, machine=machine, seen_at=at, values=values)


def held(timeline, *observations):
    """The verdicts of the last observation, by field."""
    state = AuditState(observations={item.id: item for item in observations})
    found = compare(state, observations[-1], timeline, "f1")
    for action in found.actions:
        action.check(state, None)
        assert action.seen
        assert action.recorded
    return found, {action.field_name: action.result for action in found.actions}


@pytest.mark.parametrize(
    ("clock", "machine", "word", "result"),
    [
        ("08:00", "T1", "attended", "agrees"),
        ("08:00", "T1", "nobody", "contradicts"),
        ("08:00", "T1", "watched", "contradicts"),
        ("08:00", "T2", "nobody", "agrees"),
        ("08:00", "T2", "attended", "contradicts"),
        ("08:00", "T2", "unclear", "not-assessable"),
        # five minutes between two systems: the change at 10:00 is open from 09:55 to 10:05
        ("09:54", "T1", "nobody", "contradicts"),
        ("09:55", "T1", "nobody", "agrees"),
        ("10:04", "T1", "attended", "agrees"),
        ("10:06", "T1", "attended", "contradicts"),
        ("08:00", "T9", "nobody", "not-assessable"),
        ("15:00", "T1", "attended", "not-assessable"),
    ],
)
def test_presence_against_attendance(timeline, clock, machine, word, result):
    _, results = held(timeline, seen("staffing", clock, grid={machine: word}))
    assert results == {f"grid/{machine}": result}


@pytest.mark.parametrize(
    ("clock", "machine", "word", "result"),
    [
        ("09:00", "T1", "running", "agrees"),
        ("09:00", "T1", "stopped", "contradicts"),
        ("09:00", "T2", "stopped", "agrees"),
        ("09:00", "T2", "running", "contradicts"),
        ("08:05", "T2", "running", "agrees"),
        ("08:06", "T2", "running", "contradicts"),
        ("09:00", "T3", "running", "not-assessable"),
        ("07:10", "T1", "set-up", "agrees"),
        ("09:00", "T1", "set-up", "contradicts"),
        ("09:00", "T2", "set-up", "agrees"),
        ("09:00", "T1", "unclear", "not-assessable"),
    ],
)
def test_a_round_against_running_states(timeline, clock, machine, word, result):
    _, results = held(timeline, seen("round", clock, grid={machine: word}))
    assert results == {f"grid/{machine}": result}


def test_a_machine_with_who_attends_and_which_part(timeline):
    _, results = held(
        timeline,
        seen("machine-state", "09:00", "T1", state="running", presence="nobody", part_no="P2"),
    )
    assert results == {"state": "agrees", "presence": "contradicts", "part_no": "contradicts"}


@pytest.mark.parametrize(
    ("pieces", "result"),
    [(600, "agrees"), (500, "agrees"), (499, "contradicts"), (700, "agrees"), (701, "contradicts")],
)
def test_a_counter_gives_the_pieces_between_two_readings(timeline, pieces, result):
    # 10 pieces a minute; an hour apart; five minutes at each end: 500 to 700
    first = seen("counter", "08:00", "T1", "a", pieces=12_000)
    _, results = held(timeline, first, seen("counter", "09:00", "T1", "b", pieces=12_000 + pieces))
    assert results == {"pieces": result}


@pytest.mark.parametrize(
    ("first", "second", "said"),
    [
        (None, ("09:00", "T1", 10), "second one"),
        (("08:00", "T2", 5), ("09:00", "T1", 10), "second one"),
        (("08:00", "T1", 20), ("09:00", "T1", 10), "set back"),
        (("08:30", "T3", 20), ("09:00", "T3", 30), "known"),
        (("06:30", "T2", 20), ("07:00", "T2", 30), "no known number"),
        (("11:00", "T1", 20), ("15:00", "T1", 30), "reach"),
    ],
)
def test_a_counter_that_says_nothing_says_why(timeline, first, second, said):
    readings = [
        seen("counter", clock, machine, str(number), pieces=pieces)
        for number, (clock, machine, pieces) in enumerate(r for r in (first, second) if r)
    ]
    found, results = held(timeline, *readings)
    assert results == {"pieces": "not-assessable"}
    assert said in found.actions[0].recorded


def test_a_check_on_the_sheet_and_in_the_records(timeline):
    found, results = held(
        timeline,
        seen("last-check", "08:30", "T1", checked_at="2026-03-24T08:00:00Z", result="pass"),
    )
    assert results == {"checked_at": "agrees", "result": "agrees"}
    assert found.actions[0].rows == ("c1",)


def test_a_check_entered_after_it_was_seen_is_said_to_be(timeline):
    found, results = held(
        timeline, seen("last-check", "09:30", "T1", checked_at="2026-03-24T09:00:00Z")
    )
    assert results == {"checked_at": "agrees"}
    assert "after it was seen" in found.actions[0].recorded


def test_a_check_that_did_not_stand_on_the_sheet(timeline):
    found, results = held(
        timeline,
        seen("last-check", "10:00", "T1", checked_at="2026-03-24T08:00:00Z", result="fail"),
    )
    assert results == {"checked_at": "agrees", "result": "contradicts", "later": "contradicts"}
    assert found.actions[2].rows == ("c2",)
    assert len(found.proposed) == 2


def test_a_check_that_is_not_in_the_records(timeline):
    _, results = held(
        timeline, seen("last-check", "08:20", "T1", checked_at="2026-03-24T07:40:00Z")
    )
    assert results == {"checked_at": "contradicts", "later": "contradicts"}


@pytest.mark.parametrize(
    ("letter", "clock", "colour", "results"),
    [
        ("Q", "09:00", "red", {"colour": "agrees", "later": "contradicts"}),
        ("Q", "09:00", "green", {"colour": "contradicts", "later": "contradicts"}),
        ("Q", "11:30", "green", {"colour": "agrees"}),
        ("Q", "11:30", "unclear", {"colour": "not-assessable"}),
        ("D", "09:00", "green", {"colour": "agrees"}),
        ("D", "09:00", "red", {"colour": "contradicts"}),
        ("C", "09:00", "red", {"colour": "not-assessable"}),
    ],
)
def test_the_colour_of_a_board(timeline, letter, clock, colour, results):
    look = seen("board", clock, area="A", letter=letter, day="2026-03-23", colour=colour)
    assert held(timeline, look)[1] == results


def test_a_day_that_is_no_date_is_not_assessable(timeline):
    look = seen("board", "09:00", area="A", letter="Q", day="yesterday", colour="red")
    assert held(timeline, look)[1] == {"colour": "not-assessable"}


def test_lots_in_the_hold_area(timeline):
    found, results = held(timeline, seen("hold-area", "09:00", lots=["L1", "L2", "L3"]))
    assert results == {"lots/L1": "agrees", "lots/L2": "contradicts", "lots/L3": "contradicts"}
    assert [action.rows for action in found.actions] == [("h1",), ("h2",), ()]
    (trail,) = found.proposed
    assert "L2, L3" in trail.proposition


def test_what_the_extract_lacks_is_not_assessable():
    tables = parse_tables(PLANT)
    with timeline_over({name: tables[name] for name in ("machines", "runs")}) as bare:
        for observation in (
            seen("staffing", "09:00", grid={"T1": "nobody"}),
            seen("last-check", "09:00", "T1", checked_at="2026-03-24T08:00:00Z"),
            seen("hold-area", "09:00", lots=["L1"]),
            seen("board", "09:00", area="A", letter="Q", day="2026-03-23", colour="red"),
            seen("machine-state", "09:00", "T1", state="set-up"),
        ):
            assert set(held(bare, observation)[1].values()) == {"not-assessable"}


def test_a_paper_record_has_fifteen_minutes():
    tables = parse_tables(PLANT)
    checks = tables["checks"]
    header = (*checks.header, "extract_id")
    tables["checks"] = replace(checks, header=header, rows=tuple((*r, "e") for r in checks.rows))
    names = ("extract_id", "file_name", "sha256", "system", "zone", "rows_read", "rows_loaded",
             "rows_refused", "rows_duplicate")  # fmt: skip
    tables["extracts"] = TextTable(
        names, (("e", "sheet", "0", "paper", "UTC", "2", "2", "0", "0"),)
    )
    with timeline_over(tables) as found:
        look = seen("last-check", "08:30", "T1", checked_at="2026-03-24T08:14:00Z")
        assert held(found, look)[1] == {"checked_at": "agrees"}


def test_a_contradiction_proposes_one_trail_with_a_fair_rival(timeline):
    grid = {"T1": "nobody", "T2": "attended", "T3": "nobody"}
    found, results = held(timeline, seen("staffing", "08:00", grid=grid))
    assert Counter(results.values()) == {"contradicts": 2, "agrees": 1}
    (trail,) = found.proposed
    trail.check(AuditState(), None)
    assert (trail.origin.id, "T1, T2" in trail.proposition) == ("o", True)
    assert trail.rival


def test_what_was_held_once_is_not_held_again(timeline):
    state = AuditState(observations={"o": seen("staffing", "08:00", grid={"T1": "attended"})})
    assert len(compare_all(state, timeline, "f1").actions) == 1
    state.observations["o"].compared.append(Comparison(**stamped("c"), freeze="f1"))
    assert compare_all(state, timeline, "f1").actions == ()
    assert len(compare_all(state, timeline, "f2").actions) == 1


def test_a_free_observation_is_held_against_nothing(timeline):
    assert held(timeline, seen("free", "08:00"))[1] == {}


def test_every_reading_names_known_clauses_and_both_sides():
    for reading in READINGS.values():
        assert reading.proposition != reading.rival
        for clause in reading.clauses:
            requirement_of(clause)


@settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=40
)
@given(minute=st.integers(0, 479), word=st.sampled_from(["attended", "watched", "nobody"]))
def test_two_contrary_sights_never_both_contradict_at_one_moment(timeline, minute, word):
    """Somebody or nobody: the records cannot be against both of what can be seen."""
    clock = f"{6 + minute // 60:02d}:{minute % 60:02d}"
    grids = ({"T1": "attended"}, {"T1": "nobody"}, {"T1": word})
    results = [held(timeline, seen("staffing", clock, grid=grid))[1]["grid/T1"] for grid in grids]
    assert results[:2] != ["contradicts", "contradicts"]
    assert ("not-assessable" in results) == (set(results) == {"not-assessable"})
