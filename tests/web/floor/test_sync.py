"""What a phone sends is taken once, whole, in its own chain, and for the right audit only."""

import json
import random
from datetime import timedelta
from uuid import uuid4

import pytest

from witnessmark.audit.act import now
from witnessmark.audit.event import moment_of, written
from witnessmark.audit.journal import check_chain


def received(floor):
    from witnessmark.web.store.desk import STORE

    return STORE.received(floor.audit)


def test_events_are_received_in_their_chain_with_the_phones_signature(floor):
    phone = floor.phone()
    answers = floor.sync(phone, phone.heard(), phone.heard("never at night"))
    assert [answer["status"] for answer in answers] == ["received", "received"]
    journal = received(floor)
    assert check_chain(journal) == 3
    assert journal[-1].entry.event_key == phone.signer.public
    assert journal[-1].entry.event_hash == answers[-1]["hash"] == phone.last


def test_the_same_delivery_twice_changes_nothing(floor):
    phone = floor.phone()
    items = [phone.heard(), phone.heard("at night")]
    first = floor.sync(phone, *items)
    again = floor.sync(phone, *items)
    assert [answer["status"] for answer in again] == ["known", "known"]
    assert [answer["seq"] for answer in again] == [answer["seq"] for answer in first]
    assert len(floor.state.statements) == 2


def test_words_are_kept_apart_from_the_journal(floor):
    from witnessmark.web.store.desk import STORE

    phone = floor.phone()
    floor.sync(phone, phone.heard("the alarm clears itself"))
    (statement,) = floor.state.statements.values()
    assert STORE.reveal(statement.words_sealed) == "the alarm clears itself"
    assert "alarm" not in received(floor)[-1].event.body["words"]


def test_a_hole_in_the_chain_is_a_fork_and_the_same_ids_in_a_new_chain_are_taken(floor):
    phone = floor.phone()
    phone.heard("lost")
    later = phone.heard("kept")
    (answer,) = floor.sync(phone, later)
    assert answer["status"] == "fork"
    event = json.loads(later["event"])
    fresh = floor.phone()
    event |= {"device": fresh.device, "device_seq": 1, "previous": "0" * 64}
    (answer,) = floor.sync(fresh, fresh.sealed(event, later["payloads"]))
    assert answer["status"] == "received"
    assert list(floor.state.statements) == [event["id"]]


def test_the_same_told_in_another_chain_is_known_under_its_first_place(floor):
    phone, fresh = floor.phone(), floor.phone()
    item = phone.heard()
    floor.sync(phone, item)
    event = json.loads(item["event"])
    event |= {"device": fresh.device, "device_seq": 1, "previous": "0" * 64}
    (answer,) = floor.sync(fresh, fresh.sealed(event, item["payloads"]))
    assert answer["status"] == "known"
    assert answer["hash"] != fresh.last
    assert len(floor.state.statements) == 1


def test_what_the_audit_does_not_admit_is_refused_alone_with_its_reason(floor):
    phone = floor.phone()
    bad = phone.write("statement-heard", {"role": ""}, {"words": "x"})
    good = phone.heard()
    first, second = floor.sync(phone, bad, good)
    assert first["status"] == "refused"
    assert "role" in first["message"]
    assert second["status"] == "fork"


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"kind": "trail-closed", "body": {}}, "not"),
        ({"kind": "no-such-thing"}, "does not know"),
        ({"author": "u999"}, "another account"),
        ({"device_seq": 0}, "number"),
        ({"at": "yesterday"}, "no instant"),
    ],
)
def test_an_event_that_no_notebook_writes_is_refused(floor, change, said):
    phone = floor.phone()
    item = phone.write("statement-heard", {"role": "setter"}, {"words": "x"}, **change)
    (answer,) = floor.sync(phone, item)
    assert (answer["status"], said in answer["message"]) == ("refused", True), answer
    assert not floor.state.statements


def test_an_event_of_another_audit_is_refused_whatever_the_role_here(floor):
    from witnessmark.audit.actions.open_audit import OpenAudit
    from witnessmark.audit.people import Actor, Role
    from witnessmark.web.store.desk import STATES, desk

    other = str(uuid4())
    desk().act(other, Actor("u77", Role.LEAD), OpenAudit(title="Not theirs", process="x"))
    phone = floor.phone()
    (answer,) = floor.sync(phone, phone.heard(audit=other))
    assert (answer["status"], answer["message"]) == (
        "refused",
        "The event belongs to another audit.",
    )
    assert not STATES.state(other).statements


def test_a_changed_text_or_a_wrong_signature_is_refused(floor):
    phone = floor.phone()
    item = phone.heard()
    (mark,) = item["payloads"]
    changed = item | {"payloads": {mark: item["payloads"][mark] | {"text": "otherwise"}}}
    assert floor.sync(phone, changed)[0]["status"] == "refused"
    assert floor.sync(phone, item | {"signature": "00" * 64})[0]["status"] == "refused"
    assert floor.sync(phone, item | {"payloads": {}})[0]["status"] == "refused"
    assert floor.sync(phone, item)[0]["status"] == "received"


def test_a_phone_whose_clock_is_hours_wrong_is_put_right(floor):
    phone = floor.phone()
    wrong = now() - timedelta(hours=5)
    item = phone.write(
        "observation-made",
        {"form": "counter", "machine": "M1", "values": {"pieces": 40}},
        at=written(wrong),
    )
    floor.sync(phone, item, sent_at=written(wrong), trip=400)
    (seen,) = floor.state.observations.values()
    assert abs((moment_of(seen.seen_at) - now()).total_seconds()) < 30
    assert received(floor)[-1].event.at == written(wrong)


def test_who_is_not_of_the_team_reaches_nothing(member, floor):
    paths = ("", "known", "token", f"photo/{'0' * 64}", "print/", "key-in/")
    for role, status in (("auditor", 200), ("observer", 403), ("auditee", 403), ("", 404)):
        other = member(role)
        for path in paths:
            assert other.client.get(f"/floor/{floor.audit}/{path}").status_code == status, (
                role,
                path,
            )
        body = {"sent_at": "2026-03-24T05:00:00Z", "items": []}
        assert other.post("sync", body).status_code == status
        assert other.post("plain/", body).status_code == status


def test_an_auditor_sends_under_their_own_name(member, floor):
    other = member("auditor")
    phone = other.phone()
    assert other.sync(phone, phone.heard())[0]["status"] == "received"
    (statement,) = floor.state.statements.values()
    assert statement.author == other.user


def test_signed_out_is_said_with_a_status(floor, visitor):
    from django.test import Client

    answer = Client().get(f"/floor/{floor.audit}/token", headers={"Accept": "application/json"})
    assert answer.status_code == 401


def test_a_delivery_needs_a_fresh_token(floor, user):
    from django.test import Client

    strict = Client(enforce_csrf_checks=True)
    strict.force_login(user)
    body = {"sent_at": "2026-03-24T05:00:00Z", "items": []}
    address = f"/floor/{floor.audit}/sync"
    assert strict.post(address, body, content_type="application/json").status_code == 403
    token = strict.get(f"/floor/{floor.audit}/token").json()["token"]
    answer = strict.post(
        address, body, content_type="application/json", headers={"X-CSRFToken": token}
    )
    assert answer.status_code == 200


def test_nothing_that_is_sent_makes_the_server_fail(floor):
    draw = random.Random(7)
    phone = floor.phone()
    good = json.dumps(
        {"sent_at": "2026-03-24T05:00:00Z", "key": phone.signer.public, "items": [phone.heard()]}
    )
    values = ['"x"', "null", "[]", "{}", "1e400", "-1", "NaN", '"\\ud800"', "1e999999", "true"]
    for _ in range(300):
        text = good
        for _ in range(draw.randint(1, 3)):
            at = draw.randrange(len(text))
            how = draw.random()
            if how < 0.3:
                text = text[:at] + text[at + draw.randint(1, 9) :]
            elif how < 0.6:
                text = text[:at] + draw.choice('{}[]",:\\0aé\x00') + text[at:]
            else:
                pieces = text.split(":")
                pieces[draw.randrange(1, len(pieces))] = draw.choice(values)
                text = ":".join(pieces)
        for path in ("sync", "plain/"):
            answer = floor.post(path, text.encode("utf-8", "surrogatepass"))
            assert answer.status_code in (200, 400), text
    for text in (b"", b"\xff\xfe", b"[" * 5000, b'{"sent_at":' * 2000):
        assert floor.post("sync", text).status_code == 400
    assert check_chain(received(floor)) <= 2


def test_too_much_at_once_is_refused_before_it_is_read(floor):
    assert floor.post("sync", b"x" * (5 * 1024 * 1024)).status_code == 413
    phone = floor.phone()
    item = phone.heard()
    body = {"sent_at": "2026-03-24T05:00:00Z", "items": [item] * 201}
    answer = floor.post("sync", body)
    assert answer.status_code == 400
    assert "200" in answer.json()["message"]
