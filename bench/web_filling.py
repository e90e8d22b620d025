"""Fills an installation for the load bench: `python -m bench.web_filling DATA PEOPLE`.

A hundred audits and one of five thousand events, all through the actions; prints its id last.
"""

import sys
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import uuid4

from witnessmark.audit.act import Desk
from witnessmark.audit.actions.draft_finding import DraftFinding
from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.join_member import JoinMember
from witnessmark.audit.actions.link_evidence import LinkEvidence
from witnessmark.audit.actions.make_observation import MakeObservation
from witnessmark.audit.actions.open_audit import OpenAudit
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.actions.promise_step import PromiseStep
from witnessmark.audit.cited import Cited, Fact, Requirement
from witnessmark.audit.items import Statement
from witnessmark.audit.people import Actor, Role
from witnessmark.web.start import prepare, set_up

AUDITS, EVENTS = 100, 5_000
TRAILS, FINDINGS, SMALL = 40, 12, 30
PASSWORD = "a long and quiet sentence"  # noqa: S105 - of the people of a bench
LEAD = Actor("u1", Role.LEAD)


def small(desk: Desk, number: int, people: list[str]) -> str:
    """An audit of some thirty events, with everybody in it."""
    audit = str(uuid4())
    desk.act(audit, LEAD, OpenAudit(title=f"Audit {number:03}", process=f"Process {number % 7}"))
    for code in people:
        join = JoinMember(user=code, role="auditor", independence="from another hall")
        desk.act(audit, LEAD, join)
    for turn in range(SMALL - len(people)):
        desk.act(audit, LEAD, HearStatement(role="setter"), {"words": f"said at turn {turn}"})
    return audit


def large(desk: Desk, people: list[str]) -> str:
    """The audit of five thousand events."""
    audit = small(desk, 0, people)
    trails = [
        event_id(desk, audit, OpenTrail(proposition=f"Proposition {n}", rival=f"Its rival {n}"))
        for n in range(TRAILS)
    ]
    for number in range(FINDINGS):
        fact = Fact(text="counted", x=number, n=400, period="May", selection="every unit")
        finding = DraftFinding(
            requirement=Requirement(document=f"WI-{number:03}", revision="1"),
            statement=f"Requirement {number} was not met.",
            facts=(fact,),
            trail=trails[number],
        )
        desk.act(audit, LEAD, finding)
    # The rest refers to nothing that comes later, so one state serves for all of it.
    state = desk.state(audit)
    quick = replace(desk, state_of=lambda _: state)
    done = len(desk.store.received(audit))
    moment = datetime(2026, 3, 24, 5, 0, tzinfo=UTC)
    heard: list[str] = []
    for number in range(EVENTS - done):
        at = moment + timedelta(seconds=30 * number)
        match number % 8:
            case 0 | 1 | 2 | 3:
                words = {"words": f"sentence {number}, as it was said on the floor"}
                heard.append(event_id(quick, audit, HearStatement(role="operator"), words, at))
                state.statements[heard[-1]] = Statement(heard[-1], LEAD.user, "", "")
            case 4 | 5:
                seen = MakeObservation(form="counter", machine="T1-01", values={"pieces": number})
                quick.act(audit, LEAD, seen, at=at)
            case 6:
                quick.act(audit, LEAD, PromiseStep(what=f"To look at {number}"), at=at)
            case _:
                cited = Cited("statement", id=heard[-1])
                link = LinkEvidence(trail=trails[number % TRAILS], cited=cited, bears="for")
                quick.act(audit, LEAD, link, at=at)
    return audit


def event_id(desk: Desk, audit: str, action, texts=None, at=None) -> str:  # noqa: ANN001 - any action
    """Does an action and gives the id of what it made."""
    event = desk.act(audit, LEAD, action, texts, at=at).event
    return event.id if event else ""


def main() -> None:
    """Fills the folder and prints the large audit's id."""
    set_up(Path(sys.argv[1]))
    prepare()
    from django.db import transaction  # noqa: PLC0415 - Django must be set up first

    from witnessmark.web.accounts.models import User  # noqa: PLC0415 - Django must be set up first
    from witnessmark.web.store.desk import code_of, desk  # noqa: PLC0415 - Django must be set up first

    User.objects.local()
    users = [User.objects.create_user(f"person{n}", PASSWORD) for n in range(int(sys.argv[2]))]
    people = [code_of(user) for user in users]
    own = desk()
    with transaction.atomic():
        for number in range(1, AUDITS):
            small(own, number, people)
    with transaction.atomic():
        audit = large(own, people)
    print(audit)


if __name__ == "__main__":
    main()
