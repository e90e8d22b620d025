"""The auditee's pages: only findings that were issued to them, their facts, their answers.

Nothing of the audit around a finding stands here: no trail, no statement, no other finding. The
lead keys in on the same form what came on paper.
"""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.http import Http404, HttpRequest, HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from witnessmark.audit.actions.acknowledge_facts import AcknowledgeFacts
from witnessmark.audit.actions.acknowledge_route import AcknowledgeRoute
from witnessmark.audit.actions.respond_to_finding import RespondToFinding
from witnessmark.audit.items import Finding
from witnessmark.audit.people import Role
from witnessmark.web.desk.around.asking import ask
from witnessmark.web.desk.around.due import dues_of, waits_for
from witnessmark.web.desk.around.fields import DayField, LineField, TextField
from witnessmark.web.desk.around.findings import LEAD, RoleForm, asked_of, finding_of
from witnessmark.web.desk.around.route import INFORMS, DecidedForm
from witnessmark.web.desk.asking import Asked
from witnessmark.web.desk.audit_page import AuditPage, in_audit

AUDITEE = frozenset({Role.AUDITEE})


class ResponseForm(forms.Form):
    """Containment, correction, cause in three parts, action."""

    containment = TextField(
        label="Containment",
        required=False,
        help_text="What was held, where, and since when, with the time of day.",
    )
    quantities = TextField(
        label="Quantities", required=False, help_text="Held, sorted, found; of how many."
    )
    correction = TextField(label="Correction", required=False)
    cause_occurrence = TextField(label="Cause: why it happened", required=False)
    cause_detection = TextField(label="Cause: why it was not noticed", required=False)
    cause_system = TextField(label="Cause: why the system allowed it", required=False)
    action = TextField(
        label="Action", required=False, help_text="What will keep it from coming back."
    )
    owner_role = LineField(label="Who does it", required=False, help_text="By role.")
    due = DayField(label="By when", required=False)
    implemented_on = DayField(label="Done on", required=False, help_text="Empty until it is done.")
    similar_examined = TextField(
        label="Similar machines, shifts and processes examined", required=False
    )
    documents_changed = TextField(
        label="Documents changed",
        required=False,
        help_text="PFMEA, control plan, staffing rule, each with its revision.",
    )


def mine(page: AuditPage) -> list[Finding]:
    """Findings that were issued to whoever looks, the last numbers first."""
    own = [
        item
        for item in page.state.findings.values()
        if item.issued_at and item.addressed_to == page.actor.user
    ]
    return sorted(own, key=lambda item: -item.number)


def own_finding(page: AuditPage, id_: object) -> Finding:
    """A finding that was issued to whoever looks.

    Raises:
        Http404: There is none; another's is not said to exist.
    """
    for item in mine(page):
        if item.id == str(id_):
            return item
    raise Http404


@require_safe
@in_audit(tab="answers", roles=AUDITEE)
def listed(request: HttpRequest, page: AuditPage) -> HttpResponseBase:
    """The viewer's findings, with what is due."""
    zone = page.state.opening.zone
    rows = [(item, next(iter(dues_of(item, zone)), None), waits_for(item)) for item in mine(page)]
    return render(request, "desk/around/answers.html", {"rows": rows})


@require_safe
@in_audit(tab="answers", roles=AUDITEE)
def shown(request: HttpRequest, page: AuditPage, finding: object) -> HttpResponseBase:
    """One of the viewer's findings: what was found, what was answered, what became of it."""
    item = own_finding(page, finding)
    context = {
        "finding": item,
        "dues": dues_of(item, page.state.opening.zone),
        "waits": waits_for(item),
        "may_respond": item.state == "issued",
    }
    return render(request, "desk/around/answer.html", context)


@require_http_methods(["GET", "POST"])
@in_audit(tab="answers", roles=AUDITEE)
def respond(request: HttpRequest, page: AuditPage, finding: object) -> HttpResponseBase:
    """Asks for an answer; the last one stands in the form, to be gone on with."""
    item = own_finding(page, finding)
    return _respond(
        request, page, item, _asked(page, item, "Answer the finding", "Send the answer")
    )


@require_http_methods(["GET", "POST"])
@in_audit(tab="findings", roles=LEAD)
def key_in(request: HttpRequest, page: AuditPage, finding: object) -> HttpResponseBase:
    """Asks the lead for an answer that came on paper."""
    item = finding_of(page, finding)
    asked = asked_of(page, item, "An answer that came on paper", "Keep it", "The answer is kept.")
    return _respond(request, page, item, asked)


def _respond(
    request: HttpRequest, page: AuditPage, item: Finding, asked: Asked
) -> HttpResponseBase:
    last = item.responses[-1] if item.responses else None
    names = tuple(ResponseForm.base_fields)
    initial = {name: getattr(last, name) for name in names} if last else {}
    form = ResponseForm(request.POST or None, initial=initial)

    def make(told: Mapping[str, Any]) -> RespondToFinding:
        return RespondToFinding(finding=item.id, **told)

    return ask(
        request, page, form, asked, make,
        template="desk/around/respond.html", finding=item, last=last,
    )  # fmt: skip


@require_http_methods(["GET", "POST"])
@in_audit(tab="answers", roles=AUDITEE)
def acknowledge(request: HttpRequest, page: AuditPage, finding: object) -> HttpResponseBase:
    """Asks the auditee for their word on the facts."""
    item = own_finding(page, finding)
    form = RoleForm(
        request.POST or None,
        initial={"role": item.acknowledged_role, "note": item.acknowledged_note},
    )
    asked = _asked(page, item, "The facts", "Keep it")
    return ask(
        request, page, form, asked, lambda told: AcknowledgeFacts(finding=item.id, **told),
        finding=item,
    )  # fmt: skip


@require_http_methods(["GET", "POST"])
@in_audit(tab="answers", roles=AUDITEE)
def acknowledge_route(request: HttpRequest, page: AuditPage, finding: object) -> HttpResponseBase:
    """Asks the auditee for the acknowledgement that the plant was informed."""
    item = own_finding(page, finding)
    form = DecidedForm(request.POST or None)
    asked = _asked(page, item, "Suspect product: the plant’s answer", "Keep it", INFORMS)
    return ask(
        request, page, form, asked, lambda told: AcknowledgeRoute(finding=item.id, **told),
        finding=item,
    )  # fmt: skip


def _asked(page: AuditPage, item: Finding, title: str, submit: str, lead: str = "") -> Asked:
    back = reverse("desk:answer", args=[page.id, item.id])
    return Asked(title, submit, (f"Finding {item.number}", back), lead, "It is kept.")
