"""Switching rules: each switch, nothing in between, order and purity."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.stats.switching import InspectionState, LotResult, next_state, severities

YES, NO = LotResult(accepted=True), LotResult(accepted=False)
WANTED = LotResult(accepted=True, reduced_allowed=True)


def after(*lots):
    return severities(lots)[-1].severity


@pytest.mark.parametrize(
    ("lots", "severity"),
    [
        ([NO], "normal"),
        ([NO, NO], "tightened"),
        ([NO, YES, YES, YES, NO], "tightened"),
        ([NO, YES, YES, YES, YES, NO], "normal"),
        ([NO, NO, *[YES] * 4], "tightened"),
        ([NO, NO, *[YES] * 5], "normal"),
        ([NO, NO, *[YES] * 4, NO, *[YES] * 4], "tightened"),
        ([NO, NO, *[YES] * 5, NO], "normal"),
        ([NO] * 6, "tightened"),
        ([NO] * 7, "discontinued"),
        ([NO] * 7 + [YES] * 20, "discontinued"),
        ([YES] * 20, "normal"),
        ([YES] * 9 + [WANTED], "reduced"),
        ([YES] * 8 + [WANTED], "normal"),
        ([NO, *[YES] * 9, WANTED], "reduced"),
        ([YES] * 9 + [LotResult(accepted=True, steady=False, reduced_allowed=True)], "normal"),
        ([YES] * 9 + [WANTED, NO], "normal"),
        ([YES] * 9 + [WANTED, LotResult(accepted=True, between=True)], "normal"),
        ([YES] * 9 + [WANTED, LotResult(accepted=True, steady=False)], "normal"),
        ([YES] * 9 + [WANTED, *[YES] * 5], "reduced"),
    ],
)
def test_each_switch(lots, severity):
    assert after(*lots) == severity


@given(st.lists(st.booleans(), max_size=60))
def test_tightened_begins_only_with_two_of_five(accepted):
    states = severities([LotResult(one) for one in accepted])
    assert len(states) == len(accepted) + 1
    for place in range(1, len(states)):
        if states[place].severity == "tightened" != states[place - 1].severity:
            assert accepted[max(0, place - 5) : place].count(False) >= 2
    assert all(state.sentence for state in states)


def test_a_state_is_never_changed():
    state = InspectionState()
    next_state(state, NO)
    assert state == InspectionState()


def test_between_needs_reduced_inspection():
    with pytest.raises(ValueError, match="needs reduced inspection and an accepted lot"):
        next_state(InspectionState(), LotResult(accepted=True, between=True))
