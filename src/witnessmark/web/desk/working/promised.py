"""Promises: what was promised to be looked at, the window that closes first on top."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django import forms
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from witnessmark.audit.actions.promise_step import PromiseStep
from witnessmark.audit.actions.settle_promise import SettlePromise
from witnessmark.audit.items import Promise
from witnessmark.audit.promises import next_handover, open_promises
from witnessmark.web.desk.asking import Asked, Deed, ask
from witnessmark.web.desk.audit_page import TEAM, AuditPage, in_audit
from witnessmark.web.desk.working.fields import choice, line, moment, text

OUTCOMES = (
    ("done", "Done"),
    ("refused", "Refused"),
    ("impossible", "Impossible"),
    ("overtaken", "Overtaken by something else"),
)
LONGEST = 90
PER_PAGE = 100


class PromiseForm(forms.Form):
    """What is promised, until when."""

    what = line("What will be looked at", required=True)
    with_role = line("With whom", "By role.")
    place = line("Where")
    window = line("What closes the window", "“The planner leaves”, “the next handover”.")
    trail = forms.ChoiceField(label="Trail it serves", required=False)

    def __init__(self, page: AuditPage, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["earliest"] = moment(page, "Possible from", "Empty for now.")
        self.fields["latest"] = moment(page, "Window closes", "Empty where nobody knows.")
        trails = [t for t in page.state.trails.values() if not t.is_closed]
        wanted = self.initial.get("trail")
        trails += [t for t in page.state.trails.values() if t.is_closed and t.id == wanted]
        named = [(trail.id, trail.proposition[:LONGEST]) for trail in trails]
        trail = self.fields["trail"]
        if isinstance(trail, forms.ChoiceField):
            trail.choices = [("", "None"), *named]
        self.order_fields(["what", "with_role", "place", "latest", "window", "earliest", "trail"])


class SettleForm(forms.Form):
    """How a promise ended."""

    outcome = choice("How it ended", OUTCOMES)
    note = text("What came of it, or why not", "Needed unless it was done.", required=False)


def promise_of(page: AuditPage, id_: UUID) -> Promise:
    """A promise of this audit.

    Raises:
        Http404: There is none.
    """
    found = page.state.promises.get(str(id_))
    if found is None:
        raise Http404
    return found


@require_safe
@in_audit(tab="promises")
def promises(request: HttpRequest, page: AuditPage) -> HttpResponse:
    """Open promises by closing window, then the settled ones."""
    settled = [item for item in page.state.promises.values() if item.outcome]
    context = {
        "handover": next_handover(page.state, page.now),
        "open": Paginator(open_promises(page.state, page.now), PER_PAGE).get_page(
            request.GET.get("page")
        ),
        "settled": sorted(settled, key=lambda item: item.settled_at, reverse=True)[:PER_PAGE],
        "settled_in_all": len(settled),
        "trails": page.state.trails,
        "own": {i for i in page.state.promises if page.may_on(PromiseStep(what="."), i)},
    }
    return render(request, "desk/working/promises.html", context)


@require_http_methods(["GET", "POST"])
@in_audit(tab="promises", roles=TEAM)
def promise(request: HttpRequest, page: AuditPage) -> HttpResponse:
    """A new promise."""
    initial = {"trail": request.GET.get("trail", "")}
    form = PromiseForm(page, request.POST or None, initial=initial)
    asked = Asked("Promise a step", "Keep the promise", _above(page))
    return ask(request, page, form, asked, lambda told: Deed(PromiseStep(**told)))


@require_http_methods(["GET", "POST"])
@in_audit(tab="promises", roles=TEAM)
def correct(request: HttpRequest, page: AuditPage, item: UUID) -> HttpResponse:
    """Words a promise anew, or moves its window."""
    found = promise_of(page, item)
    names = ("what", "with_role", "place", "earliest", "latest", "window")
    serves = [trail for trail, ids in page.state.promised.items() if found.id in ids]
    initial = {name: getattr(found, name) for name in names} | {"trail": "".join(serves[:1])}
    form = PromiseForm(page, request.POST or None, initial=initial)
    asked = Asked("Change the promise", "Keep it so", _above(page))
    return ask(
        request, page, form, asked, lambda told: Deed(PromiseStep(**told), supersedes=found.id)
    )


@require_http_methods(["GET", "POST"])
@in_audit(tab="promises", roles=TEAM)
def settle(request: HttpRequest, page: AuditPage, item: UUID) -> HttpResponse:
    """Says how a promise ended."""
    found = promise_of(page, item)
    given = request.GET.get("outcome", "")
    form = SettleForm(request.POST or None, initial={"outcome": given})
    asked = Asked(
        "How did it end?", "Settle it", _above(page), found.what, "The promise is settled."
    )

    def make(told: Mapping[str, Any]) -> Deed:
        return Deed(SettlePromise(promise=found.id, **told))

    return ask(request, page, form, asked, make)


def _above(page: AuditPage) -> tuple[str, str]:
    return ("Promises", reverse("desk:promises", args=(page.id,)))
