"""The first page: audits in which somebody has a part, findings they answer, opening an audit."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any
from uuid import uuid4
from zoneinfo import available_timezones

from django import forms
from django.core.exceptions import PermissionDenied
from django.core.paginator import Page, Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from witnessmark.audit.actions.open_audit import OpenAudit
from witnessmark.audit.items import Finding
from witnessmark.audit.people import Actor, RefusedError, Role
from witnessmark.audit.vague import vocabularies
from witnessmark.web.accounts.models import User
from witnessmark.web.accounts.signed_in import user_of
from witnessmark.web.desk.around.due import Due, dues_of, profile_choices
from witnessmark.web.desk.around.fields import DayField, LineField, offer
from witnessmark.web.store.desk import STATES, audits_of, code_of, desk
from witnessmark.web.store.models import Audit

PER_PAGE = 25
SEARCHED = ("title", "process", "site", "starts_on", "ends_on")
LANGUAGES = {"en": "English", "de": "German"}


@dataclass(frozen=True)
class Listed:
    """One audit as the list shows it."""

    id: str
    role: str
    summary: dict[str, object]


@dataclass(frozen=True)
class Owned:
    """A finding that is addressed to whoever looks."""

    audit: str
    title: str
    finding: Finding
    due: Due | None


def home(request: HttpRequest) -> HttpResponse:
    """Audits, newest first, and before them the findings that wait for the viewer's answer."""
    user = user_of(request)
    rows = audits_of(user)
    mine = code_of(user)
    listed = [item for row in rows if (item := _listed(row, mine, user)) is not None]
    query = request.GET.get("q", "").strip()
    found = [item for item in listed if _matches(item, query)]
    page: Page[Listed] = Paginator(found, PER_PAGE).get_page(request.GET.get("page"))
    context = {
        "audits": page,
        "query": query,
        "how_many": len(listed),
        "owned": list(_owned(rows, mine)),
        "may_open": user.is_programme_owner,
    }
    return render(request, "pages/home.html", context)


def _listed(row: Audit, mine: str, user: User) -> Listed | None:
    """An audit for the list; an auditee sees findings, never the audit around them."""
    role = row.summary.get("members", {}).get(mine) or (
        Role.OWNER.value if user.is_programme_owner else ""
    )
    if role in {"", Role.AUDITEE.value}:
        return None
    return Listed(row.id, role, row.summary)


def _matches(item: Listed, query: str) -> bool:
    told = " ".join(str(item.summary.get(name, "")) for name in SEARCHED).casefold()
    return all(word in told for word in query.casefold().split())


def _owned(rows: Sequence[Audit], mine: str) -> Iterator[Owned]:
    for row in rows:
        if row.summary.get("members", {}).get(mine) != Role.AUDITEE.value:
            continue
        state = STATES.state(row.id)
        for finding in state.findings.values():
            if finding.addressed_to == mine and finding.issued_at:
                due = next(iter(dues_of(finding, state.opening.zone)), None)
                yield Owned(row.id, state.opening.title, finding, due)


@cache
def _zones() -> tuple[tuple[str, str], ...]:
    return tuple((zone, zone) for zone in sorted(available_timezones()))


class OpenAuditForm(forms.Form):
    """What an audit is about."""

    title = LineField(label="Title", help_text="As it stands on the report.")
    process = LineField(
        label="Process", help_text="One process, such as bar turning and washing of valve parts."
    )
    site = LineField(label="Site", required=False)
    starts_on = DayField(label="First day", required=False)
    ends_on = DayField(label="Last day", required=False)
    zone = forms.ChoiceField(
        label="Time zone of the plant", choices=_zones, help_text="All times are shown in it."
    )
    language = forms.ChoiceField(label="Language of the report", choices=())
    deadlines = forms.ChoiceField(
        label="Deadlines for answers", choices=(), help_text="From which profile dates are counted."
    )

    def __init__(self, *args: Any, **others: Any) -> None:
        super().__init__(*args, **others)
        known = [(code, LANGUAGES.get(code, code)) for code in vocabularies()]
        offer(self, "language", known)
        offer(self, "deadlines", profile_choices())

    def clean(self) -> dict[str, object]:
        """The last day is not before the first."""
        cleaned = super().clean() or {}
        first, last = cleaned.get("starts_on"), cleaned.get("ends_on")
        if first and last and last < first:
            self.add_error("ends_on", "The last day is before the first.")
        return cleaned


@require_http_methods(["GET", "POST"])
def open_audit(request: HttpRequest) -> HttpResponse:
    """Opens an audit; for a programme owner, who on a laptop is whoever sits there."""
    user = user_of(request)
    if not user.is_programme_owner:
        raise PermissionDenied("Only a programme owner opens an audit.")
    form = OpenAuditForm(request.POST or None, initial=_as_last_time(user))
    if request.method == "POST" and form.is_valid():
        audit = str(uuid4())
        try:
            desk().act(audit, Actor(code_of(user), Role.OWNER), OpenAudit(**form.cleaned_data))
        except RefusedError as refusal:
            form.add_error(None, str(refusal))
        else:
            return redirect("desk:preparation", audit)
    return render(request, "desk/around/open_audit.html", {"form": form})


def _as_last_time(user: User) -> dict[str, str]:
    """Zone, language and deadlines of the audit before, since they rarely change."""
    last = next(iter(audits_of(user)), None)
    if last is None:
        return {"zone": "UTC", "language": user.language}
    opening = STATES.state(last.id).opening
    return {"zone": opening.zone, "language": opening.language, "deadlines": opening.deadlines}
