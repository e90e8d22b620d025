"""The list of findings, one finding with everything on it, and what the lead does to it."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django import forms
from django.http import Http404, HttpRequest, HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from witnessmark.audit.actions.acknowledge_facts import AcknowledgeFacts
from witnessmark.audit.actions.close_finding import CloseFinding
from witnessmark.audit.actions.draft_finding import DraftFinding
from witnessmark.audit.actions.grade_finding import GradeFinding
from witnessmark.audit.actions.issue_finding import IssueFinding
from witnessmark.audit.actions.judge_response import JudgeResponse
from witnessmark.audit.actions.reopen_finding import ReopenFinding
from witnessmark.audit.actions.respond_to_finding import RespondToFinding
from witnessmark.audit.actions.start_route import StartRoute
from witnessmark.audit.actions.verify_finding import VerifyFinding
from witnessmark.audit.actions.withdraw_finding import WithdrawFinding
from witnessmark.audit.deadlines import due_dates, written_due
from witnessmark.audit.items import Finding
from witnessmark.audit.people import Role
from witnessmark.audit.wording import check_wording
from witnessmark.web.desk.around.asking import ask
from witnessmark.web.desk.around.due import (
    all_profiles,
    dues_of,
    own_profiles,
    profile_choices,
    waits_for,
)
from witnessmark.web.desk.around.fields import DayField, LineField, TextField, offer
from witnessmark.web.desk.around.outcomes import watched
from witnessmark.web.desk.around.papers import RECORD, File, Set, issued_as, sets_of
from witnessmark.web.desk.around.people import names_of, said_of
from witnessmark.web.desk.around.protected import REPEATS, repeats_protected, texts_of
from witnessmark.web.desk.asking import Asked
from witnessmark.web.desk.audit_page import READERS, TEAM, AuditPage, in_audit

LEAD = frozenset({Role.LEAD})
RISK = {"major": 0, "minor": 1, "opportunity": 2, "none": 3}
NOBODY = ""


def finding_of(page: AuditPage, id_: object) -> Finding:
    """The finding of an address; who is not of the team sees it once it is issued.

    Raises:
        Http404: There is none in this audit.
    """
    found = page.state.findings.get(str(id_))
    if found is None or not (page.is_team or found.issued_at):
        raise Http404
    return found


def by_risk(page: AuditPage) -> list[Finding]:
    """Findings by risk: suspect product first, then by grade; the withdrawn last."""
    return sorted(
        (item for item in page.state.findings.values() if page.is_team or item.issued_at),
        key=lambda item: (
            item.state == "withdrawn",
            not item.suspect_product,
            RISK.get(item.grading.grade, 1) if item.grading else 1,
            item.number,
        ),
    )


@require_safe
@in_audit(tab="findings", roles=READERS)
def listed(request: HttpRequest, page: AuditPage) -> HttpResponseBase:
    """All findings by risk, with what each waits for."""
    zone = page.state.opening.zone
    rows = [(item, next(iter(dues_of(item, zone)), None)) for item in by_risk(page)]
    supported = [
        trail
        for trail in page.state.trails.values()
        if page.is_team
        and trail.state == "supported"
        and not any(item.trail == trail.id for item in page.state.findings.values())
    ]
    context = {"rows": rows, "supported": supported, "may_draft": page.may(DraftFinding)}
    return render(request, "desk/around/findings.html", context)


@require_safe
@in_audit(tab="findings", roles=READERS)
def shown(request: HttpRequest, page: AuditPage, finding: object) -> HttpResponseBase:
    """One finding: statement, facts, grade, route, answers, follow-up."""
    item = finding_of(page, finding)
    is_draft = item.state in {"draft", "graded"}
    grade = item.grading.grade if item.grading else ""
    last = item.responses[-1] if item.responses else None
    may = {
        "reword": is_draft
        and page.may_on(DraftFinding(requirement=item.requirement, statement="-"), item.id),
        "grade": is_draft and page.may(GradeFinding),
        "issue": item.state == "graded" and page.may(IssueFinding),
        "withdraw": item.state != "withdrawn" and page.may(WithdrawFinding),
        "acknowledge": is_draft and page.is_team,
        "route": item.state != "withdrawn" and page.may(StartRoute),
        "key_in": item.state == "issued" and page.may(RespondToFinding),
        "judge": last is not None and not last.verdict and page.may(JudgeResponse),
        "verify": item.state in {"issued", "closed"}
        and grade in {"minor", "major"}
        and page.may(VerifyFinding),
        "close": item.state == "issued" and page.may(CloseFinding),
        "reopen": item.state == "closed" and page.may(ReopenFinding),
    }
    context = {
        "finding": item,
        "trail": page.state.trails.get(item.trail),
        "points": check_wording(item, page.state.opening.language) if is_draft else (),
        "dues": dues_of(item, page.state.opening.zone),
        "waits": waits_for(item),
        "watched": list(watched(page, item)),
        "records": records_of(page, item),
        "may": may,
    }
    return render(request, "desk/around/finding.html", context)


def records_of(page: AuditPage, item: Finding) -> list[tuple[Set, File]]:
    """The newest nonconformity record of a finding that the viewer may have."""
    for one in sets_of(page.id):
        for file in one.made.files:
            may_have = page.is_team or issued_as(page.state, file)
            if file.form == RECORD and file.number == item.number and may_have:
                return [(one, file)]
    return []


def asked_of(
    page: AuditPage, item: Finding, title: str, submit: str, done: str, lead: str = "", **more: Any
) -> Asked:
    """What stands around a form about a finding."""
    back = reverse("desk:finding", args=[page.id, item.id])
    return Asked(title, submit, (f"Finding {item.number}", back), lead, done, **more)


class RoleForm(forms.Form):
    """Who heard the facts, by role, and what they said to them."""

    role = LineField(label="Role", help_text="Who heard the facts, by role and never by name.")
    note = TextField(
        label="What they said to them",
        required=False,
        help_text="Also where they see it otherwise: a contradiction is kept beside the facts.",
    )


@require_http_methods(["GET", "POST"])
@in_audit(tab="findings", roles=TEAM)
def acknowledge(request: HttpRequest, page: AuditPage, finding: object) -> HttpResponseBase:
    """Asks who heard the facts."""
    item = finding_of(page, finding)
    form = RoleForm(request.POST or None)
    lead = "That the facts are so, or how they are seen otherwise. It is no confession."
    asked = asked_of(page, item, "Facts heard", "Keep it", "It is kept.", lead)
    return ask(
        request, page, form, asked, lambda told: AcknowledgeFacts(finding=item.id, **told),
        finding=item,
    )  # fmt: skip


class IssueForm(forms.Form):
    """To whom, and from which day and profile the dates count."""

    addressed_to = forms.ChoiceField(
        label="Addressed to",
        required=False,
        help_text="An auditee’s account answers here; without one, answers come on paper.",
    )
    closing_day = DayField(
        label="Day of the closing meeting", help_text="Calendar days are counted from it."
    )
    profile = forms.ChoiceField(label="Deadlines")

    def __init__(self, page: AuditPage, request: HttpRequest, *args: Any, **others: Any) -> None:
        super().__init__(*args, **others)
        names = names_of(request)
        auditees = [
            (code, said_of(code, page.state, names))
            for code, member in page.state.members.items()
            if member.role == Role.AUDITEE.value and code in names
        ]
        choices = [(NOBODY, "Nobody here: answers come on paper"), *auditees]
        offer(self, "addressed_to", choices)
        offer(self, "profile", profile_choices())


@require_http_methods(["GET", "POST"])
@in_audit(tab="findings", roles=LEAD)
def issue(request: HttpRequest, page: AuditPage, finding: object) -> HttpResponseBase:
    """Issues a graded finding with its dates; with the day in the address, shows them before."""
    item = finding_of(page, finding)
    state = page.state
    initial = {
        "closing_day": _closing_day(page),
        "profile": state.opening.deadlines,
        "addressed_to": next(
            (code for code, m in state.members.items() if m.role == Role.AUDITEE.value), NOBODY
        ),
    }
    form = IssueForm(page, request, request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid() and repeats_protected(page, texts_of(item)):
        form.add_error(None, REPEATS)  # a source may have become protected after the draft
    lead = "From now on its words and its grade stand; it can be withdrawn, never changed."
    asked = asked_of(page, item, "Issue the finding", "Issue it", "The finding is issued.", lead)

    def make(told: Mapping[str, Any]) -> IssueFinding:
        due = _due(item, told["profile"], told["closing_day"])
        return IssueFinding(finding=item.id, addressed_to=told["addressed_to"], due=due)

    return ask(
        request, page, form, asked, make,
        template="desk/around/issue.html",
        finding=item,
        schedule=_schedule(item, str(initial["closing_day"])),
    )  # fmt: skip


def _closing_day(page: AuditPage) -> str:
    """The day of the closing meeting as far as it is known; today otherwise."""
    for day in (page.state.closed_on, page.state.opening.ends_on):
        try:
            return date.fromisoformat(day).isoformat()
        except ValueError:
            continue
    return page.now.astimezone(page.zone).date().isoformat()


def _due(item: Finding, profile: str, day: str) -> dict[str, str]:
    grade = item.grading.grade if item.grading else "none"
    closing = date.fromisoformat(day)
    return written_due(due_dates(profile, grade, closing, item.suspect_product, own_profiles()))


def _schedule(item: Finding, day: str) -> list[tuple[str, str, dict[str, str]]]:
    """What each profile would set, from the proposed day: title, note, step to date."""
    return [
        (profile.title, profile.note, _due(item, name, day))
        for name, profile in all_profiles().items()
        if profile.steps
    ]


class ReasonForm(forms.Form):
    """One reason."""

    reason = TextField(label="Reason")


@require_http_methods(["GET", "POST"])
@in_audit(tab="findings", roles=LEAD)
def withdraw(request: HttpRequest, page: AuditPage, finding: object) -> HttpResponseBase:
    """Withdraws a finding."""
    item = finding_of(page, finding)
    form = ReasonForm(request.POST or None)
    lead = "It leaves the findings of the report and stays readable, with your reason."
    asked = asked_of(
        page, item, "Withdraw the finding", "Withdraw it", "It is withdrawn.", lead, danger=True
    )
    return ask(
        request, page, form, asked, lambda told: WithdrawFinding(finding=item.id, **told),
        finding=item,
    )  # fmt: skip
