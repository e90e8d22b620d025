"""Promises by closing window; the next handover; the cheapest next step."""

import random
from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st
from tests.audit.conftest import START, at, stamped

from witnessmark.audit.items import Appointment, Promise, Trail
from witnessmark.audit.promises import cheapest_next, closing_first, next_handover, open_promises
from witnessmark.audit.state import AuditState, Opening, Scope


def audit():
    state = AuditState(opening=Opening(zone="Europe/Berlin"))
    state.trails["t"] = Trail(**stamped("t"), proposition="late", rival="entered late")
    state.promises["later"] = Promise(**stamped("later", 1), what="see gauge", latest=at(90))
    state.promises["never"] = Promise(**stamped("never", 2), what="ask night")
    state.promises["soon"] = Promise(
        **stamped("soon", 3), what="ask planner", latest=at(30), earliest=at(10), window="leaves"
    )
    state.promises["done"] = Promise(**stamped("done"), what="x", latest=at(5), outcome="done")
    state.promised = {"t": dict.fromkeys(("later", "soon", "done")), "": {"never": None}}
    return state


def test_the_window_that_closes_first_stands_first():
    found = open_promises(audit(), START + timedelta(seconds=30))
    assert [item.promise for item in found] == ["soon", "later", "never"]
    assert (found[0].minutes_left, found[0].opens_in, found[0].trails) == (29, 10, ("t",))
    assert (found[2].minutes_left, found[2].is_overdue, found[2].trails) == (None, False, ())


def test_a_window_that_closed_a_second_ago_is_over():
    (first, *_) = open_promises(audit(), START + timedelta(minutes=30, seconds=1))
    assert (first.is_overdue, first.minutes_left, first.opens_in) == (True, -1, 0)


def test_a_trail_closes_with_its_first_window():
    state = audit()
    assert closing_first(state, state.trails["t"]).promise == "soon"
    state.trails["t"].closes_at = at(20)
    assert closing_first(state, state.trails["t"]).at == at(20)
    assert closing_first(state, Trail(**stamped("u"))) is None


def test_the_cheapest_next_step():
    state = audit()
    trail = state.trails["t"]
    assert cheapest_next(state, trail).promise == "soon"
    state.promised = {}
    assert "two independent kinds" in cheapest_next(state, trail).text
    trail.next_step = "read the sheet"
    assert cheapest_next(state, trail).text == "read the sheet"
    trail.state = "refuted"
    assert cheapest_next(state, trail) is None


def test_the_next_handover_comes_from_the_agenda_or_the_shift_times():
    state = audit()
    assert next_handover(state, START) is None
    state.appointments["h"] = Appointment(
        **stamped("h"), what="Handover", kind="handover", place="row 1",
        starts_at=at(7 * 60 + 15), ends_at=at(8 * 60),
    )  # fmt: skip
    found = next_handover(state, START)
    assert (found.source, found.minutes, found.appointment) == ("agenda", 435, "h")
    # 05:00 UTC is 06:00 in Berlin; the change at 13:30 is 12:30 UTC
    state.scope = Scope(shifts=("early 05:30-13:30", "late 13:30-21:30"))
    assert next_handover(state, START).source == "agenda"
    state.appointments["h"].dropped = "no time"
    found = next_handover(state, START)
    assert (found.source, found.minutes, found.text) == ("shift times", 450, "early to late")


@given(st.lists(st.none() | st.integers(-100, 100), max_size=12), st.integers(0, 99))
def test_the_order_does_not_depend_on_the_order_of_arrival(ends, seed):
    promises = [
        Promise(**stamped(f"p{n}"), what="x", latest="" if end is None else at(end + 200))
        for n, end in enumerate(ends)
    ]
    shuffled = random.Random(seed).sample(promises, len(promises))
    first, second = (
        open_promises(AuditState(promises={p.id: p for p in order}), START)
        for order in (promises, shuffled)
    )
    assert first == second
    known = [item.minutes_left for item in first if item.minutes_left is not None]
    assert known == sorted(known)
    assert all(item.minutes_left is None for item in first[len(known) :])
