"""Cards to take to the floor: of a machine, and of a change of shift, each line with its age."""

from contextlib import ExitStack
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_safe

from witnessmark.audit.handover_card import HandoverCard, handover_card
from witnessmark.audit.machine_card import QUESTIONS, MachineCard, machine_card
from witnessmark.audit.promises import next_handover
from witnessmark.errors import UnusableInputError
from witnessmark.timeline.build import Timeline
from witnessmark.web.desk.around.fields import LineField, offer
from witnessmark.web.desk.around.outcomes import freeze_words
from witnessmark.web.desk.audit_page import READERS, AuditPage, in_audit
from witnessmark.web.desk.moments import LocalMomentField
from witnessmark.web.desk.working.opened import timeline_of

SEEN_ALONE = ""
SAME_DAY = "same day"


class _CardForm(forms.Form):
    """From which records, beside what was seen."""

    records = forms.ChoiceField(
        label="Records", required=False, help_text="Best an extract of the day."
    )

    def __init__(self, page: AuditPage, *args: Any, **others: Any) -> None:
        super().__init__(*args, **others)
        known = [(item.freeze, freeze_words(item)) for item in page.state.freezes.values()]
        choices = [(SEEN_ALONE, "None: what was seen alone"), *reversed(known)]
        offer(self, "records", choices)


class MachineForm(_CardForm):
    """Which machine."""

    machine = LineField(label="Machine", widget=forms.TextInput(attrs={"list": "machines"}))
    field_order = ("machine", "records")


class HandoverForm(_CardForm):
    """Which area, which change."""

    area = LineField(label="Area", widget=forms.TextInput(attrs={"list": "areas"}))
    field_order = ("area", "change_at", "records")

    def __init__(self, page: AuditPage, *args: Any, **others: Any) -> None:
        super().__init__(page, *args, **others)
        self.fields["change_at"] = LocalMomentField(
            zone=page.zone, label="Change of shift", required=False, help_text="Empty for the next."
        )
        self.order_fields(self.field_order)


@require_safe
@in_audit(tab="preparation", roles=READERS)
def machine(request: HttpRequest, page: AuditPage) -> HttpResponseBase:
    """The card of a machine."""
    form = MachineForm(
        page, request.GET if "machine" in request.GET else None, initial=_usual(page)
    )
    card: MachineCard | None = None
    if form.is_valid():
        name = form.cleaned_data["machine"]
        try:
            with ExitStack() as opened:
                timeline = _timeline(page, form.cleaned_data["records"], opened)
                card = machine_card(page.state, page.now, name, timeline)
        except UnusableInputError as fault:
            form.add_error("records", str(fault))
    context = {
        "form": form,
        "card": card,
        "lines": [(text, card.to(key)) for key, text in QUESTIONS.items()] if card else [],
        "machines": page.state.scope.machines,
    }
    return render(request, "desk/around/machine_card.html", context)


@require_safe
@in_audit(tab="preparation", roles=READERS)
def handover(request: HttpRequest, page: AuditPage) -> HttpResponseBase:
    """The card of a change of shift."""
    asked = request.GET if "area" in request.GET else None
    form = HandoverForm(page, asked, initial=_usual(page))
    card: HandoverCard | None = None
    if form.is_valid():
        told = form.cleaned_data
        try:
            with ExitStack() as opened:
                timeline = _timeline(page, told["records"], opened)
                card = handover_card(
                    page.state, page.now, told["area"], timeline, told["change_at"]
                )
        except UnusableInputError as fault:
            form.add_error("records", str(fault))
    context = {
        "form": form,
        "card": card,
        "areas": page.state.scope.areas,
        "next": next_handover(page.state, page.now),
    }
    return render(request, "desk/around/handover_card.html", context)


def _timeline(page: AuditPage, freeze: str, opened: ExitStack) -> Timeline | None:
    if not freeze:
        return None
    return opened.enter_context(timeline_of(page.state.freezes[freeze]))


def _usual(page: AuditPage) -> dict[str, str]:
    """The newest extract of a day, where there is one."""
    same_day = [item.freeze for item in page.state.freezes.values() if item.purpose == SAME_DAY]
    return {"records": same_day[-1] if same_day else SEEN_ALONE}
