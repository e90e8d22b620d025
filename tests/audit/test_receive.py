"""What a notebook hands over: once each, in its own chain, within its role; forks are answered."""

import json
import random
from dataclasses import replace
from datetime import timedelta

import msgspec
import pytest
from tests.audit.conftest import AUDIT, LEAD
from tests.audit.strategies import START, Device, uuid_of

from witnessmark.audit.act import Delivery, ForkError
from witnessmark.audit.actions.draft_finding import DraftFinding
from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.issue_finding import IssueFinding
from witnessmark.audit.actions.link_evidence import LinkEvidence
from witnessmark.audit.actions.make_observation import MakeObservation
from witnessmark.audit.actions.open_audit import OpenAudit
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.actions.settle_promise import SettlePromise
from witnessmark.audit.actions.withdraw_finding import WithdrawFinding
from witnessmark.audit.canonical import canonical, commitment, sha256
from witnessmark.audit.catalogue import read_action
from witnessmark.audit.cited import Cited, Fact, Requirement
from witnessmark.audit.event import BrokenEventError
from witnessmark.audit.journal import Payload, check_chain
from witnessmark.audit.people import Actor, NotAllowedError, RefusedError, Role
from witnessmark.audit.signing import Signer

PHONE = Signer(bytes([7] * 32))


def heard(device, words, at=0, **more):
    """A statement written on a device, with its text."""
    payload = Payload("5" * 64, words)
    mark = commitment(payload.salt, words)
    event = device.write(HearStatement(role="setter", words=mark), at, **more)
    return event, {mark: payload}


def delivered(event, payloads=None, signer=None):
    signed = (signer.public, signer.sign(event.hash)) if signer else ("", "")
    return Delivery(canonical(event.as_json()).decode(), payloads or {}, *signed)


def actor(number, role=Role.AUDITOR):
    return Actor(f"u{number}", role)


def test_an_event_is_kept_once_however_often_it_is_sent(opened):
    event, payloads = heard(Device(1), "never")
    first, new = opened.receive(actor(1), delivered(event, payloads, PHONE))
    again, still = opened.receive(actor(1), delivered(event, payloads, PHONE))
    assert (new, still) == (True, False)
    assert again == first
    assert opened.store.reveal(event.body["words"]) == "never"
    assert (first.entry.event_key, len(opened.store.received(AUDIT))) == (PHONE.public, 2)
    assert check_chain(opened.store.received(AUDIT)) == 2


def test_a_fork_is_answered_and_what_is_written_anew_is_not_doubled(opened):
    """A phone restored from a backup writes on from an older event: two events number two."""
    phone, restored = Device(1), Device(1)
    first, payloads = heard(phone, "one")
    restored.events.append(first)
    opened.receive(actor(1), delivered(first, payloads))
    second, payloads = heard(phone, "two", 60)
    opened.receive(actor(1), delivered(second, payloads))
    lost, lost_texts = heard(restored, "three", 120, id_=uuid_of(90))
    with pytest.raises(ForkError, match="does not follow"):
        opened.receive(actor(1), delivered(lost, lost_texts))
    # It starts a new chain under a new name, with what it does not know to be kept: also `second`.
    anew = replace_chain(Device(2), [second, lost])
    assert [event.id for event in anew.events] == [second.id, lost.id]
    known, new = opened.receive(actor(1), delivered(anew.events[0], payloads))
    assert (new, known.event) == (False, second)
    with pytest.raises(ForkError):  # its first link is not in the journal: once more, without it
        opened.receive(actor(1), delivered(anew.events[1], lost_texts))
    last = replace_chain(Device(3), [lost])
    kept, new = opened.receive(actor(1), delivered(last.events[0], lost_texts))
    assert (new, kept.event.id) == (True, lost.id)
    words = [opened.store.reveal(s.words_sealed) for s in opened.state(AUDIT).statements.values()]
    assert words == ["one", "two", "three"]
    assert check_chain(opened.store.received(AUDIT)) == 4


def replace_chain(device, events):
    """Events written anew into another device's chain, under the same ids."""
    for event in events:
        device.write(read_action(event.kind, event.body), 0, event.supersedes, event.id)
        fields = {"at": event.at, "author": event.author}
        device.events[-1] = msgspec.structs.replace(device.events[-1], **fields)
    return device


def test_an_id_does_not_stand_for_two_things(opened):
    event, payloads = heard(Device(1), "one")
    opened.receive(actor(1), delivered(event, payloads))
    other, payloads = heard(Device(1), "another", id_=event.id)
    with pytest.raises(BrokenEventError, match="already stands"):
        opened.receive(actor(1), delivered(other, payloads))


def test_what_does_not_come_whole_is_refused(opened):
    event, payloads = heard(Device(1), "one")
    wrong = {mark: Payload(one.salt, "another") for mark, one in payloads.items()}
    whole = delivered(event, payloads, PHONE)
    for delivery, said in (
        (delivered(event), "did not come"),
        (delivered(event, wrong), "not the one that its mark"),
        (delivered(event, payloads | {sha256(b"x"): Payload("", "x")}), "not the one"),
        (replace(whole, signature="0" * 128), "signature does not hold"),
        (replace(whole, signature=whole.signature.upper()), "signature does not hold"),
        (replace(whole, event=whole.event[:-1]), "no event"),
    ):
        with pytest.raises(BrokenEventError, match=said):
            opened.receive(actor(1), delivery)
    with pytest.raises(BrokenEventError, match="another account"):
        opened.receive(actor(2), whole)
    with pytest.raises(NotAllowedError):
        opened.receive(actor(1, Role.OBSERVER), whole)
    assert len(opened.store.received(AUDIT)) == 1


def test_a_notebook_decides_nothing_and_writes_no_nonsense(opened):
    for action, error in (
        (IssueFinding(finding="x"), BrokenEventError),
        (OpenAudit(title="Another", process="title"), RefusedError),
        (HearStatement(role=" ", words="0" * 64), RefusedError),
        (MakeObservation(seen_at="yesterday", note="0" * 64), BrokenEventError),
        (OpenTrail(proposition=""), RefusedError),
    ):
        event = Device(1).write(action, 0)
        texts = {"0" * 64: Payload("", "")} if "0" * 64 in event.body.values() else {}
        with pytest.raises((error, BrokenEventError)):
            opened.receive(actor(1, Role.LEAD), delivered(event, texts))
    assert opened.state(AUDIT).opening.title == "Turning"
    assert len(opened.store.received(AUDIT)) == 1


def test_what_adds_may_come_before_what_it_adds_to(opened):
    phone, other = Device(1), Device(2)
    trail = other.write(OpenTrail(proposition="no check at night"), 0)
    link = phone.write(LinkEvidence(trail=trail.id, cited=Cited("statement")), 60)
    promise = phone.write(SettlePromise(promise=uuid_of(77), outcome="done"), 90)
    for event, number in ((link, 1), (promise, 1)):
        opened.receive(actor(number), delivered(event))
    assert opened.state(AUDIT).orphans == {link.id, promise.id}
    opened.receive(actor(2), delivered(trail))
    state = opened.state(AUDIT)
    assert state.orphans == {promise.id}
    assert [piece.id for piece in state.trails[trail.id].evidence] == [link.id]


@pytest.mark.parametrize(("offset", "kept"), [(100, 0), (-100, 0), (121, 121), (-3600, -3600)])
def test_a_clock_counts_as_right_within_two_minutes(opened, offset, kept):
    event, payloads = heard(Device(1), "one")
    received, _ = opened.receive(actor(1), delivered(event, payloads), offset)
    assert received.entry.clock_offset_s == kept
    (statement,) = opened.state(AUDIT).statements.values()
    assert statement.at == (START + timedelta(seconds=kept)).strftime("%Y-%m-%dT%H:%M:%SZ")
    assert received.event.at == event.at


def test_many_notebooks_in_any_order_lose_and_double_nothing(desk):
    """Devices that send piece by piece, each piece sometimes twice; every order, the same state."""
    shown = set()
    for seed in range(6):
        rng = random.Random(seed)
        store = type(desk.store)()
        here = replace(desk, store=store)
        here.act(AUDIT, LEAD, OpenAudit(title="Turning", process="bar turning"), at=START)
        chains = []
        for number in (1, 2, 3):
            device = Device(number)
            chains.append([heard(device, f"{number}.{n}", 60 * n) for n in range(5)])
        while any(chains):
            chain = rng.choice([chain for chain in chains if chain])
            event, payloads = chain[0]
            for _ in range(rng.choice([1, 1, 2])):
                here.receive(Actor(event.author, Role.AUDITOR), delivered(event, payloads))
            chain.pop(0)
        assert check_chain(store.received(AUDIT)) == 16
        statements = here.state(AUDIT).statements
        shown.add(json.dumps([[s.id, store.reveal(s.words_sealed)] for s in statements.values()]))
    assert len(shown) == 1


def test_destroyed_texts_leave_the_chain_whole(opened):
    events = [opened.act(AUDIT, LEAD, HearStatement(role="x"), {"words": w}) for w in "abc"]
    mark = events[1].event.body["words"]
    opened.store.destroy(mark)
    assert check_chain(opened.store.received(AUDIT)) == 4
    told = [opened.store.reveal(s.words_sealed) for s in opened.state(AUDIT).statements.values()]
    assert told == ["a", None, "c"]
    assert opened.store.payload(mark) is None


def test_an_action_with_values_that_cannot_be_read_back_never_enters(opened):
    """A journal only grows: one event that no version can read would stay for good."""
    for action in (
        OpenTrail(proposition="x", highest_grade="enormous"),
        OpenTrail(proposition="x", clauses=7),
        OpenTrail(proposition="x", origin={"kind": "rumour"}),
    ):
        with pytest.raises(RefusedError, match="does not hold what it should"):
            opened.act(AUDIT, LEAD, action)
    with pytest.raises(BrokenEventError):
        opened.act(AUDIT, LEAD, OpenTrail(proposition="\ud800"))
    with pytest.raises(BrokenEventError, match="Attach"):
        opened.act(AUDIT, LEAD, OpenTrail(proposition="x" * 300_000))
    assert len(opened.store.received(AUDIT)) == 1


def test_an_issued_finding_is_not_reworded_and_no_finding_cites_a_protected_source(opened):
    draft = DraftFinding(requirement=Requirement(), statement="checks are late")
    finding = opened.act(AUDIT, LEAD, draft).event.id
    said = opened.act(
        AUDIT, LEAD, HearStatement(role="x", protected=True), {"words": "in trust"}
    ).event
    cites = Fact(text="it was said", cited=Cited("statement", id=said.id))
    with pytest.raises(RefusedError, match="protected source"):
        opened.act(AUDIT, LEAD, msgspec.structs.replace(draft, facts=(cites,)))
    opened.act(AUDIT, LEAD, WithdrawFinding(finding=finding, reason="not so"))
    with pytest.raises(RefusedError, match="withdrawn; its words stand"):
        opened.act(AUDIT, LEAD, draft, supersedes=finding)
