"""One installation with a clock of its own, and an audit that is open."""

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import pytest

from witnessmark.audit.act import Desk
from witnessmark.audit.actions.open_audit import OpenAudit
from witnessmark.audit.memory import MemoryStore
from witnessmark.audit.people import Actor, Role
from witnessmark.audit.signing import Signer

AUDIT = "0b7f3c52-2f0e-4f59-9d38-0d9a1f3f6f01"
DESK = "5f0c8c0a-6a53-4a1b-8f6e-7a0d5a3d9f10"
LEAD = Actor("lead", Role.LEAD)


@dataclass
class Clock:
    """A clock that moves a minute whenever it is read."""

    moment: datetime = field(default=datetime(2026, 3, 24, 5, 0, tzinfo=UTC))

    def __call__(self):
        self.moment += timedelta(minutes=1)
        return self.moment


@pytest.fixture
def desk():
    return Desk(MemoryStore(), DESK, Signer(bytes(range(32))), Clock())


@pytest.fixture
def opened(desk):
    """The desk with an open audit."""
    desk.act(AUDIT, LEAD, OpenAudit(title="Turning", process="bar turning"))
    return desk


START = datetime(2026, 3, 24, 5, 0, tzinfo=UTC)


def at(minutes=0, start=START):
    """An instant in the journal's form, minutes after the start of the tests' day."""
    return (start + timedelta(minutes=minutes)).strftime("%Y-%m-%dT%H:%M:%SZ")


def stamped(id_, minutes=0):
    """What every item takes from its event."""
    return {"id": id_, "author": "lead", "at": at(minutes), "device": DESK}
