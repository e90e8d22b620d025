"""Before the closing meeting: what is not covered yet, limitations, six questions, the sheet."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.http import Http404, HttpRequest, HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from witnessmark.audit.actions.close_audit import CloseAudit
from witnessmark.audit.actions.conclude_question import ConcludeQuestion
from witnessmark.audit.actions.declare_limitation import DeclareLimitation
from witnessmark.audit.review import Gap, review
from witnessmark.report.audit_report.compose import result_of as said_result
from witnessmark.report.audit_report.findings import findings_said
from witnessmark.report.audit_report.trails import trails_said
from witnessmark.report.gather.questions import TEXTS
from witnessmark.web.desk.around.asking import ask
from witnessmark.web.desk.around.due import dues_of
from witnessmark.web.desk.around.fields import DayField, TextField
from witnessmark.web.desk.around.findings import LEAD, by_risk
from witnessmark.web.desk.around.papers import sources_of
from witnessmark.web.desk.asking import Asked
from witnessmark.web.desk.audit_page import READERS, TEAM, AuditPage, in_audit

OF_EACH = 25
"""Points of a room that are listed; its own page has the others."""
ANSWERS = ("yes", "partly", "no", "not determined")
ROOMS = {
    "scope": ("Scope", "desk:preparation"),
    "criteria": ("Criteria", "desk:preparation"),
    "coverage": ("Coverage", "desk:preparation"),
    "agenda": ("Agenda", "desk:agenda"),
    "promises": ("Promises", "desk:promises"),
    "said": ("Said", "desk:said"),
    "seen": ("Seen", "desk:seen"),
    "requests": ("Asked for", "desk:asked"),
    "records": ("Records", "desk:records"),
    "trails": ("Trails", "desk:spine"),
    "findings": ("Findings", "desk:findings"),
}


@require_safe
@in_audit(tab="closing", roles=READERS)
def shown(request: HttpRequest, page: AuditPage) -> HttpResponseBase:
    """The review of one's own audit, and what ends it."""
    gaps = review(page.state, page.now) if page.is_team else ()
    rooms: dict[str, list[Gap]] = {}
    for gap in gaps:
        rooms.setdefault(gap.room, []).append(gap)
    context = {
        "rooms": [
            (ROOMS[room][0], reverse(ROOMS[room][1], args=[page.id]), items[:OF_EACH], len(items))
            for room, items in rooms.items()
        ],
        "how_many": len(gaps),
        "not_to_declare": {item.id for item in page.state.statements.values() if item.protected},
        "limitations": limitations_of(page),
        "questions": [(key, text, page.state.conclusions.get(key)) for key, text in TEXTS.items()],
        "open_trails": [trail for trail in page.state.trails.values() if not trail.is_closed],
        "may_declare": page.may(DeclareLimitation),
        "may_close": page.may(CloseAudit) and not page.state.closed_on,
        "may_conclude": page.may(ConcludeQuestion),
    }
    return render(request, "desk/around/closing.html", context)


def limitations_of(page: AuditPage) -> list[tuple[str, str, str, str]]:
    """What was not examined, why, what it means, id: those declared, those of ended trails."""
    declared = [
        (item.what, item.why, item.effect, item.id) for item in page.state.limitations.values()
    ]
    of_trails = [
        (trail.proposition, trail.limitation, "", "")
        for trail in page.state.trails.values()
        if trail.is_closed and trail.limitation
    ]
    return declared + of_trails


class LimitationForm(forms.Form):
    """What, why, and what it means."""

    what = TextField(label="What was not examined")
    why = TextField(label="Why")
    effect = TextField(label="What that means for the result", required=False)


@require_http_methods(["GET", "POST"])
@in_audit(tab="closing", roles=TEAM)
def declare(request: HttpRequest, page: AuditPage) -> HttpResponseBase:
    """Asks for a limitation; a gap in the address is where it starts."""
    form = LimitationForm(request.POST or None, initial={"what": request.GET.get("what", "")[:500]})
    lead = "What is not said here, a reader takes as examined."
    asked = _asked(page, "Declare a limitation", "Declare it", "It is declared.", lead)
    return ask(request, page, form, asked, lambda told: DeclareLimitation(**told))


@require_http_methods(["GET", "POST"])
@in_audit(tab="closing", roles=TEAM)
def correct_limitation(
    request: HttpRequest, page: AuditPage, limitation: object
) -> HttpResponseBase:
    """Words a limitation anew."""
    item = page.state.limitations.get(str(limitation))
    if item is None:
        raise Http404
    initial = {name: getattr(item, name) for name in LimitationForm.base_fields}
    form = LimitationForm(request.POST or None, initial=initial)
    asked = _asked(page, "Word the limitation anew", "Keep it", "It is kept.")
    return ask(
        request, page, form, asked,
        lambda told: DeclareLimitation(**told, trail=item.trail), supersedes=item.id,
    )  # fmt: skip


class ConclusionForm(forms.Form):
    """The auditor's answer to one of the six questions, with the reason."""

    answer = forms.ChoiceField(
        label="Your answer",
        choices=tuple((answer, answer.capitalize()) for answer in ANSWERS),
        widget=forms.RadioSelect,
    )
    reason = TextField(label="Why, in your own words")


@require_http_methods(["GET", "POST"])
@in_audit(tab="closing", roles=LEAD)
def conclude(request: HttpRequest, page: AuditPage, question: str) -> HttpResponseBase:
    """Asks for the conclusion on one question."""
    if question not in TEXTS:
        raise Http404
    known = page.state.conclusions.get(question)
    initial = {"answer": known.answer, "reason": known.reason} if known else {}
    form = ConclusionForm(request.POST or None, initial=initial)
    lead = "What the records suggest stands beside it in the report; the answer is yours."
    asked = _asked(page, TEXTS[question], "Conclude", "It is concluded.", lead)

    def make(told: Mapping[str, Any]) -> ConcludeQuestion:
        return ConcludeQuestion(question=question, **told)  # type: ignore[arg-type]  # of the address

    return ask(request, page, form, asked, make)


class CloseForm(forms.Form):
    """The day of the closing meeting."""

    closing_day = DayField(
        label="Day of the closing meeting", help_text="Deadlines of answers count from it."
    )


@require_http_methods(["GET", "POST"])
@in_audit(tab="closing", roles=LEAD)
def close(request: HttpRequest, page: AuditPage) -> HttpResponseBase:
    """Closes the work on site."""
    today = page.now.astimezone(page.zone).date().isoformat()
    form = CloseForm(request.POST or None, initial={"closing_day": today})
    lead = "Every trail has ended by then. Follow-up of the findings goes on."
    asked = _asked(page, "Close the work on site", "Close it", "The work on site is closed.", lead)
    return ask(request, page, form, asked, lambda told: CloseAudit(**told))


@require_safe
@in_audit(tab="closing", roles=READERS)
def sheet(request: HttpRequest, page: AuditPage) -> HttpResponseBase:
    """The sheet for the closing meeting, for the printer."""
    standing = [item for item in by_risk(page) if item.state != "withdrawn"]
    zone = page.state.opening.zone
    refuted = [trail for trail in page.state.trails.values() if trail.state == "refuted"]
    context = {
        "result": result_of(page),
        "findings": [
            (item, sorted(dues_of(item, zone), key=lambda due: due.on)) for item in standing
        ],
        "refuted": refuted,
        "limitations": limitations_of(page),
        "questions": [(text, page.state.conclusions.get(key)) for key, text in TEXTS.items()],
    }
    return render(request, "desk/around/sheet.html", context)


def result_of(page: AuditPage) -> str:
    """The result in one sentence, the one that the report prints."""
    sources = sources_of(page.id)
    return said_result(sources, findings_said(sources), trails_said(sources))


def _asked(page: AuditPage, title: str, submit: str, done: str, lead: str = "") -> Asked:
    back = reverse("desk:closing", args=[page.id])
    return Asked(title, submit, ("Closing", back), lead, done)
