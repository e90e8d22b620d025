"""Forty minutes left: what to drop. Reason by reason, always the same."""

import random

from hypothesis import given
from hypothesis import strategies as st
from tests.audit.conftest import START, at, stamped

from witnessmark.audit.drop import what_to_drop
from witnessmark.audit.items import Appointment, Promise, Trail
from witnessmark.audit.state import AuditState


def appointment(id_, start, length, **more):
    return Appointment(
        **stamped(id_), what=id_, starts_at=at(start), ends_at=at(start + length), **more
    )


def audit():
    state = AuditState()
    for item in (
        appointment("closing", 30, 20, kind="meeting", worth=3),
        appointment("training", 5, 20, worth=1),
        appointment("over", -60, 30, worth=3),
        appointment("tomorrow", 900, 30, worth=3),
        appointment("moved", 10, 15, moves=1),
        appointment("plain", 10, 15),
        appointment("gone", 10, 15, worth=3, dropped="no time"),
    ):
        state.appointments[item.id] = item
    state.promises["night leader"] = Promise(
        **stamped("night leader"), what="ask", latest=at(20), window="goes home"
    )
    state.promises["gauge"] = Promise(**stamped("gauge"), what="see gauge", latest=at(900))
    state.promises["closed"] = Promise(**stamped("closed"), what="late", latest=at(-1))
    state.promises["done"] = Promise(**stamped("done"), what="x", outcome="done")
    state.trails["t"] = Trail(**stamped("t"), highest_grade="major")
    state.promised = {"t": {"gauge": None}}
    return state


def names(choices):
    return [choice.item for choice in choices]


def test_forty_minutes_left():
    plan = what_to_drop(audit(), START, 40)
    assert names(plan.keep) == ["closing", "night leader"]
    assert (plan.minutes_kept, plan.minutes_left) == (35, 40)
    assert names(plan.drop) == ["closed", "tomorrow", "training", "plain", "moved", "gauge"]
    assert "must stay" in plan.keep[0].reasons
    assert "its window closes within the time left" in plan.keep[1].reasons
    assert plan.drop[0].reasons[-1] == "its window has closed"
    assert plan.drop[1].reasons[-1] == "it starts after the time is over"


def test_the_grade_of_a_trail_comes_before_goodwill():
    plan = what_to_drop(audit(), START, 50)
    assert names(plan.keep) == ["closing", "night leader", "gauge"]
    assert "its trail could reach major" in plan.keep[2].reasons


def test_a_promise_that_has_an_appointment_stands_once():
    state = audit()
    state.appointments["plain"].promise = "night leader"
    plan = what_to_drop(state, START, 300)
    assert "night leader" not in names(plan.keep)
    assert "plain" in names(plan.keep)


def test_what_has_begun_takes_what_is_left_of_it():
    state = AuditState(appointments={"a": appointment("a", -10, 25)})
    (kept,) = what_to_drop(state, START, 15).keep
    assert kept.minutes == 15


def test_without_time_everything_goes():
    assert what_to_drop(audit(), START, -5).keep == ()


ROWS = st.lists(
    st.tuples(st.integers(-30, 200), st.integers(1, 90), st.integers(1, 3), st.integers(0, 2)),
    max_size=9,
)


@given(ROWS, st.integers(0, 200), st.integers(0, 99))
def test_it_fits_leaves_nothing_out_and_does_not_depend_on_order(rows, left, seed):
    items = [
        appointment(f"a{n}", start, length, worth=worth, moves=moves)
        for n, (start, length, worth, moves) in enumerate(rows)
    ]
    shuffled = random.Random(seed).sample(items, len(items))
    plans = [
        what_to_drop(AuditState(appointments={i.id: i for i in order}), START, left)
        for order in (items, shuffled)
    ]
    assert plans[0] == plans[1]
    assert plans[0].minutes_kept <= left
    ahead = {item.id for item in items if item.ends_at > at()}
    assert {*names(plans[0].keep), *names(plans[0].drop)} == ahead
