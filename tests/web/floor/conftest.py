"""An audit on a fresh installation, and a phone that chains its events as the page does."""

import json
from dataclasses import dataclass, field
from uuid import uuid4

import pytest

from witnessmark.audit.canonical import GENESIS, canonical, commitment, new_salt
from witnessmark.audit.signing import Signer, new_secret


@dataclass
class Phone:
    """Writes events in a chain of its own."""

    audit: str
    author: str
    device: str = field(default_factory=lambda: str(uuid4()))
    signer: Signer = field(default_factory=lambda: Signer(new_secret()))
    seq: int = 0
    last: str = GENESIS

    def write(self, kind_, body_, texts=None, /, at="2026-03-24T05:00:00.000Z", **others):
        """The next item, as it travels."""
        payloads, body = {}, body_
        for name, text in (texts or {}).items():
            salt = new_salt()
            body = body | {name: commitment(salt, text)}
            payloads[body[name]] = {"salt": salt, "text": text}
        event = {
            "id": str(uuid4()), "audit": self.audit, "device": self.device,
            "device_seq": self.seq + 1, "previous": self.last, "at": at, "offset_min": 60,
            "author": self.author, "kind": kind_, "body": body, "supersedes": "", "v": 1,
        } | others  # fmt: skip
        return self.sealed(event, payloads)

    def sealed(self, event, payloads):
        """An item of an event, and the chain one further."""
        from witnessmark.audit.canonical import sha256

        data = canonical(event)
        digest = sha256(data)
        self.seq, self.last = event["device_seq"], digest
        return {
            "event": data.decode(),
            "signature": self.signer.sign(digest),
            "payloads": payloads,
        }

    def heard(self, words="we check every two hours", **others):
        """A statement of a setter."""
        return self.write("statement-heard", {"role": "setter"}, {"words": words}, **others)


@dataclass
class Floor:
    """The notebook's addresses of one audit, asked by one account."""

    client: object
    audit: str
    user: str

    def phone(self):
        """A new phone of this account."""
        return Phone(self.audit, self.user)

    def post(self, path, body):
        """A JSON delivery."""
        text = body if isinstance(body, (str, bytes)) else json.dumps(body)
        return self.client.post(
            f"/floor/{self.audit}/{path}", text, content_type="application/json"
        )

    def sync(self, phone, *items, sent_at="", trip=0):
        """Answers to a sync, by item."""
        body = {
            "sent_at": sent_at or _now(),
            "round_trip_ms": trip,
            "key": phone.signer.public,
            "items": list(items),
        }
        answer = self.post("sync", body)
        assert answer.status_code == 200, answer.content
        return answer.json()["items"]

    def tell(self, *items):
        """Answers to what a page told that cannot chain."""
        answer = self.post("plain/", {"sent_at": _now(), "items": list(items)})
        assert answer.status_code == 200, answer.content
        return answer.json()["items"]

    @property
    def state(self):
        """The audit as it is now."""
        from witnessmark.web.store.desk import STATES

        return STATES.state(self.audit)


def _now():
    from witnessmark.audit.act import now
    from witnessmark.audit.event import written

    return written(now())


@pytest.fixture
def floor(client, user):
    """The laptop's user leads an audit."""
    from witnessmark.audit.actions.open_audit import OpenAudit
    from witnessmark.audit.people import Actor, Role
    from witnessmark.web.store.desk import code_of, desk

    audit = str(uuid4())
    opening = OpenAudit(title="Turning", process="bar turning", zone="Europe/Berlin")
    desk().act(audit, Actor(code_of(user), Role.LEAD), opening)
    return Floor(client, audit, code_of(user))


@pytest.fixture
def member(floor, database):
    """Lets another account take part: `member("auditor")` gives its Floor."""
    from django.test import Client

    from witnessmark.audit.actions.join_member import JoinMember
    from witnessmark.audit.people import Actor, Role
    from witnessmark.web.accounts.models import User
    from witnessmark.web.store.desk import code_of, desk

    def join(role):
        user = User.objects.create_user(
            f"{role or 'nobody'}-{User.objects.count()}", "a long pass phrase"
        )
        code = code_of(user)
        if role:
            action = JoinMember(user=code, role=role, independence="from another plant")
            desk().act(floor.audit, Actor(floor.user, Role.LEAD), action)
        other = Client()
        other.force_login(user)
        return Floor(other, floor.audit, code)

    return join
