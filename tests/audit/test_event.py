"""The event's bytes: the same on every machine, refused where they are no event."""

from datetime import UTC, datetime

import msgspec
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from tests.audit.strategies import AUDIT, Device, actions, plain

from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.canonical import GENESIS, canonical
from witnessmark.audit.catalogue import catalogue, read_action
from witnessmark.audit.event import LARGEST, BrokenEventError, Event, read_event, written

EVENT = Device(1).write(HearStatement(role="setter", words="0" * 64), 0)
FIELDS = EVENT.as_json()


@pytest.mark.parametrize("kind", sorted(catalogue()))
def test_an_event_of_every_action_survives_its_bytes(kind):
    @settings(max_examples=12, deadline=None)
    @given(actions([kind]))
    def survives(action):
        event = Device(1).write(action, 0)
        data = canonical(event.as_json())
        again = read_event(data)
        assert canonical(again.as_json()) == data
        assert again.hash == event.hash
        read = read_action(kind, again.body)
        assert canonical(read.body) == canonical(action.body)

    survives()


@settings(max_examples=60, deadline=None)
@given(st.dictionaries(st.text(max_size=5), plain, max_size=5))
def test_the_order_of_keys_changes_no_byte(body):
    backwards = dict(reversed(list(body.items())))
    try:
        told = canonical({"body": body})
    except Exception as error:  # noqa: BLE001 - the same must be refused both ways
        with pytest.raises(type(error)):
            canonical({"body": backwards})
    else:
        assert canonical({"body": backwards}) == told


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=300) | st.text(max_size=300))
@example(b"\xff\xfe")
@example(b"[" * 100_000)
@example(b'{"id":' * 5000)
@example("\ud800")
@example(b"null")
@example(b"1e999")
def test_bytes_that_are_no_event_are_refused_and_nothing_else(data):
    with pytest.raises(BrokenEventError):
        read_event(data)


@settings(max_examples=200, deadline=None)
@given(st.sampled_from(sorted(FIELDS)), plain)
@example("body", {"x": 2**60})
@example("body", {"x": [[[[[[]]]]]]})
@example("device_seq", 2**70)
@example("at", "9999-12-31T23:59:59.999Z")
@example("at", "0000-01-01T00:00:00Z")
@example("at", "2026-02-30T00:00:00Z")
@example("at", "٢٠٢٦-03-24T05:00:00Z")
@example("id", "00000000-0000-4000-8000-00000000000A")
def test_one_field_changed_gives_another_event_or_a_refusal(name, value):
    data = msgspec.json.encode({**FIELDS, name: value})
    try:
        event = read_event(data)
    except BrokenEventError:
        return
    assert (event.hash == EVENT.hash) == (canonical(event.as_json()) == canonical(FIELDS))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"v": 2}, "version 2"),
        ({"id": "x"}, "no UUID"),
        ({"audit": AUDIT.upper()}, "no UUID"),
        ({"supersedes": "1"}, "supersedes is no UUID"),
        ({"device_seq": 0}, "number on its device"),
        ({"device_seq": 2}, "came before"),
        ({"previous": "0" * 63 + "1"}, "came before"),
        ({"previous": "A" * 64, "device_seq": 2}, "came before"),
        ({"at": "2026-03-24 05:00:00"}, "no instant"),
        ({"at": "2026-03-24T25:00:00Z"}, "no instant"),
        ({"author": ""}, "who wrote it"),
        ({"more": 1}, "unknown field"),
        ({"body": {"x": 2.0**53}}, "safe integer"),
        ({"body": {"x": 1e17}}, "safe integer"),
        ({"body": {"x": "y" * LARGEST}}, "Attach what is longer"),
        ({"body": {"x": "é" * (LARGEST // 2)}}, "Attach what is longer"),
    ],
)
def test_what_is_wrong_with_an_event_is_named(change, said):
    with pytest.raises(BrokenEventError, match=said):
        read_event(msgspec.json.encode({**FIELDS, **change}).decode())


def test_a_chain_starts_at_the_genesis_hash():
    assert EVENT.previous == GENESIS
    assert isinstance(read_event(canonical(FIELDS)), Event)


def test_instants_of_early_years_keep_their_four_digits():
    assert written(datetime(33, 4, 3, tzinfo=UTC)) == "0033-04-03T00:00:00Z"
