"""The auditor reviews their own audit before anyone else does."""

from collections import Counter
from dataclasses import replace
from datetime import timedelta

import pytest
from tests.audit.conftest import START, at, stamped

from witnessmark.audit.cited import Cited, Requirement, TestResult
from witnessmark.audit.items import (
    Answer,
    Appointment,
    Comparison,
    Document,
    Finding,
    Freeze,
    Grading,
    Link,
    Observation,
    Promise,
    Receipt,
    Request,
    Route,
    Statement,
    Trail,
)
from witnessmark.audit.review import review
from witnessmark.audit.state import AuditState, Criterion, Opening, Scope

LATER = START + timedelta(hours=20)


def complete():
    """An audit that has left nothing open but the roles of common practice."""
    state = AuditState(opening=Opening(zone="UTC"))
    state.scope = Scope(shifts=("early 05:30-13:30", "late 13:30-05:30"), machines=("T1",))
    state.criteria = [Criterion("CP-114", "7", clauses=("A 8.5.1.1",))]
    for name, start in (("one", 495), ("two", 15)):
        state.appointments[name] = Appointment(
            **stamped(name), what="Handover", kind="handover",
            starts_at=at(start), ends_at=at(start + 40),
        )  # fmt: skip
    state.appointments["floor"] = Appointment(
        **stamped("floor"), kind="floor", starts_at=at(60), ends_at=at(90)
    )
    state.observations["o"] = Observation(
        **stamped("o"), form="staffing", seen_at=at(600), values={"grid": {"T1": "nobody"}},
        compared=[Comparison(**stamped("c"), result="contradicts", seen="Nobody.", recorded="2.")],
    )  # fmt: skip
    state.trails["t"] = Trail(
        **stamped("t"), proposition="late", state="refuted", clauses=("A 8.5.1.1",),
        origin=Cited("observation", id="o"),
    )  # fmt: skip
    state.findings["f"] = Finding(
        **stamped("f"), number=1, suspect_product=True, containment_asked_at=at(9),
        requirement=Requirement(document="CP-114", clause="A 8.5.1.1", confirmed=True),
        grading=Grading(**stamped("g"), grade="major"), acknowledged_at=at(10),
        routes=[Route(**stamped("r"))], state="graded",
    )  # fmt: skip
    state.statements["s"] = Statement(
        **stamped("s"), role="setter", answers=[Answer(**stamped("a"))]
    )
    state.requests["q"] = Request(
        **stamped("q"), what="gauge list", receipts=[Receipt(**stamped("x"))]
    )
    state.promises["p"] = Promise(**stamped("p"), what="see gauge", outcome="done")
    state.documents["d"] = Document(**stamped("d"), title="Report of the last audit")
    state.freezes["z"] = Freeze(
        **stamped("z"), freeze="z",
        outcomes={"gauge-overdue": TestResult("gauge-overdue", "assessed", 0, 5, 5, 0, "d")},
    )  # fmt: skip
    return state


def keys(state, now=LATER):
    return Counter(gap.key for gap in review(state, now) if gap.key != "role")


def test_a_complete_audit_has_no_gap():
    assert keys(complete()) == {}


def test_an_empty_audit_has_its_gaps_with_where_to_go():
    gaps = review(AuditState(), LATER)
    assert {gap.key for gap in gaps} >= {
        "shifts", "handover", "control plan", "control plan revision", "unattended", "records",
        "earlier findings", "role",
    }  # fmt: skip
    assert all(gap.sentence and gap.room for gap in gaps)


def change(name, collection, id_, **values):
    def changed(state):
        items = getattr(state, collection)
        items[id_] = replace(items[id_], **values)

    return pytest.param(changed, name, id_, id=name)


@pytest.mark.parametrize(
    ("changed", "key", "item"),
    [
        change("route", "findings", "f", routes=[]),
        change("containment", "findings", "f", containment_asked_at=""),
        change("grade", "findings", "f", grading=None),
        change("acknowledged", "findings", "f", acknowledged_at=""),
        change("clause", "findings", "f",
               requirement=Requirement(document="CP-114", clause="A 8.5.1.1")),
        change("trail", "trails", "t", state="parked"),
        change("late evidence", "trails", "t", evidence=[Link(**stamped("l"))]),
        change("contradiction", "trails", "t", origin=None),
        change("promise", "promises", "p", outcome=None),
        change("statement", "statements", "s", answers=[]),
        change("request", "requests", "q", receipts=[]),
        change("outcomes", "freezes", "z", outcomes={}),
        change("earlier findings", "documents", "d", title="Drawing"),
        change("not-assessable", "freezes", "z", outcomes={
            "gauge-overdue": TestResult("gauge-overdue", "not-assessable", 0, 0, 0, 0, "d")}),
    ],
)  # fmt: skip
def test_each_gap_is_found_alone(changed, key, item):
    state = complete()
    changed(state)
    assert keys(state) == {key: 1}
    gap = next(gap for gap in review(state, LATER) if gap.key == key)
    assert gap.item in {item, "o" if key == "contradiction" else item, ""}


def test_a_shift_that_nobody_saw():
    state = complete()
    state.appointments["floor"].dropped = "no time"
    assert keys(state) == {"shift": 1}
    state.appointments["one"].dropped = "no time"
    assert keys(state) == {"shift": 1, "handover": 1}


def test_two_findings_on_one_requirement_may_be_one():
    state = complete()
    state.findings["f2"] = replace(state.findings["f"], id="f2", number=2)
    assert keys(state) == {"same requirement": 1}
    state.findings["f2"].state = "withdrawn"
    assert keys(state) == {}


def test_a_protected_source_is_not_named_by_its_role():
    state = complete()
    state.statements["s"] = Statement(**stamped("s"), role="night watcher", protected=True)
    found = review(state, LATER)
    assert any(gap.key == "statement" for gap in found)
    assert "night watcher" not in repr(found)
