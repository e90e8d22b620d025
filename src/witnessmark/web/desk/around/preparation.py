"""The page of preparation: scope, criteria, team, papers, and what has been reached so far."""

from dataclasses import dataclass
from datetime import date

from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_safe

from witnessmark.audit.actions.join_member import JoinMember
from witnessmark.audit.actions.set_scope import SetScope
from witnessmark.audit.coverage import coverage
from witnessmark.audit.people import Role
from witnessmark.audit.state import AuditState
from witnessmark.web.desk.around.due import all_profiles
from witnessmark.web.desk.around.words import PHOTOS
from witnessmark.web.desk.audit_page import READERS, AuditPage, in_audit
from witnessmark.web.store.desk import STATES, audits_of

AUDITORS = (Role.LEAD.value, Role.AUDITOR.value)
MOST_EARLIER = 12
SATURDAY = 5


@dataclass(frozen=True)
class Earlier:
    """Another audit of the same process, and what it covered."""

    id: str
    title: str
    starts_on: str
    ends_on: str
    shifts: tuple[str, ...]
    weekend: bool
    findings_open: int


@require_safe
@in_audit(tab="preparation", roles=READERS)
def shown(request: HttpRequest, page: AuditPage) -> HttpResponseBase:
    """Everything that precedes the floor, and what of it has been reached."""
    state = page.state
    covered = coverage(state, page.now, with_protected=page.is_team)
    members = list(state.members.values())
    context = {
        "covered": covered,
        "asked_untouched": [item for item in covered.untouched if item.asked],
        "other_untouched": [item for item in covered.untouched if not item.asked],
        "auditors": [item for item in members if item.role in AUDITORS],
        "others": [item for item in members if item.role not in AUDITORS],
        "photos": PHOTOS.get(state.site_rules.photos, ""),
        "profile": all_profiles().get(state.opening.deadlines),
        "earlier": earlier_of(page),
        "may_state": page.may(SetScope),
        "may_name": page.may(JoinMember),
    }
    return render(request, "desk/around/preparation.html", context)


def earlier_of(page: AuditPage) -> list[Earlier]:
    """Other audits of this process in which the viewer has a part, the newest first."""
    mine = page.state.opening.process.strip().casefold()
    same = [
        row
        for row in audits_of(page.user)
        if row.id != page.id
        and str(row.summary.get("process", "")).strip().casefold() == mine
        and row.summary.get("members", {}).get(page.actor.user) != Role.AUDITEE.value
    ]
    return [_earlier(row.id, STATES.state(row.id), page) for row in same[:MOST_EARLIER]]


def _earlier(id_: str, state: AuditState, page: AuditPage) -> Earlier:
    covered = coverage(state, page.now)
    days = {item.starts_at[:10] for item in state.appointments.values() if not item.dropped}
    return Earlier(
        id_,
        state.opening.title,
        state.opening.starts_on,
        state.opening.ends_on,
        covered.shifts_seen,
        any(is_weekend(day) for day in days),
        sum(item.state in {"draft", "graded", "issued"} for item in state.findings.values()),
    )


def is_weekend(day: str) -> bool:
    """Whether a day as 2026-03-24 is a Saturday or Sunday."""
    return date.fromisoformat(day).weekday() >= SATURDAY
