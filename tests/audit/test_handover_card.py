"""What to listen for at a change of shift: seen today before recorded, each with its age."""

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.audit.conftest import stamped
from tests.audit.small_records import timeline_over

from witnessmark.audit.handover_card import handover_card
from witnessmark.audit.items import Observation
from witnessmark.audit.seen_today import latest_sights, said_age
from witnessmark.audit.state import AuditState

NOW = datetime(2026, 3, 24, 13, 20, tzinfo=UTC)
PLANT = """
machines
| machine_id | area | process |
|------------|------|---------|
| T1         | A    | turning |
| T2         | A    | turning |
| T9         | B    | turning |

shift_instances
| area | production_date | shift | start_at         | end_at           | overtime |
|------|-----------------|-------|------------------|------------------|----------|
| A    | 2026-03-24      | early | 2026-03-24 05:30 | 2026-03-24 13:30 | no       |
| A    | 2026-03-24      | late  | 2026-03-24 13:30 | 2026-03-24 21:30 | no       |

runs
| run_id | machine_id | part_no | start_at         | end_at |
|--------|------------|---------|------------------|--------|
| r1     | T1         | P1      | 2026-03-24 06:00 |        |

stoppages
| stop_id | machine_id | start_at         | end_at | reason | planned |
|---------|------------|------------------|--------|--------|---------|
| s1      | T2         | 2026-03-24 12:20 |        | jam    | no      |

holds
| hold_id | lot_no | machine_id | qty | placed_at        |
|---------|--------|------------|-----|------------------|
| h1      | L1     | T1         | 50  | 2026-03-24 09:20 |
"""


@pytest.fixture(scope="module")
def timeline():
    with timeline_over(PLANT) as found:
        yield found


def seen(id_, clock, form, machine="", **values):
    return Observation(
        **stamped(id_), form=form, machine=machine, place="hold area",
        seen_at=f"2026-03-24T{clock}:00Z", values=values,
    )  # fmt: skip


def audit(*observations):
    return AuditState(observations={item.id: item for item in observations})


def lines(card):
    return [matter.sentence for matter in card.matters]


def test_recorded_matters_carry_their_age(timeline):
    card = handover_card(AuditState(), NOW, "A", timeline)
    assert card.change_at == "2026-03-24T13:30:00Z"
    assert lines(card) == [
        "T1: product on hold (h1); recorded, 4 h 0 min ago.",
        "T2: stopped, not planned (jam); recorded, 1 h 0 min ago.",
    ]
    assert card.extract_until == "2026-03-24T12:20:00Z"
    assert "1 h 0 min ago" in card.notes[0]


def test_seen_today_comes_first_and_says_what_the_records_lack(timeline):
    card = handover_card(
        audit(
            seen("a", "13:10", "round", grid={"T1": "running", "T2": "stopped", "T9": "stopped"}),
            seen("b", "13:00", "staffing", grid={"T1": "nobody"}),
            seen("c", "12:50", "last-check", "T1", checked_at="2026-03-24T11:00:00Z", result="x"),
        ),
        NOW, "A", timeline,
    )  # fmt: skip
    assert lines(card) == [
        "T2: stopped, not planned (stopped); seen today, 10 min ago.",
        "T1: runs without an operator (nobody); seen today, 20 min ago; not in the records.",
        "T1: last check on the sheet (2026-03-24 11:00, x); seen today, 30 min ago.",
        "T1: product on hold (h1); recorded, 4 h 0 min ago.",
    ]


def test_a_later_look_stands_beside_the_record(timeline):
    card = handover_card(
        audit(seen("a", "13:10", "round", grid={"T2": "running"})), NOW, "A", timeline
    )
    assert "T2: stopped, not planned (jam; seen running 10 min ago); recorded, 1 h 0 min ago." in (
        lines(card)
    )


def test_lots_in_the_hold_area_are_held_by_their_number(timeline):
    card = handover_card(
        audit(seen("a", "13:10", "hold-area", lots=["L1", "L7"])), NOW, "A", timeline
    )
    first = card.matters[0]
    assert (first.in_records, "without a hold: L7" in first.text) == (False, True)
    card = handover_card(audit(seen("a", "13:10", "hold-area", lots=["L1"])), NOW, "A", timeline)
    assert card.matters[0].in_records is True


def test_the_newest_look_counts_and_old_ones_do_not():
    state = audit(
        seen("a", "09:00", "round", grid={"T1": "stopped"}),
        seen("b", "13:00", "round", grid={"T1": "running"}),
        seen("c", "01:00", "round", grid={"T2": "stopped"}),
        seen("d", "13:30", "round", grid={"T3": "stopped"}),
    )
    card = handover_card(state, NOW, "A")
    assert card.matters == ()
    assert card.notes == ("No extract of the day: only what was seen.",)


def test_without_an_extract_nothing_is_said_of_records():
    card = handover_card(audit(seen("a", "13:00", "staffing", grid={"T1": "nobody"})), NOW, "A")
    assert lines(card) == ["T1: runs without an operator (nobody); seen today, 20 min ago."]


def test_a_stopped_machine_with_nobody_is_not_running_unattended():
    state = audit(seen("a", "13:00", "machine-state", "T1", state="stopped", presence="nobody"))
    assert [matter.kind for matter in handover_card(state, NOW, "A").matters] == ["stop"]


def test_a_change_that_the_records_do_not_know_is_said(timeline):
    state = audit(seen("a", "13:00", "staffing", grid={"T1": "nobody"}))
    card = handover_card(state, NOW, "A", timeline, change_at="2026-03-24T14:00:00Z")
    assert "know no change" in card.notes[0]
    assert [matter.in_records for matter in card.matters] == [None]


@pytest.mark.parametrize(
    ("minutes", "said"),
    [(0, "0 min ago"), (61, "1 h 1 min ago"), (3000, "2 d 2 h ago"), (-30, "in 30 min")],
)
def test_ages_are_said_as_people_do(minutes, said):
    assert said_age(minutes) == said


@given(
    st.lists(st.tuples(st.integers(0, 900), st.sampled_from(["running", "stopped"])), max_size=9)
)
def test_one_sight_for_each_machine_the_newest(looks):
    state = audit(
        *(
            seen(str(number), f"{minute // 60:02d}:{minute % 60:02d}", "round", grid={"T1": word})
            for number, (minute, word) in enumerate(looks)
        )
    )
    found = latest_sights(state, NOW)
    inside = [minute for minute, _ in looks if 80 <= minute <= 800]
    assert len(found) == bool(inside)
    if inside:
        newest = found["T1", "state"].at
        assert newest.hour * 60 + newest.minute == max(inside)
