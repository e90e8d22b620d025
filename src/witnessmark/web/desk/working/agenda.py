"""The agenda: a day per auditor, clashes, cover, and what to drop when time runs short."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from witnessmark.audit.actions.drop_appointment import DropAppointment
from witnessmark.audit.actions.plan_appointment import PlanAppointment
from witnessmark.audit.agenda import Clash, check_agenda, in_order
from witnessmark.audit.drop import what_to_drop
from witnessmark.audit.event import moment_of
from witnessmark.audit.items import Appointment
from witnessmark.audit.promises import next_handover, open_promises
from witnessmark.web.desk.asking import Asked, Deed, ask
from witnessmark.web.desk.audit_page import TEAM, AuditPage, in_audit
from witnessmark.web.desk.working.fields import choice, line, moment
from witnessmark.web.store.desk import user_of

KINDS = {
    "handover": "Handover",
    "interview": "Interview",
    "floor": "On the floor",
    "records": "Records",
    "meeting": "Meeting",
    "writing": "Writing",
    "free": "Left free for trails",
}
WORTH = ((1, "Can be dropped first"), (2, "Usual"), (3, "Must stay"))
LONGEST_MIN = 24 * 60
NO_MOVE = 1


class AppointmentForm(forms.Form):
    """Who, where, when."""

    what = line("What", required=True)
    kind_of = choice("What kind", list(KINDS.items()), initial="interview")
    with_role = line("With whom", "By role.")
    place = line("Where")
    shift = line("Shift")
    promise = forms.ChoiceField(label="Promise it keeps", required=False)
    auditor = forms.ChoiceField(label="Auditor", required=False)
    worth = forms.TypedChoiceField(
        label="When time runs short", choices=WORTH, coerce=int, initial=2, widget=forms.RadioSelect
    )

    def __init__(self, page: AuditPage, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["starts_at"] = moment(page, "Starts", required=True)
        self.fields["ends_at"] = moment(page, "Ends", required=True)
        kept = self.initial.get("promise")
        named = [(p.promise, p.what) for p in open_promises(page.state, page.now)]
        if kept and kept in page.state.promises and kept not in dict(named):
            named.append((kept, page.state.promises[kept].what))
        self._offer("promise", [("", "None"), *named])
        self._offer("auditor", [("", "Not said"), *auditors_of(page).items()])
        self.order_fields(["what", "kind_of", "starts_at", "ends_at", "with_role", "place"])

    def _offer(self, name: str, choices: list[tuple[str, str]]) -> None:
        field = self.fields[name]
        if isinstance(field, forms.ChoiceField):
            field.choices = choices


class DropForm(forms.Form):
    """Why an appointment is dropped."""

    reason = line("Why", required=True)


@dataclass(frozen=True)
class Booked:
    """An appointment of a day with what does not go together with it."""

    item: Appointment
    kind: str
    clashes: list[Clash]
    is_over: bool
    is_now: bool


@dataclass(frozen=True)
class AuditorDay:
    """One auditor's day; `free` None where nothing can be said."""

    auditor: str
    booked: list[Booked]
    free: float | None


@dataclass(frozen=True)
class Day:
    """A day of the agenda."""

    date: date
    auditors: list[AuditorDay]


@require_safe
@in_audit(tab="agenda")
def agenda(request: HttpRequest, page: AuditPage) -> HttpResponse:
    """The agenda, day by day."""
    check = check_agenda(page.state)
    wanted = request.GET.get("left", "")
    left = (
        min(int(wanted), LONGEST_MIN) if wanted.isdecimal() and len(wanted) < len("99999") else None
    )
    context = {
        "days": days_of(page, check.clashes),
        "check": check,
        "loose_clashes": [clash for clash in check.clashes if not clash.items],
        "handover": next_handover(page.state, page.now),
        "dropped": [item for item in page.state.appointments.values() if item.dropped],
        "left": left,
        "plan": what_to_drop(page.state, page.now, left) if left is not None else None,
        "promises": page.state.promises,
    }
    return render(request, "desk/working/agenda.html", context)


def days_of(page: AuditPage, clashes: tuple[Clash, ...]) -> list[Day]:
    """Appointments that were not dropped, by day and auditor."""
    by_item: dict[str, list[Clash]] = defaultdict(list)
    for clash in clashes:
        if clash.items:
            by_item[clash.items[-1]].append(clash)
    names, shares = (
        auditors_of(page),
        {(share.auditor, share.day): share.share_free for share in check_agenda(page.state).days},
    )
    found: dict[date, dict[str, list[Booked]]] = defaultdict(lambda: defaultdict(list))
    for item in in_order(page.state):
        start, end = moment_of(item.starts_at), moment_of(item.ends_at)
        booked = Booked(
            item,
            KINDS.get(item.kind, item.kind),
            by_item[item.id],
            end < page.now,
            start <= page.now < end,
        )
        found[start.astimezone(page.zone).date()][item.auditor].append(booked)
    return [
        Day(
            day,
            [
                AuditorDay(
                    names.get(code, "Auditor not said") if code or len(names) != 1
                    else next(iter(names.values())),
                    booked,
                    shares.get((code or next(iter(names), ""), day)),
                )
                for code, booked in auditors.items()
            ],
        )
        for day, auditors in sorted(found.items())
    ]  # fmt: skip


def auditors_of(page: AuditPage) -> dict[str, str]:
    """The audit team by code: accounts of this installation by name, others by what they are."""
    team = {role.value for role in TEAM}
    members = [member for member in page.state.members.values() if member.role in team]
    return {
        member.user: str(user_of(member.user) or member.function or member.user)
        for member in members
    }


@require_http_methods(["GET", "POST"])
@in_audit(tab="agenda", roles=TEAM)
def plan(request: HttpRequest, page: AuditPage) -> HttpResponse:
    """A new appointment, perhaps for a promise."""
    promised = page.state.promises.get(request.GET.get("promise", ""))
    initial: dict[str, object] = {"auditor": page.actor.user}
    if promised is not None:
        initial |= {
            "promise": promised.id,
            "what": promised.what,
            "with_role": promised.with_role,
            "place": promised.place,
            "starts_at": promised.earliest,
            "ends_at": promised.latest,
        }
    form = AppointmentForm(page, request.POST or None, initial=initial)
    asked = Asked("Plan an appointment", "Plan it", _above(page))
    return ask(request, page, form, asked, lambda told: Deed(PlanAppointment(**told)))


@require_http_methods(["GET", "POST"])
@in_audit(tab="agenda", roles=TEAM)
def move(request: HttpRequest, page: AuditPage, item: UUID) -> HttpResponse:
    """Changes an appointment; one whose time changes with somebody counts as moved."""
    found = appointment_of(page, item)
    names = ("what", "with_role", "place", "shift", "starts_at", "ends_at", "promise", "auditor")
    initial = {name: getattr(found, name) for name in names}
    initial |= {"kind_of": found.kind, "worth": found.worth}
    form = AppointmentForm(page, request.POST or None, initial=initial)

    def make(told: Mapping[str, Any]) -> Deed:
        # Minutes, as the form shows them: seconds of another device are no move.
        moved = told["starts_at"][:16] != found.starts_at[:16]
        moves = found.moves + int(moved)
        return Deed(PlanAppointment(**told, moves=moves), supersedes=found.id)

    warning = "One move is tolerated; a second costs goodwill." if found.moves >= NO_MOVE else ""
    asked = Asked("Move or change it", "Keep it so", _above(page), warning)
    return ask(request, page, form, asked, make)


@require_http_methods(["GET", "POST"])
@in_audit(tab="agenda", roles=TEAM)
def drop(request: HttpRequest, page: AuditPage, item: UUID) -> HttpResponse:
    """Drops an appointment, with the reason."""
    found = appointment_of(page, item)
    form = DropForm(request.POST or None)
    asked = Asked("Drop the appointment", "Drop it", _above(page), found.what, danger=True)

    def make(told: Mapping[str, Any]) -> Deed:
        return Deed(DropAppointment(appointment=found.id, reason=told["reason"]))

    return ask(request, page, form, asked, make)


def appointment_of(page: AuditPage, id_: UUID) -> Appointment:
    """An appointment of this audit.

    Raises:
        Http404: There is none.
    """
    found = page.state.appointments.get(str(id_))
    if found is None:
        raise Http404
    return found


def _above(page: AuditPage) -> tuple[str, str]:
    return ("Agenda", reverse("desk:agenda", args=(page.id,)))
