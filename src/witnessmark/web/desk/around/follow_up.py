"""Follow-up of a finding by the team: judging answers, closing, opening again."""

from datetime import date, timedelta

from django import forms
from django.http import HttpRequest, HttpResponseBase
from django.views.decorators.http import require_http_methods

from witnessmark.audit.actions.close_finding import CloseFinding
from witnessmark.audit.actions.judge_response import JudgeResponse
from witnessmark.audit.actions.reopen_finding import ReopenFinding
from witnessmark.web.desk.around.asking import ask
from witnessmark.web.desk.around.fields import ONE_LINE, DayField, TextField
from witnessmark.web.desk.around.findings import LEAD, asked_of, finding_of
from witnessmark.web.desk.audit_page import AuditPage, in_audit

WATCH = timedelta(days=90)
"""How long recurrence is watched after closure; common practice, no source."""


class JudgeForm(forms.Form):
    """Accepted or returned, and why."""

    verdict = forms.ChoiceField(
        label="The answer is",
        choices=(("accepted", "Accepted"), ("returned", "Returned")),
        widget=forms.RadioSelect,
    )
    reason = TextField(label="Why", help_text="The auditee reads it.")


class CloseForm(forms.Form):
    """Why it is closed, and until when recurrence is watched."""

    reason = TextField(label="Why it is closed", help_text="On which verified effect.")
    watch_until = DayField(label="Watch for recurrence until", required=False)


class ReopenForm(forms.Form):
    """What was seen."""

    reason = TextField(label="What was seen")
    recurrence = forms.BooleanField(
        label="The same was found again (otherwise: its effect was not shown after all)",
        required=False,
    )


@require_http_methods(["GET", "POST"])
@in_audit(tab="findings", roles=LEAD)
def judge(request: HttpRequest, page: AuditPage, finding: object) -> HttpResponseBase:
    """Judges the last answer."""
    item = finding_of(page, finding)
    form = JudgeForm(request.POST or None)
    lead = "Accepting a plan is not closing the finding: its effect is verified first."
    asked = asked_of(page, item, "Judge the answer", "Keep the verdict", "It is judged.", lead)
    return ask(
        request, page, form, asked, lambda told: JudgeResponse(finding=item.id, **told),
        template="desk/around/judge.html",
        finding=item, response=item.responses[-1] if item.responses else None,
    )  # fmt: skip


@require_http_methods(["GET", "POST"])
@in_audit(tab="findings", roles=LEAD)
def close(request: HttpRequest, page: AuditPage, finding: object) -> HttpResponseBase:
    """Closes a finding."""
    item = finding_of(page, finding)
    today: date = page.now.astimezone(page.zone).date()
    form = CloseForm(request.POST or None, initial={"watch_until": (today + WATCH).isoformat()})
    lead = "On verified effect, never on an action alone. Recurrence is watched from then on."
    asked = asked_of(page, item, "Close the finding", "Close it", "The finding is closed.", lead)
    return ask(
        request, page, form, asked, lambda told: CloseFinding(finding=item.id, **told),
        finding=item,
    )  # fmt: skip


@require_http_methods(["GET", "POST"])
@in_audit(tab="findings", roles=LEAD)
def reopen(request: HttpRequest, page: AuditPage, finding: object) -> HttpResponseBase:
    """Opens a closed finding again."""
    item = finding_of(page, finding)
    seen = request.GET.get("seen", "")[:ONE_LINE]
    form = ReopenForm(request.POST or None, initial={"reason": seen, "recurrence": bool(seen)})
    asked = asked_of(page, item, "Open the finding again", "Open it again", "It is open again.")
    return ask(
        request, page, form, asked, lambda told: ReopenFinding(finding=item.id, **told),
        finding=item,
    )  # fmt: skip
