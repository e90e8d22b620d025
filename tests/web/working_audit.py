"""An audit with its team for the pages that are worked at, and a small plant's exports."""

from dataclasses import dataclass, field
from urllib.parse import urlencode
from uuid import uuid4

from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from witnessmark.audit.actions.join_member import JoinMember
from witnessmark.audit.actions.open_audit import OpenAudit
from witnessmark.audit.actions.set_scope import SetScope
from witnessmark.audit.people import Actor, Role

FILES = {
    "plant.toml": 'zone = "Europe/Berlin"\nname = "Small plant"\nproduction_day = "05:30"\n',
    "machines.csv": "machine_id,area,process\nT1-01,T1,turning\nT1-02,T1,turning\n",
    "machine_states.csv": (
        "machine_id,start_at,end_at,state\n"
        "T1-01,2026-03-03 06:00,2026-03-03 20:00,running\n"
        "T1-02,2026-03-03 06:00,2026-03-03 20:00,stopped\n"
    ),
    "gauges.csv": "gauge_id,type\ng1,micrometer\n",
    "calibrations.csv": "gauge_id,done_on,verdict,next_due\ng1,2025-03-01,in,2026-03-01\n",
    "checks.csv": (
        "check_id,machine_id,part_no,kind,done_at,result\n"
        "c1,T1-01,P1,patrol,2026-03-03 09:00,pass\n"
        "c2,T1-01,P1,patrol,nonsense,pass\n"
        "c3,T1-01,P1,patrol,2026-03-03 11:00,pass\n"
    ),
    "measurements.csv": (
        "check_id,line,piece_no,value,gauge_id\nc1,10,1,5.01,g1\nc3,10,1,5.02,g1\n"
    ),
}


@dataclass
class Audit:
    """An audit at the desk: acts as whom is named, shows pages to whom is named."""

    id: str
    accounts: dict
    clients: dict = field(default_factory=dict)

    @property
    def state(self):
        from witnessmark.web.store.desk import STATES

        return STATES.state(self.id)

    def do(self, action, as_="lead", supersedes="", **texts):
        """Does an action and gives the id of what it made."""
        from witnessmark.web.store.desk import actor_of, desk

        actor = actor_of(self.accounts[as_], self.state)
        received = desk().act(self.id, actor, action, texts, supersedes)
        return received.event.supersedes or received.event.id

    def url(self, name, *args, **query):
        address = reverse(f"desk:{name}", args=(self.id, *args))
        return f"{address}?{urlencode(query)}" if query else address

    def client(self, as_="lead"):
        from django.test import Client

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


def open_working_audit():
    """An audit with one account in each role, its scope named."""
    from witnessmark.web.accounts.models import User
    from witnessmark.web.store.desk import STATES, code_of, desk

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


def run_at_once(monkeypatch):
    """Background work is done at once, in this process."""

    def start(job):
        from witnessmark.web.jobs.run import run

        run(job.pk)

    monkeypatch.setattr("witnessmark.web.jobs.ask._start", start)


def sent(files=FILES):
    """Files as a browser sends them."""
    return [SimpleUploadedFile(name, text.encode()) for name, text in files.items()]
