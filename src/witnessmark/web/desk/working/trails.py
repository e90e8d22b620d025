"""Trails: opening, wording, putting aside, evidence, closing, history."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from witnessmark.audit.actions.close_trail import CloseTrail, ConditionBody
from witnessmark.audit.actions.link_evidence import LinkEvidence
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.actions.put_trail import PutTrail
from witnessmark.audit.exhaustion import conditions_of, needed_for
from witnessmark.audit.items import Trail
from witnessmark.audit.promises import open_promises
from witnessmark.web.desk.asking import Asked, Deed, ask, id_of
from witnessmark.web.desk.audit_page import TEAM, AuditPage, in_audit
from witnessmark.web.desk.working.past import past_of
from witnessmark.web.desk.working.pieces import Piece, piece_of, read_token
from witnessmark.web.desk.working.strands import Strand
from witnessmark.web.desk.working.trail_forms import (
    CloseForm,
    OpenTrailForm,
    PutForm,
    TrailForm,
    made_by_audited,
)

PREFILLED = ("proposition", "rival", "next_step")


def trail_of(page: AuditPage, id_: UUID) -> Trail:
    """A trail of this audit.

    Raises:
        Http404: There is none.
    """
    found = page.state.trails.get(str(id_))
    if found is None:
        raise Http404
    return found


def address(page: AuditPage, trail: str) -> str:
    """The address of a trail's page."""
    return reverse("desk:trail", args=(page.id, trail))


@require_safe
@in_audit(tab="trails")
def show(request: HttpRequest, page: AuditPage, trail: UUID) -> HttpResponse:
    """One trail with everything that lies on it."""
    item = trail_of(page, trail)
    promised = page.state.promised.get(item.id, {})
    context = {
        "trail": item,
        "strand": Strand(page, item),
        "open_promises": [p for p in open_promises(page.state, page.now) if p.promise in promised],
        "settled": [p for i in promised if (p := page.state.promises.get(i)) and p.outcome],
        "branches": [t for t in page.state.trails.values() if t.parent == item.id],
        "conditions": conditions_of(page.state, item) if page.is_team else [],
        "needed": len(needed_for(item.highest_grade)),
        "findings": [f for f in page.state.findings.values() if f.trail == item.id],
        "put_form": PutForm(page, initial={"state": item.state, "reason": item.reason}),
        "may_word": page.may_on(OpenTrail(proposition="."), item.id),
    }
    return render(request, "desk/working/trail.html", context)


@require_http_methods(["GET", "POST"])
@in_audit(tab="trails", roles=TEAM)
def open_trail(request: HttpRequest, page: AuditPage) -> HttpResponse:
    """A new trail, from what it starts from, or blank."""
    token = request.POST.get("from") or request.GET.get("from") or ""
    cited = read_token(page, token) if token else None
    origin = piece_of(page, cited) if cited else None
    parent = request.POST.get("parent") or request.GET.get("parent") or ""
    if parent and parent not in page.state.trails:
        raise Http404
    initial = {name: request.GET[name] for name in PREFILLED if name in request.GET}
    form = OpenTrailForm(page, origin, request.POST or None, initial=initial)

    def make(told: Mapping[str, Any]) -> Deed:
        return Deed(OpenTrail(**form.told, origin=cited, parent=parent))

    asked = Asked(
        "Open a branch" if parent else "Open a trail",
        "Open it",
        ("Trails", reverse("desk:spine", args=(page.id,))),
        "A proposition with its innocent reading, and what would tell them apart.",
    )
    return ask(
        request,
        page,
        form,
        asked,
        make,
        lambda received: _lay_origin(page, id_of(received), origin, form),
        "desk/working/open_trail.html",
        piece=origin,
        token=token,
        parent=page.state.trails.get(parent),
    )


def _lay_origin(page: AuditPage, trail: str, origin: Piece | None, form: OpenTrailForm) -> str:
    """Lays what the trail starts from on it; its address."""
    if origin is not None:
        page.do(
            LinkEvidence(
                trail=trail,
                cited=origin.cited,
                bears=form.cleaned_data["bears"],
                group=form.cleaned_data["group"],
                by_audited_function=made_by_audited(origin.cited),
            )
        )
    return address(page, trail)


@require_http_methods(["GET", "POST"])
@in_audit(tab="trails", roles=TEAM)
def word(request: HttpRequest, page: AuditPage, trail: UUID) -> HttpResponse:
    """A trail worded anew; what it said before stays in its history."""
    item = trail_of(page, trail)
    names = ("proposition", "rival", "highest_grade", "next_step", "dropped_if")
    initial = {name: getattr(item, name) for name in names} | {
        "clauses": ", ".join(item.clauses),
        "closes_at": item.closes_at,
    }
    form = TrailForm(page, request.POST or None, initial=initial)

    def make(told: Mapping[str, Any]) -> Deed:
        action = OpenTrail(**form.told, origin=item.origin, parent=item.parent)
        return Deed(action, supersedes=item.id)

    asked = Asked(
        "Word the trail anew",
        "Keep the new words",
        ("The trail", address(page, item.id)),
        "What it said before stays readable in its history.",
        "The trail has new words.",
    )
    return ask(request, page, form, asked, make)


@require_POST
@in_audit(tab="trails", roles=TEAM)
def put(request: HttpRequest, page: AuditPage, trail: UUID) -> HttpResponse:
    """Puts a trail aside or takes it up."""
    item = trail_of(page, trail)
    form = PutForm(page, request.POST)
    asked = Asked("Put the trail aside", "Keep it", ("The trail", address(page, item.id)))

    def make(told: Mapping[str, Any]) -> Deed:
        return Deed(PutTrail(trail=item.id, **told))

    return ask(request, page, form, asked, make)


@require_http_methods(["GET", "POST"])
@in_audit(tab="trails", roles=TEAM)
def close(request: HttpRequest, page: AuditPage, trail: UUID) -> HttpResponse:
    """Ends a trail against its conditions."""
    item = trail_of(page, trail)
    if item.is_closed:
        return redirect(address(page, item.id))
    initial = {"considered": " ".join(link.id for link in item.evidence)}
    form = CloseForm(page, item, request.POST or None, initial=initial)

    def make(told: Mapping[str, Any]) -> Deed:
        seen = set(told["considered"].split())
        return Deed(
            CloseTrail(
                trail=item.id,
                verdict=told["verdict"],
                conclusion=told["conclusion"],
                limitation=told["limitation"],
                considered=tuple(link.id for link in item.evidence if link.id in seen),
                conditions=tuple(
                    ConditionBody(c.key, told[f"met-{c.key}"], told[f"said-{c.key}"])
                    for c in form.conditions
                ),
            )
        )

    asked = Asked(
        "End the trail",
        "End it",
        ("The trail", address(page, item.id)),
        done="The trail has ended; what comes later is shown as such.",
    )
    template = "desk/working/close_trail.html"
    return ask(
        request, page, form, asked, make, template=template, trail=item, strand=Strand(page, item)
    )


@require_safe
@in_audit(tab="trails")
def history(request: HttpRequest, page: AuditPage, trail: UUID) -> HttpResponse:
    """What happened to a trail, in the order of the journal."""
    item = trail_of(page, trail)
    context = {"trail": item, "past": past_of(page, item)}
    return render(request, "desk/working/trail_history.html", context)
