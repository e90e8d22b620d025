"""A grade is proposed from stated inputs, never from a probability, and never decided."""

from dataclasses import fields, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.audit.cited import Fact, Requirement
from witnessmark.audit.grading import (
    QUESTIONS,
    Inputs,
    as_answers,
    inputs_of,
    propose,
    rate_of,
    same_requirement,
)
from witnessmark.audit.items import Finding, Grading
from witnessmark.audit.state import AuditState

LATE = Inputs(
    requirement_broken="yes",
    rule="not followed",
    x=3,
    n=100,
    machines=(2, 9),
    shifts=(1, 3),
    special="no",
    plant_acted="no",
    product_left="no",
    repeated="no",
    customer_trigger="no",
)
ORDER = ("none", "opportunity", "minor", "major")
WRITTEN = {"author": "lead", "at": "2026-03-24T05:30:00Z", "device": "d"}


@pytest.mark.parametrize(
    ("change", "grade"),
    [
        # limited extent, control otherwise works
        ({}, "minor"),
        ({"requirement_broken": "no"}, "none"),
        ({"requirement_broken": "no", "risk_visible": True}, "opportunity"),
        ({"requirement_broken": "unknown"}, "none"),
        # a single shipped suspect lot outweighs 3 % late checks
        ({"product_left": "yes"}, "major"),
        ({"product_left": "probable"}, "major"),
        ({"product_left": "possible"}, "minor"),
        # no rule at all, but not where only a part lacks it
        ({"rule": "missing", "machines": None, "shifts": None}, "major"),
        ({"rule": "missing"}, "minor"),
        # broken down as a whole: all shifts, most machines
        ({"x": 46, "n": 212, "machines": (8, 9), "shifts": (3, 3)}, "major"),
        ({"x": None, "n": None, "machines": (8, 9), "shifts": (3, 3)}, "major"),
        ({"x": 9, "n": 2000, "machines": (8, 9), "shifts": (3, 3)}, "minor"),
        ({"x": 46, "n": 212, "machines": (4, 9), "shifts": (3, 3)}, "minor"),
        # the plant found it itself and acted: mitigates a spread, not a shipment
        ({"x": 46, "n": 212, "machines": (8, 9), "shifts": (3, 3), "plant_acted": "yes"}, "minor"),
        ({"product_left": "yes", "plant_acted": "yes"}, "major"),
        ({"repeated": "yes"}, "major"),
        ({"special": "yes"}, "major"),
        ({"customer_trigger": "yes"}, "major"),
        ({"minors": 2}, "minor"),
        ({"minors": 3}, "major"),
    ],
)
def test_the_logic_of_grading(change, grade):
    proposal = propose(replace(LATE, **change))
    assert proposal.grade == grade
    assert proposal.reasons
    assert all(reason.question in QUESTIONS and reason.source for reason in proposal.reasons)


def test_no_probability_is_an_input():
    assert {field.name for field in fields(Inputs)} == set(QUESTIONS)
    assert not {"p", "p_value", "adjusted"} & set(QUESTIONS)


def test_what_would_change_it_is_said():
    changes = {
        (change.question, change.answer): change.grade for change in propose(LATE).would_change
    }
    assert changes["product_left", "probable"] == "major"
    assert changes["requirement_broken", "no"] == "none"
    assert ("special", "no") not in changes


def test_what_is_not_answered_is_said():
    assert propose(LATE).unanswered == ()
    assert "product_left" in propose(Inputs(requirement_broken="yes")).unanswered


def test_the_rate_stands_with_its_exact_limits():
    # Clopper and Pearson 1934, exact two-sided: 3/30 = 10 % (2-27), 7/40 = 17.5 % (7-33)
    assert rate_of(Inputs(x=3, n=30))[0] == "3 of 30 (10.0 %; 2.1 to 26.5 %)"
    assert rate_of(Inputs(x=7, n=40))[0] == "7 of 40 (17.5 %; 7.3 to 32.8 %)"
    assert rate_of(Inputs(x=3, n=30, lower=0.01, upper=0.5))[0].endswith("1.0 to 50.0 %)")


def test_a_targeted_sample_has_no_rate():
    said, lower = rate_of(Inputs(x=3, n=5, targeted=True))
    assert (lower, "no rate" in said) == (None, True)


def test_answers_are_kept_in_words():
    kept = as_answers(LATE)
    assert kept["On how many machines, of how many that ran?"] == "2 of 9"
    assert all(isinstance(value, str) for value in kept.values())


def finding(id_, requirement, **more):
    return Finding(id=id_, **WRITTEN, requirement=requirement, **more)


def test_the_audit_gives_what_it_knows():
    plan = Requirement(document="CP-114", revision="7", clause="A 8.5.1.1")
    state = AuditState()
    for number in range(2):
        graded = Grading(id=f"g{number}", **WRITTEN, grade="minor")
        state.findings[str(number)] = finding(str(number), plan, grading=graded, state="graded")
    third = finding(
        "3", plan, facts=(Fact("late", 46, 212, "weeks 20-27", "targeted"),), suspect_product=True
    )
    state.findings["3"] = third
    known = inputs_of(state, third)
    assert (known.requirement_broken, known.x, known.n, known.targeted) == ("yes", 46, 212, True)
    assert (known.product_left, known.minors) == ("possible", 3)


def test_requirements_are_the_same_by_document_or_clause():
    assert same_requirement(Requirement(document="CP-1 "), Requirement(document="cp-1"))
    assert same_requirement(
        Requirement(standard="IATF 16949", clause="8.5.1.1"), Requirement(clause="A 8.5.1.1")
    )
    assert not same_requirement(Requirement(), Requirement())


ANSWERS = st.sampled_from(["unknown", "no", "yes"])
PAIRS = st.none() | st.tuples(st.integers(0, 9), st.integers(1, 9)).map(sorted).map(tuple)
INPUTS = st.builds(
    Inputs,
    requirement_broken=ANSWERS,
    risk_visible=st.booleans(),
    rule=st.sampled_from(["unknown", "missing", "not followed", "ineffective"]),
    x=st.none() | st.integers(0, 50),
    n=st.just(50),
    targeted=st.booleans(),
    machines=PAIRS,
    shifts=PAIRS,
    special=ANSWERS,
    plant_acted=ANSWERS,
    product_left=st.sampled_from(["unknown", "no", "possible", "probable", "yes"]),
    repeated=ANSWERS,
    customer_trigger=ANSWERS,
    minors=st.integers(1, 5),
)


@given(INPUTS, st.sampled_from(["special", "repeated", "customer_trigger", "product_left"]))
def test_a_worse_answer_never_lowers_the_grade(inputs, worse):
    before = ORDER.index(propose(replace(inputs, **{worse: "no"})).grade)
    assert ORDER.index(propose(replace(inputs, **{worse: "yes"})).grade) >= before


@given(INPUTS)
def test_without_a_broken_requirement_there_is_no_nonconformity(inputs):
    proposal = propose(replace(inputs, requirement_broken="no"))
    assert proposal.grade in {"none", "opportunity"}


@given(INPUTS)
def test_what_would_change_it_does(inputs):
    proposal = propose(inputs)
    for change in proposal.would_change:
        assert change.grade != proposal.grade
