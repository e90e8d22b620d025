"""An audit with its team for the pages that are worked at."""

from dataclasses import dataclass, field
from urllib.parse import urlencode
from uuid import uuid4

import pytest
from django.urls import reverse

from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.join_member import JoinMember
from witnessmark.audit.actions.open_audit import OpenAudit
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.actions.set_scope import SetScope
from witnessmark.audit.people import Actor, Role


@dataclass
class Audit:
    """An audit at the desk: acts as whom is named, shows pages to whom is named."""

    id: str
    accounts: dict
    clients: dict = field(default_factory=dict)

    @property
    def state(self):
        from witnessmark.web.store.desk import STATES  # noqa: PLC0415 - Django is set up by now

        return STATES.state(self.id)

    def do(self, action, as_="lead", supersedes="", **texts):
        """Does an action and gives the id of what it made."""
        from witnessmark.web.store.desk import actor_of, desk  # noqa: PLC0415 - Django is set up by now

        actor = actor_of(self.accounts[as_], self.state)
        received = desk().act(self.id, actor, action, texts, supersedes)
        return received.event.supersedes or received.event.id

    def url(self, name, *args, **query):
        address = reverse(f"desk:{name}", args=(self.id, *args))
        return f"{address}?{urlencode(query)}" if query else address

    def client(self, as_="lead"):
        from django.test import Client  # noqa: PLC0415 - Django is set up by now

        if as_ not in self.clients:
            self.clients[as_] = Client()
            self.clients[as_].force_login(self.accounts[as_])
        return self.clients[as_]

    def get(self, name, *args, as_="lead", **query):
        return self.client(as_).get(self.url(name, *args, **query))

    def page(self, name, *args, as_="lead", **query):
        """The text of a page that must be there."""
        response = self.get(name, *args, as_=as_, **query)
        assert response.status_code == 200, response.content[:2000]
        return response.content.decode()

    def post(self, name, *args, as_="lead", query=None, **data):
        return self.client(as_).post(self.url(name, *args, **(query or {})), data)


ROLES = {
    "auditor": "auditor",
    "observer": "observer",
    "auditee": "auditee",
    "owner": "programme-owner",
}


@pytest.fixture
def audit(database):
    """An audit with one account in each role, its scope named."""
    from witnessmark.web.accounts.models import User  # noqa: PLC0415 - Django is set up by now
    from witnessmark.web.store.desk import STATES, code_of, desk  # noqa: PLC0415 - Django is set up by now

    STATES.forget()
    accounts = {
        name: User.objects.create_user(name, display_name=name.capitalize())
        for name in ("lead", *ROLES, "stranger")
    }
    id_ = str(uuid4())
    first = Actor(code_of(accounts["lead"]), Role.OWNER)
    opening = OpenAudit(title="Bar turning", process="turning", zone="Europe/Berlin")
    desk().act(id_, first, opening)
    made = Audit(id_, accounts)
    for name, role in ROLES.items():
        made.do(JoinMember(user=code_of(accounts[name]), role=role, independence="other plant"))
    shifts = ("early 05:30-13:30", "late 13:30-21:30", "night 21:30-05:30")
    made.do(SetScope(text="Row T1", shifts=shifts, machines=("T1-01", "T1-02")))
    return made


@pytest.fixture
def trail(audit):
    """A trail with both readings."""
    return audit.do(
        OpenTrail(
            proposition="Restarts go unverified at night.",
            rival="The alarm resets only the conveyor.",
            next_step="Ask the night leader.",
        )
    )


@pytest.fixture
def statement(audit):
    """Something that somebody said."""
    return audit.do(HearStatement(role="setter", place="row T1"), words="We always check.")


@pytest.fixture
def protected(audit):
    """Something that a protected source said."""
    heard = HearStatement(role="packer of the night", place="dock seven", protected=True)
    return audit.do(heard, words="They told us to back-date the sheet.")
