"""Seen: observations in every form, photos, documents, and what the records say to them."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from witnessmark.audit.actions.compare_observation import CompareObservation
from witnessmark.audit.actions.make_observation import MakeObservation
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.cited import Cited
from witnessmark.audit.contradictions import trails_of
from witnessmark.audit.forms import FORMS
from witnessmark.audit.items import Comparison, Document, Observation, Photo, Trail
from witnessmark.web.desk.audit_page import AuditPage, in_audit
from witnessmark.web.desk.working import observed
from witnessmark.web.desk.working.heard import trails_with
from witnessmark.web.desk.working.on_no_trail import OnNoTrail
from witnessmark.web.desk.working.pieces import token_of
from witnessmark.web.desk.working.spine import Filter

PER_PAGE = 30
Item = Observation | Photo | Document
FILTERS = {
    "all": "All",
    "loose": "On no trail",
    "contradicted": "Contradicted by records",
    "observation": "Observations",
    "photo": "Photos",
    "document": "Documents",
}


@dataclass(frozen=True)
class Proposal:
    """A trail that a contradiction proposes, with the address at which it is opened."""

    proposition: str
    rival: str
    href: str


@dataclass(frozen=True)
class Sight:
    """Something seen, as a list or its own page shows it."""

    item: Item
    kind: str
    title: str
    text: str
    answers: Sequence[tuple[str, str]] = ()
    photos: Sequence[Photo] = ()
    trails: Sequence[Trail] = ()
    at: str = ""

    @property
    def token(self) -> str:
        """How pages hand it on."""
        return token_of(Cited(self.kind, id=self.item.id))  # type: ignore[arg-type]  # a kind

    @property
    def against(self) -> list[Comparison]:
        """Comparisons in which the records show something else."""
        compared = self.item.compared if isinstance(self.item, Observation) else ()
        return [one for one in compared if one.result == "contradicts"]


@require_safe
@in_audit(tab="seen")
def seen(request: HttpRequest, page: AuditPage) -> HttpResponse:
    """Everything seen, the newest first."""
    state = page.state
    loose = OnNoTrail(page)
    every: list[Item] = [
        *state.observations.values(),
        *state.photos.values(),
        *state.documents.values(),
    ]
    every.sort(key=_when)
    every.reverse()  # of one moment the last written first
    lists: dict[str, list[Any]] = {
        "all": every,
        "loose": [item for item in every if item.id not in loose.ids],
        "contradicted": [
            item
            for item in state.observations.values()
            if any(one.result == "contradicts" for one in item.compared)
        ],
        "observation": list(state.observations.values())[::-1],
        "photo": list(state.photos.values())[::-1],
        "document": list(state.documents.values())[::-1],
    }
    shown = request.GET.get("show", "all")
    shown = shown if shown in lists else "all"
    rows = Paginator(lists[shown], PER_PAGE).get_page(request.GET.get("page"))
    context = {
        "filters": [
            Filter(name, FILTERS[name], len(items))
            for name, items in lists.items()
            if items or name in {"all", shown}
        ],
        "shown": shown,
        "rows": rows,
        "sights": [sight_of(page, item) for item in rows],
        "how_many": len(every),
        "forms": FORMS.values(),
        "dangers": state.dangers.values(),
        "freezes": state.freezes.values(),
    }
    return render(request, "desk/working/seen.html", context)


@require_safe
@in_audit(tab="seen")
def item(request: HttpRequest, page: AuditPage, item: UUID) -> HttpResponse:
    """One observation, photo or document."""
    found = item_of(page, item)
    context = {
        "sight": sight_of(page, found),
        "item": found,
        "proposals": proposals_of(page, found) if isinstance(found, Observation) else [],
        "is_observation": isinstance(found, Observation),
        "may_correct": isinstance(found, Observation)
        and page.may_on(MakeObservation(form=found.form), found.id),
    }
    return render(request, "desk/working/seen_item.html", context)


def item_of(page: AuditPage, id_: UUID) -> Item:
    """Something seen.

    Raises:
        Http404: There is nothing of this id.
    """
    found = page.state.item(str(id_))
    if not isinstance(found, Observation | Photo | Document):
        raise Http404
    return found


def sight_of(page: AuditPage, item: Item) -> Sight:
    """Something seen, with its words, photos and trails."""
    trails = trails_with(page, item.id)
    match item:
        case Observation():
            photos = [p for i in item.photos if (p := page.state.photos.get(i))]
            note = page.reveal(item.note_sealed)
            note = "(the note was destroyed)" if note is None else note
            answers = observed.answers_of(item, page)
            title = observed.title_of(item)
            return Sight(item, "observation", title, note, answers, photos, trails, item.seen_at)
        case Photo():
            return Sight(item, "photo", "Photo", item.caption, (), [item], trails, item.at)
        case Document():
            name = item.title + (f", rev. {item.revision}" if item.revision else "")
            text = page.reveal(item.text_sealed)
            text = "(the text was destroyed)" if text is None else text
            return Sight(item, "document", name, text, (), (), trails, item.at)


def proposals_of(page: AuditPage, item: Observation) -> list[Proposal]:
    """Trails that the contradictions of an observation propose, as long as it lies on none."""
    if item.id in OnNoTrail(page).ids:
        return []
    against = [_as_action(item, one) for one in item.compared if one.result == "contradicts"]
    return [_proposal(page, item, one) for one in trails_of(item, against)]


def _proposal(page: AuditPage, item: Observation, trail: OpenTrail) -> Proposal:
    given = {
        "from": f"observation:{item.id}",
        "proposition": trail.proposition,
        "rival": trail.rival,
        "next_step": trail.next_step,
    }
    base = reverse("desk:open-trail", args=(page.id,))
    return Proposal(trail.proposition, trail.rival, f"{base}?{urlencode(given)}")


def _as_action(item: Observation, one: Comparison) -> CompareObservation:
    return CompareObservation(
        observation=item.id,
        freeze=one.freeze,
        field_name=one.field_name,
        result="contradicts",
        seen=one.seen,
        recorded=one.recorded,
        rows=one.rows,
    )


def _when(item: Item) -> str:
    return item.seen_at if isinstance(item, Observation) else item.at
