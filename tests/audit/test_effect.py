"""Verification by the same test on a new period; recurrence."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.audit.conftest import at, stamped

from witnessmark.audit.cited import Cited, Fact
from witnessmark.audit.effect import (
    HOURS,
    UNITS,
    Side,
    is_recurrence,
    is_watched,
    recurrence,
    slugs_of,
    verify,
)
from witnessmark.audit.items import Finding, Freeze, Response, Verification
from witnessmark.audit.people import RefusedError
from witnessmark.audit.state import AuditState
from witnessmark.record_tests.outcome import Counts, Outcome, UsedCriterion

SLUG = "check-interval-exceeded"


def outcome(x, n, unknown=0, **more):
    counts = Counts(n - x, x, {"no clock": unknown} if unknown else {})
    return Outcome(SLUG, more.pop("status", "assessed"), counts, **more)


def finding(**more):
    fact = Fact("late", 12, 30, cited=Cited("outcome", freeze="f1", slug=SLUG))
    told = {"responses": [Response(**stamped("r"), implemented_on="2026-04-01")], "facts": (fact,)}
    return Finding(**stamped("f"), **{"state": "issued", **told, **more})


def compared(x1, t1, x2, t2, **more):
    before, after = Side("f1", outcome(x1, max(x1, 1)), t1), Side("f2", outcome(x2, max(x2, 1)), t2)
    return verify(finding(), before, after, **more)


@pytest.mark.parametrize(
    ("x1", "t1", "x2", "t2", "verdict", "p"),
    [
        # Exact conditional test, Przyborowski and Wilenski, Biometrika 31 (1940) 313-323:
        # 12->4 per 30 d p=0.04; 8->3 p=0.11; 6 in 20 d -> 0 in 10 d p=0.09
        (12, 30, 4, 30, "shown", 0.04),
        (8, 30, 3, 30, "not yet demonstrable", 0.11),
        (6, 20, 0, 10, "not yet demonstrable", 0.09),
    ],
)
def test_published_examples_by_exposure(x1, t1, x2, t2, verdict, p):
    found = compared(x1, t1, x2, t2)
    assert (found.action.verdict, found.action.exposure) == (verdict, HOURS)
    assert found.result.p_better == pytest.approx(p, abs=0.005)
    assert found.result.sentence in found.action.text


def test_without_running_hours_the_assessed_units_are_the_exposure():
    found = verify(finding(), Side("f1", outcome(46, 212)), Side("f2", outcome(9, 200)))
    action = found.action
    assert (action.exposure, action.verdict) == (UNITS, "shown")
    assert (action.before_x, action.before_exposure) == (46, 212.0)
    assert (action.after_x, action.after_exposure) == (9, 200.0)


def test_the_action_can_be_done():
    state = AuditState(findings={"f": finding()})
    for freeze in ("f1", "f2"):
        state.freezes[freeze] = Freeze(**stamped(freeze), freeze=freeze)
    action = compared(12, 30, 4, 30).action
    action.check(state, None)
    action.apply(state, type("Stamp", (), {"base": stamped("v")}))
    assert state.findings["f"].verifications[0].verdict == "shown"


def test_the_time_that_set_it_off_is_left_out():
    before = Side("f1", outcome(20, 212), trigger=(9, 12.0))
    found = verify(finding(), before, Side("f2", outcome(9, 200)))
    assert (found.action.before_x, found.action.before_exposure) == (11, 200.0)
    assert found.action.verdict == "not yet demonstrable"
    assert not any("left out" in note for note in found.notes)
    hinted = verify(finding(), Side("f1", outcome(20, 212)), Side("f2", outcome(9, 200)))
    assert any("set the action off" in note for note in hinted.notes)


def test_clusters_take_a_proof_away():
    before, after = outcome(12, 100), outcome(4, 100)
    assert verify(finding(), Side("a", before), Side("b", after)).action.verdict == "shown"
    clustered = replace(before, design_effect=2.8)
    found = verify(finding(), Side("a", clustered), Side("b", after))
    assert (found.action.verdict, found.result.verdict) == ("not yet demonstrable", "shown")
    assert "clusters" in found.action.text


def test_sister_machines_take_away_what_happened_to_both():
    sides = (Side("a", outcome(30, 100)), Side("b", outcome(10, 100)))
    alike = verify(finding(), *sides, sister=sides)
    assert (alike.action.verdict, alike.result.verdict) == ("not yet demonstrable", "shown")
    still = (Side("a", outcome(30, 100)), Side("b", outcome(30, 100)))
    assert verify(finding(), *sides, sister=still).action.verdict == "shown"


def test_an_after_without_exposure_shows_nothing():
    found = verify(
        finding(),
        Side("a", outcome(12, 30)),
        Side("b", outcome(0, 0, status="nothing-to-test")),
    )
    assert found.action.verdict == "not yet demonstrable"
    assert any("absence shows nothing" in note for note in found.notes)


def test_fewer_records_are_said():
    found = verify(finding(), Side("a", outcome(12, 30)), Side("b", outcome(1, 30, unknown=30)))
    assert any("50 % could not be assessed after" in note for note in found.notes)


def criterion(value):
    return UsedCriterion("patrol_grace_share", Decimal(value), "share", "plant", is_default=False)


@pytest.mark.parametrize(
    ("after", "said"),
    [
        (Outcome("gauge-overdue", "assessed", Counts(1)), "same test"),
        (Outcome(SLUG, "not-assessable"), "not-assessable"),
        (Outcome(SLUG, "failed"), "failed"),
        (outcome(1, 2, criteria=(criterion("0.2"),)), "patrol_grace_share"),
    ],
)
def test_what_cannot_be_compared_is_refused(after, said):
    before = Side("a", outcome(1, 2, criteria=(criterion("0.1"),)))
    with pytest.raises(RefusedError, match=said):
        verify(finding(), before, Side("b", after))
    with pytest.raises(RefusedError, match="no exposure"):
        verify(finding(), Side("a", outcome(0, 0)), Side("b", outcome(1, 2)))


def closed(after_x=0, after=200.0, exposure=UNITS):
    last = Verification(
        **stamped("v"), slug=SLUG, after_x=after_x, after_exposure=after, exposure=exposure
    )
    return finding(state="closed", verifications=[last], closed_at=at(), watch_until="2026-06-22")


@pytest.mark.parametrize(
    ("item", "found", "again"),
    [
        (closed(), outcome(1, 300), True),
        (closed(), outcome(0, 300), False),
        (closed(9), outcome(9, 200), False),
        (closed(9), outcome(30, 200), True),
        (closed(9, exposure=HOURS), outcome(9, 200), False),
        (finding(), outcome(9, 200), False),
        (closed(), Outcome("gauge-overdue", "assessed", Counts(0, 5)), False),
        (closed(), Outcome(SLUG, "not-assessable"), False),
    ],
)
def test_recurrence(item, found, again):
    assert is_recurrence(item, found) is again
    assert recurrence(item, found).sentence


def test_a_rate_per_running_hour_is_held_against_running_hours():
    item = closed(9, exposure=HOURS)
    assert "running hours: give them" in recurrence(item, outcome(9, 200)).sentence
    assert is_recurrence(item, outcome(30, 200), running_h=200)
    assert not is_recurrence(item, outcome(30, 200), running_h=2000)


def test_the_watch_has_an_end():
    assert is_watched(closed(), "2026-06-22")
    assert not is_watched(closed(), "2026-06-23")
    assert not is_watched(finding(), "2026-04-01")


def test_the_tests_behind_a_finding():
    assert slugs_of(closed()) == (SLUG,)


@given(st.integers(0, 60), st.integers(0, 60), st.floats(1, 4))
def test_the_more_clustered_the_less_is_shown(x1, x2, effect):
    plain = [Side("a", outcome(x1, 100)), Side("b", outcome(x2, 100))]
    thick = [replace(s, outcome=replace(s.outcome, design_effect=effect)) for s in plain]
    if verify(finding(), *thick).action.verdict == "shown":
        assert verify(finding(), *plain).action.verdict == "shown"
