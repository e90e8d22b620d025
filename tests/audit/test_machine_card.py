"""A machine's card: what is known to each question, and how old that is."""

# ruff: noqa: E501  # the tables are as wide as they are

from datetime import UTC, datetime

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.audit.conftest import stamped
from tests.audit.small_records import timeline_over

from witnessmark.audit.items import Observation
from witnessmark.audit.machine_card import QUESTIONS, machine_card
from witnessmark.audit.state import AuditState

NOW = datetime(2026, 3, 24, 12, 0, tzinfo=UTC)
PLANT = """
machines
| machine_id | area | group_id | process |
|------------|------|----------|---------|
| T1         | A    | row 1    | turning |
| T2         | A    | row 2    | turning |

shift_instances
| area | production_date | shift | start_at         | end_at           | overtime |
|------|-----------------|-------|------------------|------------------|----------|
| A    | 2026-03-24      | early | 2026-03-24 06:00 | 2026-03-24 14:00 | no       |

runs
| run_id | machine_id | part_no | start_at         | end_at |
|--------|------------|---------|------------------|--------|
| r1     | T1         | P1      | 2026-03-24 08:00 |        |

stoppages
| stop_id | machine_id | start_at         | end_at           | planned |
|---------|------------|------------------|------------------|---------|
| s1      | T1         | 2026-03-24 10:30 | 2026-03-24 10:50 | no      |

setups
| setup_id | machine_id | to_part | start_at         | end_at           | released_at      |
|----------|------------|---------|------------------|------------------|------------------|
| su1      | T1         | P1      | 2026-03-24 07:00 | 2026-03-24 07:50 | 2026-03-24 08:00 |
| su2      | T2         | P2      | 2026-03-24 09:00 |                  |                  |

control_plan_lines
| plan_no | rev | line | part_no | sample_n | basis        | interval_min | check_kinds | valid_from |
|---------|-----|------|---------|----------|--------------|--------------|-------------|------------|
| CP      | A   | 10   | P1      | 1        | running-time | 120          | patrol      | 2026-01-01 |
| CP      | A   | 20   | P1      | 1        | clock-time   | 240          | patrol      | 2026-01-01 |

checks
| check_id | machine_id | part_no | kind   | done_at          | result |
|----------|------------|---------|--------|------------------|--------|
| c1       | T1         | P1      | patrol | 2026-03-24 10:00 | pass   |

measurements
| check_id | line | piece_no | value | gauge_id |
|----------|------|----------|-------|----------|
| c1       | 10   | 1        | 5     | g1       |
| c1       | 10   | 2        | 5     | g2       |

calibrations
| gauge_id | done_on    | verdict | next_due   |
|----------|------------|---------|------------|
| g1       | 2024-03-26 | in      | 2025-03-26 |
| g1       | 2025-03-26 | in      | 2026-03-26 |

holds
| hold_id | lot_no | machine_id | qty | placed_at        | disposed_at      |
|---------|--------|------------|-----|------------------|------------------|
| h1      |        | T1         | 50  | 2026-03-24 11:00 |                  |
| h2      |        | T1         | 50  | 2026-03-24 06:00 | 2026-03-24 07:00 |

allocations
| person_key | machine_or_group | start_at         | end_at           | role     | basis   |
|------------|------------------|------------------|------------------|----------|---------|
| k7f3       | row 1            | 2026-03-24 06:00 | 2026-03-24 14:00 | operator | planned |
| k9d1       | T1               | 2026-03-24 11:30 | 2026-03-24 12:30 | relief   | actual  |
| k7f3       | T2               | 2026-03-24 06:00 | 2026-03-24 14:00 | operator | planned |
"""


@pytest.fixture(scope="module")
def timeline():
    with timeline_over(PLANT) as found:
        yield found


def seen(id_, clock, form, machine="", **values):
    at = f"2026-03-24T{clock}:00Z"
    return Observation(**stamped(id_), form=form, machine=machine, seen_at=at, values=values)


def told(card):
    return {q: [answer.sentence for answer in card.to(q)] for q in QUESTIONS if card.to(q)}


def test_every_question_with_what_is_recorded_and_its_age(timeline):
    card = machine_card(AuditState(), NOW, "T1", timeline)
    # extract until 11:00; line 10: an hour since 10:00 less 20 min stopped, of 120
    assert card.extract_until == "2026-03-24T11:00:00Z"
    assert told(card) == {
        "set-up": ["su1 for P1 (recorded, 5 h 0 min ago)"],
        "release": ["released 2026-03-24 08:00 (recorded, 4 h 0 min ago)"],
        "last check": ["patrol c1: pass (recorded, 2 h 0 min ago)"],
        "next due": ["line 20: in 60 min by the clock (recorded, 4 h 0 min ago)"],
        "holds": ["h1: 50 pieces (recorded, 1 h 0 min ago)"],
        "gauges": ["g1 until 2026-03-26; g2 until a day not recorded (recorded, 1 h 0 min ago)"],
        "answerable": ["relief (actual) (recorded, 30 min ago)"],
    }


def test_the_next_check_counts_running_time():
    bare = PLANT.replace("| CP      | A   | 20   | P1      | 1        | clock-time   | 240 ",
                         "| CP      | A   | 20   | P1      | 1        | clock-time   | 999 ")  # fmt: skip
    with timeline_over(bare) as found:
        card = machine_card(AuditState(), NOW, "T1", found)
    assert [answer.text for answer in card.to("next due")] == ["line 10: in 80 min of running"]


def test_no_person_stands_on_a_card(timeline):
    for machine in ("T1", "T2"):
        assert "k7f3" not in repr(machine_card(AuditState(), NOW, machine, timeline))
    assert told(machine_card(AuditState(), NOW, "T2", timeline))["answerable"] == [
        "operator (planned) (recorded, 6 h 0 min ago)"
    ]


def test_what_is_not_recorded_says_so(timeline):
    found = told(machine_card(AuditState(), NOW, "T2", timeline))
    assert found["release"] == ["no release of su2 recorded (not in the records)"]
    assert found["last check"] == ["Not in the records."]
    assert found["holds"] == ["Not in the records."]


def test_seen_today_stands_before_recorded(timeline):
    state = AuditState(
        observations={
            item.id: item
            for item in (
                seen("a", "11:50", "last-check", "T1", checked_at="2026-03-24T11:45:00Z"),
                seen("b", "11:55", "staffing", grid={"T1": "nobody", "T2": "attended"}),
                seen("c", "11:56", "counter", "T1", pieces=400),
            )
        }
    )
    found = told(machine_card(state, NOW, "T1", timeline))
    assert found["last check"] == [
        "2026-03-24 11:45 (seen today, 10 min ago)",
        "patrol c1: pass (recorded, 2 h 0 min ago)",
    ]
    assert found["answerable"][0] == "nobody (seen today, 5 min ago)"
    assert found["counter"] == ["400 pieces (seen today, 4 min ago)"]


def test_without_an_extract_every_question_stands_open():
    card = machine_card(AuditState(), NOW, "T1")
    assert {answer.source for answer in card.answers} == {"no extract of the day"}
    assert [answer.question for answer in card.answers] == [
        question for question in QUESTIONS if question not in {"state", "counter"}
    ]
    assert card.notes


def test_a_machine_that_the_records_do_not_know(timeline):
    card = machine_card(AuditState(), NOW, "T9", timeline)
    assert card.notes == ("The records do not know machine T9.",)
    assert {answer.source for answer in card.answers} == {"not in the records"}


@settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=25
)
@given(minute=st.integers(0, 700))
def test_nothing_on_a_card_is_from_the_future(timeline, minute):
    now = datetime(2026, 3, 24, 6, tzinfo=UTC).replace(hour=6 + minute // 60, minute=minute % 60)
    for answer in machine_card(AuditState(), now, "T1", timeline).answers:
        assert answer.age_min is None or answer.age_min >= 0
