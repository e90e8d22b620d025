"""An audit with a person in every role, and short ways to act in it and to look at it."""

from dataclasses import dataclass, field
from uuid import uuid4

from django.test import Client
from django.urls import reverse

from witnessmark.audit.actions.close_trail import CloseTrail, ConditionBody
from witnessmark.audit.actions.draft_finding import DraftFinding
from witnessmark.audit.actions.grade_finding import GradeFinding
from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.issue_finding import IssueFinding
from witnessmark.audit.actions.join_member import JoinMember
from witnessmark.audit.actions.link_evidence import LinkEvidence
from witnessmark.audit.actions.open_audit import OpenAudit
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.actions.record_outcomes import RecordOutcomes
from witnessmark.audit.actions.take_in_records import TakeInRecords
from witnessmark.audit.cited import Fact, Requirement
from witnessmark.audit.exhaustion import CONDITIONS
from witnessmark.audit.people import Actor, Role
from witnessmark.audit.recorded import result_of
from witnessmark.record_tests.kept import keep
from witnessmark.record_tests.outcome import Counts, Outcome
from witnessmark.web.accounts.models import User
from witnessmark.web.store.desk import STATES, code_of, desk

SLUG = "check-interval-exceeded"
WHISPERED = "the leader told us to enter every check at the end of the shift"
"""What a protected source says in these tests."""
PEOPLE = {
    "auditor": Role.AUDITOR,
    "auditee": Role.AUDITEE,
    "other-auditee": Role.AUDITEE,
    "observer": Role.OBSERVER,
}


def outcome(exceptions, assessed, slug=SLUG, digest="d" * 64):
    """An outcome as a run keeps it."""
    return Outcome(
        slug=slug,
        status="assessed",
        counts=Counts(assessed - exceptions, exceptions, {"no clock": 3}),
        digest=digest,
    )


@dataclass
class Audit:
    """An audit, its people, and a browser for each."""

    id: str
    users: dict[str, User]
    folder: object
    browsers: dict[str, Client] = field(default_factory=dict)

    def code(self, who):
        return code_of(self.users[who])

    def do(self, action, who="lead", supersedes="", **texts):
        role = Role(self.state.members[self.code(who)].role)
        actor = Actor(self.code(who), role)
        return desk().act(self.id, actor, action, texts, supersedes).event.id

    @property
    def state(self):
        return STATES.state(self.id)

    def browser(self, who="lead"):
        if who not in self.browsers:
            self.browsers[who] = Client()
            self.browsers[who].force_login(self.users[who])
        return self.browsers[who]

    def url(self, name, *arguments):
        return reverse(f"desk:{name}", args=[self.id, *arguments])

    def get(self, name, *arguments, who="lead", **query):
        return self.browser(who).get(self.url(name, *arguments), query)

    def post(self, name, *arguments, who="lead", query="", **data):
        return self.browser(who).post(self.url(name, *arguments) + query, data)

    def read(self, name, *arguments, who="lead", **query):
        """The text of a page that must be there."""
        answer = self.get(name, *arguments, who=who, **query)
        assert answer.status_code == 200, (name, who, answer.status_code)
        return answer.content.decode()

    def take_in(self, identity, made, purpose="audit", period="weeks 40 to 47"):
        """Records with outcomes, as a run leaves them."""
        folder = self.folder.records / identity
        folder.mkdir(parents=True, exist_ok=True)
        keep(made, folder)
        self.do(TakeInRecords(freeze=identity, period=period, purpose=purpose))
        self.do(RecordOutcomes(freeze=identity, results=tuple(map(result_of, made))))
        return identity

    def hear(self, words, protected=False, **told):
        return self.do(
            HearStatement(role="operator", shift="night", protected=protected, **told), words=words
        )

    def trail(self, *cited, proposition="Unattended machines run past their interval."):
        """A supported trail with evidence."""
        trail = self.do(
            OpenTrail(
                proposition=proposition, rival="They are entered later.", clauses=("A 8.5.1.1",)
            )
        )
        for one in cited:
            self.do(LinkEvidence(trail=trail, cited=one, bears="for"))
        said = tuple(ConditionBody(key=key, met=True, said=f"Seen: {key}.") for key in CONDITIONS)
        self.do(
            CloseTrail(trail=trail, verdict="supported", conclusion="They did.", conditions=said)
        )
        return trail

    def finding(self, statement="Checks were not made.", who="lead", **told):
        fact = Fact("Intervals on machine 7.", 4, 30, "week 47", "whole population")
        requirement = Requirement(document="Control plan CP-1", revision="7")
        return self.do(
            DraftFinding(statement=statement, requirement=requirement, facts=(fact,), **told), who
        )

    def issued(self, to="auditee", grade="major", **told):
        finding = self.finding(**told)
        self.do(GradeFinding(finding=finding, grade=grade, reason="All shifts."))
        due = {"Containment and correction (test)": "2020-01-31"}
        self.do(IssueFinding(finding=finding, addressed_to=self.code(to), due=due))
        return finding


def make_people():
    """Accounts by what they are in an audit; the laptop's user leads it."""
    made = {
        name: User.objects.create_user(name, display_name=f"Account {name}")
        for name in (*PEOPLE, "stranger")
    }
    return made | {
        "lead": User.objects.local(),
        "programme-owner": User.objects.create_user("owner", is_programme_owner=True),
    }


def open_audit(people, web, title="Turning, week 48"):
    """Opens an audit and names its people."""
    made = Audit(str(uuid4()), people, web)
    opening = OpenAudit(title=title, process="Bar turning", zone="Europe/Berlin")
    desk().act(made.id, Actor(made.code("lead"), Role.OWNER), opening)
    for name, role in PEOPLE.items():
        is_auditor = role == Role.AUDITOR
        made.do(
            JoinMember(
                user=made.code(name),
                role=role.value,
                function=f"function of {name}",
                independence="From another works." if is_auditor else "",
            )
        )
    return made
