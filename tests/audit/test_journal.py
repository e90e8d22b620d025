"""The chain: what was changed, left out, added or moved is named at the first place."""

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.audit.strategies import KEY, Device, journal_of

from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.canonical import GENESIS, sha256
from witnessmark.audit.event import Event
from witnessmark.audit.journal import BrokenChainError, Entry, Received, check_chain
from witnessmark.audit.signing import Signer

LENGTH = 8
OTHER = Signer(bytes(32))
STRANGE = st.sampled_from(["", "x", "0" * 64, "f" * 64, "2026-03-24T05:00:00Z", "é"])
QUICK = settings(max_examples=60, deadline=None)


@pytest.fixture(scope="module")
def whole():
    """A journal of two devices that take turns."""
    devices = Device(1), Device(2)
    for number in range(LENGTH):
        action = HearStatement(role=f"role {number}", words=sha256(bytes([number])))
        devices[number % 2].write(action, number)
    pairs = zip(devices[0].events, devices[1].events, strict=True)
    row = journal_of([event for pair in pairs for event in pair])
    assert check_chain(row) == LENGTH
    return row


def first_difference(row):
    with pytest.raises(BrokenChainError) as broken:
        check_chain(row)
    return broken.value.seq


def replaced(row, at, **parts):
    return [*row[:at], msgspec.structs.replace(row[at], **parts), *row[at + 1 :]]


@QUICK
@given(data=st.data())
def test_any_field_of_an_entry_changed_is_named(whole, data):
    at = data.draw(st.integers(0, LENGTH - 1))
    name = data.draw(st.sampled_from(Entry.__struct_fields__))
    old = getattr(whole[at].entry, name)
    new = data.draw((STRANGE if isinstance(old, str) else st.integers(-5, 5)).filter(old.__ne__))
    entry = msgspec.structs.replace(whole[at].entry, **{name: new})
    assert first_difference(replaced(whole, at, entry=entry)) == at + 1


@QUICK
@given(data=st.data())
def test_any_field_of_an_event_changed_is_named(whole, data):
    at = data.draw(st.integers(0, LENGTH - 1))
    name = data.draw(st.sampled_from(Event.__struct_fields__))
    old = getattr(whole[at].event, name)
    strange = {str: STRANGE, int: st.integers(-5, 5), dict: st.just({"role": "another"})}
    new = data.draw(strange[type(old)].filter(old.__ne__))
    event = msgspec.structs.replace(whole[at].event, **{name: new})
    assert first_difference(replaced(whole, at, event=event)) == at + 1


@QUICK
@given(data=st.data())
def test_entries_left_out_doubled_or_moved_are_named(whole, data):
    at = data.draw(st.integers(0, LENGTH - 2))
    to = data.draw(st.integers(at + 1, LENGTH - 1))
    moved = [*whole[:at], *whole[at + 1 : to + 1], whole[at], *whole[to + 1 :]]
    assert first_difference(moved) == at + 1
    assert first_difference([*whole[:at], *whole[at + 1 :]]) == at + 1
    assert first_difference([*whole[: at + 1], *whole[at:]]) == at + 2


def test_a_signature_holds_in_its_one_written_form_only(whole):
    for changed in (whole[3].signature.upper(), whole[3].signature + " ", "", "zz"):
        assert first_difference(replaced(whole, 3, signature=changed)) == 4
    assert first_difference(replaced(whole, 3, signature=OTHER.sign(whole[3].entry.hash))) == 4


def test_a_device_signature_is_checked_even_where_the_event_is_withheld(whole):
    entry = msgspec.structs.replace(
        whole[0].entry,
        event_key=OTHER.public,
        event_signature=KEY.sign(whole[0].entry.event_hash),
    )
    forged = Received(entry, KEY.sign(entry.hash), None)
    assert first_difference([forged, *whole[1:]]) == 1


@QUICK
@given(hidden=st.sets(st.integers(0, LENGTH - 1)))
def test_withheld_events_leave_the_chain_whole(whole, hidden):
    row = [
        Received(item.entry, item.signature, None) if at in hidden else item
        for at, item in enumerate(whole)
    ]
    assert check_chain(row) == LENGTH


def test_an_installation_cannot_leave_out_a_devices_event_without_a_trace():
    """The journal signed anew without an event: the device's own chain has a hole."""
    device = Device(1)
    for number in range(4):
        device.write(HearStatement(role=str(number), words="0" * 64), number)
    first, _, *rest = device.events
    assert first_difference(journal_of([first, *rest])) == 2
    assert first_difference(journal_of(rest)) == 1
    assert first_difference(journal_of(device.events[1:])) == 1


def test_a_hole_is_filled_by_an_event_that_came_before_only():
    device = Device(1)
    for number in range(3):
        device.write(HearStatement(role=str(number), words="0" * 64), number)
    a, b, c = device.events
    row = journal_of([a, c, b])
    late = [row[0], row[1], Received(row[2].entry, row[2].signature, None)]
    assert first_difference(late) == 2


def test_an_empty_journal_is_whole():
    assert check_chain([]) == 0
    assert GENESIS == "0" * 64
