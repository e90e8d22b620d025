"""What was touched, from evidence and not from the plan."""

from datetime import timedelta

import pytest
from tests.audit.conftest import START, at, stamped

from witnessmark.audit.cited import Requirement, TestResult
from witnessmark.audit.coverage import coverage
from witnessmark.audit.items import Appointment, Finding, Freeze, Observation, Statement, Trail
from witnessmark.audit.state import AuditState, Criterion, Opening, Scope
from witnessmark.criteria.requirements import requirements
from witnessmark.record_tests.record_test import catalogue

LATER = START + timedelta(hours=20)


@pytest.fixture
def state():
    state = AuditState(opening=Opening(zone="UTC"))
    state.scope = Scope(
        shifts=("early 05:30-13:30", "late 13:30-21:30", "night 21:30-05:30"),
        machines=("T1", "T2"),
    )
    state.criteria = [Criterion("CP-114", "7", clauses=("A 8.5.1.1", "Q 8.5.1 c"))]
    return state


def clauses(items):
    return [item.clause for item in items]


def test_nothing_is_touched_at_first(state):
    found = coverage(state, START)
    assert found.touched == ()
    assert set(clauses(found.untouched)) == set(requirements())
    assert clauses(found.untouched)[:2] == ["A 8.5.1.1", "Q 8.5.1"]
    assert found.shifts_missing == ("early", "late", "night")
    assert found.handovers_missing == ("early to late", "late to night", "night to early")
    assert found.machines_missing == ("T1", "T2")


def test_trails_findings_and_assessed_tests_touch_requirements(state):
    state.trails["t"] = Trail(**stamped("t"), proposition="late", clauses=("Q 8.5.1 c",))
    state.findings["f"] = Finding(
        **stamped("f"), number=1, requirement=Requirement("IATF 16949", "8.5.1.1")
    )
    result = TestResult("gauge-overdue", "assessed", 0, 5, 5, 0, "d")
    silent = TestResult("last-off-missing", "not-assessable", 0, 0, 0, 0, "d")
    state.freezes["z"] = Freeze(
        **stamped("z"), freeze="z", outcomes={result.slug: result, silent.slug: silent}
    )
    found = {item.clause: item for item in coverage(state, START).touched}
    assert found["A 8.5.1.1"].by == ("finding 1",)
    assert (found["Q 8.5.1"].by, found["Q 8.5.1"].asked) == (("trail: late",), True)
    for clause in catalogue()["gauge-overdue"].clauses:
        assert "record test gauge-overdue" in found[clause].by
    assert not any("last-off-missing" in by for item in found.values() for by in item.by)


def test_every_requirement_is_touched_or_not(state):
    state.trails["t"] = Trail(**stamped("t"), clauses=("A 8.5.1.1", "plant rule 4"))
    found = coverage(state, START)
    both = clauses(found.touched) + clauses(found.untouched)
    assert len(both) == len(set(both))
    assert set(both) == {*requirements(), "plant rule 4"}


def test_roles_heard_and_not_heard(state):
    state.statements["s"] = Statement(**stamped("s"), role="Shift leader, turning")
    state.appointments["a"] = Appointment(
        **stamped("a"), with_role="Setter", starts_at=at(), ends_at=at(30)
    )
    found = coverage(state, START, usual_roles=("shift leader", "planner", "setter"))
    assert found.roles_heard == {"Shift leader, turning": 1}
    assert found.roles_not_heard == ("Setter", "planner")


def test_a_protected_source_counts_as_nobody(state):
    state.statements["s"] = Statement(
        **stamped("s"), role="Whistling operator", shift="night", protected=True
    )
    found = coverage(state, LATER)
    assert "Whistling" not in repr(found)
    assert found.shifts_heard == ()
    assert coverage(state, LATER, with_protected=True).roles_heard == {"Whistling operator": 1}


def test_a_shift_counts_once_somebody_was_there(state):
    state.appointments["h"] = Appointment(
        **stamped("h"), what="Handover", kind="handover",
        starts_at=at(8 * 60 + 15), ends_at=at(8 * 60 + 55),
    )  # fmt: skip
    before = coverage(state, START)
    assert (before.shifts_seen, before.handovers_seen) == ((), ())
    after = coverage(state, LATER)
    assert (after.shifts_seen, after.handovers_seen) == ((), ("early to late",))
    assert after.handovers_missing == ("late to night", "night to early")
    state.appointments["h"].dropped = "overtaken"
    assert coverage(state, LATER).handovers_seen == ()
    state.appointments["f"] = Appointment(
        **stamped("f"), kind="floor", starts_at=at(60), ends_at=at(90)
    )
    state.appointments["n"] = Appointment(
        **stamped("n"), kind="records", shift="Night", starts_at=at(90), ends_at=at(95)
    )
    assert coverage(state, LATER).shifts_missing == ("late",)


def test_machines_seen_attended_and_unattended(state):
    def see(id_, form, machine="", **values):
        state.observations[id_] = Observation(
            **stamped(id_), form=form, machine=machine, seen_at=at(60), values=values
        )

    see("1", "staffing", grid={"T1": "attended", "T3": "watched", "T4": "unclear"})
    see("2", "machine-state", "T1", state="running", presence="nobody")
    see("3", "machine-state", "T5", state="stopped", presence="nobody")
    see("4", "round", grid={"T6": "running"})
    found = coverage(state, START)
    by = {item.machine: item for item in found.machines}
    assert (by["T1"].attended, by["T1"].nobody, by["T1"].looks) == (1, 1, 2)
    assert found.unattended_seen == ("T1", "T3")
    assert found.not_seen_unattended == ("T4", "T5", "T6")
    assert found.machines_missing == ("T2",)
    assert found.shifts_seen == ("early",)
