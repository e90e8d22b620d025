"""What the notebook asks of the audit layer: ids kept, clocks put right, rules of the site."""

import json
from uuid import uuid4

import pytest
from tests.audit.conftest import AUDIT, LEAD

from witnessmark.audit.act import Delivery
from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.make_observation import MakeObservation
from witnessmark.audit.actions.set_site_rules import SetSiteRules
from witnessmark.audit.canonical import GENESIS
from witnessmark.audit.event import BrokenEventError
from witnessmark.audit.people import Actor, NotAllowedError, Role


def test_the_same_id_is_done_once(opened):
    event_id = str(uuid4())
    said = HearStatement(role="setter")
    first = opened.act(AUDIT, LEAD, said, {"words": "always"}, event_id=event_id)
    again = opened.act(AUDIT, LEAD, said, {"words": "always"}, event_id=event_id)
    assert again.entry.seq == first.entry.seq
    assert len(opened.store.received(AUDIT)) == 2


def test_an_id_does_not_change_what_it_stands_for(opened):
    event_id = str(uuid4())
    opened.act(AUDIT, LEAD, HearStatement(role="setter"), {"words": "x"}, event_id=event_id)
    with pytest.raises(BrokenEventError, match="another event"):
        opened.act(AUDIT, LEAD, HearStatement(role="leader"), {"words": "x"}, event_id=event_id)


def test_an_observation_is_seen_when_written_with_the_clock_put_right(opened):
    event = {
        "id": str(uuid4()), "audit": AUDIT, "device": str(uuid4()), "device_seq": 1,
        "previous": GENESIS, "at": "2026-03-24T02:00:00Z", "offset_min": 60, "author": "lead",
        "kind": "observation-made", "supersedes": "", "v": 1,
        "body": {"form": "counter", "machine": "M1", "values": {"pieces": 5}},
    }  # fmt: skip
    opened.receive(LEAD, Delivery(json.dumps(event), {}), clock_offset_s=3 * 3600)
    seen = opened.state(AUDIT).observations[event["id"]]
    assert seen.seen_at == seen.at == "2026-03-24T05:00:00Z"


def test_a_stated_moment_of_seeing_stands(opened):
    made = opened.act(
        AUDIT,
        LEAD,
        MakeObservation(form="counter", values={"pieces": 5}, seen_at="2026-03-24T04:00:00Z"),
    )
    assert opened.state(AUDIT).observations[made.event.id].seen_at == "2026-03-24T04:00:00Z"


def test_the_lead_alone_states_the_rules_of_the_site(opened):
    rules = SetSiteRules(photos="not-allowed", danger_role="shift leader")
    with pytest.raises(NotAllowedError):
        opened.act(AUDIT, Actor("second", Role.AUDITOR), rules)
    assert opened.state(AUDIT).site_rules.photos == "ask-each-time"
    opened.act(AUDIT, LEAD, rules)
    assert opened.state(AUDIT).site_rules.photos == "not-allowed"
