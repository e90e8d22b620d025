"""The fold: the same events give the same state, however they came in."""

from dataclasses import asdict

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.audit.strategies import (
    AUDIT,
    Device,
    actions,
    devices,
    interleavings,
    journal_of,
    offline_kinds,
    structs_of,
    uuid_of,
)

from witnessmark.audit.action import DECIDES, Creation
from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.make_observation import MakeObservation
from witnessmark.audit.actions.open_audit import OpenAudit
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.actions.promise_step import PromiseStep
from witnessmark.audit.catalogue import catalogue
from witnessmark.audit.fold import fold
from witnessmark.audit.journal import check_chain
from witnessmark.audit.state import COLLECTIONS

MANY = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def shown(state):
    """A state with the order of everything in it, as text."""
    told = {name: getattr(state, name) for name in state.__slots__}
    return repr({name: sorted(v) if isinstance(v, set) else v for name, v in told.items()})


@MANY
@given(st.data())
def test_offline_events_of_several_devices_in_any_order_give_the_same_state(data):
    made = data.draw(devices())
    chains = [device.events for device in made]
    one, two = data.draw(interleavings(chains)), data.draw(interleavings(chains))
    first, second = fold(journal_of(one)), fold(journal_of(two))
    assert shown(first) == shown(second)
    assert first == second


@MANY
@given(st.data())
def test_decisions_after_them_do_not_depend_on_that_order_either(data):
    made = data.draw(devices())
    chains = [device.events for device in made]
    ids = st.sampled_from([event.id for chain in chains for event in chain])
    decisions = sorted(set(catalogue()) - set(offline_kinds()))
    desk = Device(9)
    for at in range(data.draw(st.integers(0, 4))):
        action = data.draw(actions(decisions, ids))
        corrects = isinstance(action, Creation) and data.draw(st.booleans())
        desk.write(action, 100 + at, data.draw(ids) if corrects else "")
    one, two = data.draw(interleavings(chains)), data.draw(interleavings(chains))
    assert shown(fold(journal_of(one + desk.events))) == shown(fold(journal_of(two + desk.events)))


@MANY
@given(st.data())
def test_the_same_events_folded_twice_give_the_same_state(data):
    made = data.draw(devices())
    row = journal_of(data.draw(interleavings([device.events for device in made])))
    assert shown(fold(row)) == shown(fold(row))
    assert shown(fold(row + row)) == shown(fold(row))


@MANY
@given(st.data())
def test_every_such_journal_is_whole(data):
    made = data.draw(devices())
    row = journal_of(data.draw(interleavings([device.events for device in made])))
    assert check_chain(row) == len(row)


@pytest.mark.parametrize("kind", sorted(catalogue()))
def test_no_action_fails_on_an_empty_audit_or_on_items_that_are_not_there(kind):
    """What is in the journal has happened: applying it never refuses."""

    @settings(max_examples=15, deadline=None)
    @given(structs_of(catalogue()[kind]))
    def applies(action):
        desk = Device(9)
        supersedes = uuid_of(77) if isinstance(action, Creation) else ""
        desk.write(action, 0, supersedes)
        desk.write(action, 1)
        state = fold(journal_of(desk.events))
        assert state.id == AUDIT
        assert not state.unknown

    applies()


def test_a_wrong_clock_is_put_right_everywhere():
    """A phone that runs an hour late writes at 05:00 what was seen at 06:00."""
    right, late = Device(1), Device(2)
    right.write(MakeObservation(note="0" * 64), 0)
    right.write(MakeObservation(note="1" * 64), 1800)
    late.write(MakeObservation(note="2" * 64), -2700)
    row = [*late.events, *right.events]
    times = [item.at for item in fold(journal_of(row)).observations.values()]
    assert times == ["2026-03-24T04:15:00Z", "2026-03-24T05:00:00Z", "2026-03-24T05:30:00Z"]
    mended = fold(journal_of(row, {late.id: 3600})).observations
    assert [(item.at, item.note_sealed[0]) for item in mended.values()] == [
        ("2026-03-24T05:00:00Z", "0"),
        ("2026-03-24T05:15:00Z", "2"),
        ("2026-03-24T05:30:00Z", "1"),
    ]
    assert [item.seen_at for item in mended.values()] == [item.at for item in mended.values()]


def test_a_clock_at_the_end_of_time_locks_nothing():
    device = Device(1)
    device.write(OpenAudit(title="x", process="y"), 0)
    event = msgspec.structs.replace(device.events[0], at="9999-12-31T23:59:59Z")
    assert fold(journal_of([event], {device.id: 3600})).opening.title == "x"


def test_milliseconds_sort_as_time():
    device = Device(1)
    for number, at in enumerate(["05:00:00.900Z", "05:00:00Z", "05:00:01Z"]):
        event = device.write(HearStatement(role=str(number), words="0" * 64), number)
        device.events[-1] = msgspec.structs.replace(event, at=f"2026-03-24T{at}")
    state = fold(journal_of(device.events))
    assert [item.role for item in state.statements.values()] == ["1", "0", "2"]


@pytest.mark.parametrize(
    "kind", sorted(k for k, action in catalogue().items() if issubclass(action, Creation))
)
def test_a_correction_takes_over_every_field_of_its_body(kind):
    """Every field of the item that the body fills is the new one, sealed texts too."""

    @settings(max_examples=15, deadline=None)
    @given(structs_of(catalogue()[kind]), structs_of(catalogue()[kind]))
    def corrects(old, new):
        device = Device(1)
        first = device.write(old, 0)
        second = device.write(new, 60, supersedes=first.id)
        third = device.write(new, 120)
        state = fold(journal_of(device.events))
        items = getattr(state, catalogue()[kind].collection)
        assert set(items) == {first.id, third.id}
        mine, fresh = asdict(items[first.id]), asdict(items[third.id])
        assert mine["history"] == [second.id]
        assert (mine["at"], mine["id"]) == (first.at, first.id)
        own = {"id", "author", "at", "device", "history", "number", "versions", "seen_at"}
        assert {k: v for k, v in mine.items() if k not in own} == {
            k: v for k, v in fresh.items() if k not in own
        }

    corrects()


def test_a_corrected_observation_was_seen_when_it_was_first_written():
    device = Device(1)
    first = device.write(MakeObservation(note="0" * 64), 0)
    device.write(MakeObservation(note="1" * 64), 600, supersedes=first.id)
    (item,) = fold(journal_of(device.events)).observations.values()
    assert (item.note_sealed[0], item.seen_at) == ("1", first.at)


def test_corrections_of_the_same_item_by_two_devices_end_with_the_later():
    one, two = Device(1), Device(2)
    first = one.write(HearStatement(role="first", words="0" * 64), 0)
    one.write(HearStatement(role="later", words="1" * 64), 60, supersedes=first.id)
    two.write(HearStatement(role="earlier", words="2" * 64), 30, supersedes=first.id)
    for row in ([*one.events, *two.events], [one.events[0], *two.events, one.events[1]]):
        (statement,) = fold(journal_of(row)).statements.values()
        assert (statement.role, statement.words_sealed[0]) == ("later", "1")
        assert statement.history == [two.events[0].id, one.events[1].id]


def test_a_promise_that_moves_to_another_trail_leaves_the_first():
    device = Device(1)
    a, b = (device.write(OpenTrail(proposition=name), 0).id for name in "ab")
    promise = device.write(PromiseStep(what="look", trail=a), 1).id
    device.write(PromiseStep(what="look", trail=b), 2, supersedes=promise)
    device.write(PromiseStep(what="none", trail=a), 3, supersedes=uuid_of(77))
    state = fold(journal_of(device.events))
    assert {key: list(ids) for key, ids in state.promised.items() if ids} == {b: [promise]}


def test_events_of_a_newer_version_are_kept_said_and_lock_nothing():
    device = Device(1)
    device.write(OpenAudit(title="x", process="y"), 0)
    device.write(HearStatement(role="setter", words="0" * 64), 1)
    newer = msgspec.structs.replace(device.events[1], kind="weather-noted")
    field = msgspec.structs.replace(
        device.events[1], id=uuid_of(5), body={"role": "x", "of_a_newer_version": 1}
    )
    state = fold(journal_of([device.events[0], newer, field]))
    assert state.unknown == {"weather-noted", "statement-heard"}
    assert state.opening.title == "x"
    assert state.statements == {}


def test_every_collection_of_the_state_is_one_that_actions_fill():
    kinds = {action.collection for action in catalogue().values() if issubclass(action, Creation)}
    assert kinds | {"freezes", "reports"} == set(COLLECTIONS)
    assert {action.phase for action in catalogue().values()} == {0, 1, DECIDES}
