"""Laying evidence on a trail: from the trail's side or from the evidence's."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from witnessmark.audit.actions.link_evidence import LinkEvidence
from witnessmark.audit.cited import Cited
from witnessmark.audit.items import Trail
from witnessmark.web.desk.asking import Asked, Deed, ask
from witnessmark.web.desk.audit_page import TEAM, AuditPage, in_audit
from witnessmark.web.desk.working.pieces import ITEMS, Piece, piece_of, read_token
from witnessmark.web.desk.working.strands import by_window, strands_of
from witnessmark.web.desk.working.trail_forms import LayForm

SHOWN = 25
"""Pieces of each kind that the list offers; the search finds the others."""
HEADINGS = {
    "statement": "Said",
    "observation": "Seen",
    "photo": "Photos",
    "document": "Documents",
    "request": "Asked for",
    "outcome": "Records",
}


@dataclass(frozen=True)
class Offer:
    """Pieces of one kind that could be laid, the newest first."""

    heading: str
    pieces: list[Piece]
    more: int


@require_http_methods(["GET", "POST"])
@in_audit(tab="trails", roles=TEAM)
def lay(request: HttpRequest, page: AuditPage) -> HttpResponse:
    """Asks first for whichever of trail and evidence is not known yet, then how it bears."""
    given = request.POST if request.method == "POST" else request.GET
    token, trail_id = given.get("cited", ""), given.get("trail", "")
    trail = page.state.trails.get(trail_id)
    if trail_id and trail is None:
        raise Http404
    cited = read_token(page, token) if token else None
    if cited is not None and trail is not None:
        return _bears(request, page, trail, cited)
    if cited is not None:
        return _choose_trail(request, page, cited)
    if trail is None:
        raise Http404
    query = request.GET.get("q", "").strip()
    context = {"trail": trail, "offers": list(offers(page, trail, query)), "query": query}
    return render(request, "desk/working/choose_evidence.html", context)


def _bears(request: HttpRequest, page: AuditPage, trail: Trail, cited: Cited) -> HttpResponse:
    back = reverse("desk:trail", args=(page.id, trail.id))
    form = LayForm(page, cited, request.POST or None)

    def make(told: Mapping[str, Any]) -> Deed:
        return Deed(LinkEvidence(trail=trail.id, cited=cited, **told))

    asked = Asked(
        "Lay it on the trail",
        "Lay it there",
        ("The trail", back),
        "What speaks against the proposition stays on the trail as well.",
    )
    return ask(
        request,
        page,
        form,
        asked,
        make,
        f"{back}#evidence",
        "desk/working/lay.html",
        trail=trail,
        piece=piece_of(page, cited),
    )


def _choose_trail(request: HttpRequest, page: AuditPage, cited: Cited) -> HttpResponse:
    trails = (trail for trail in page.state.trails.values())
    strands = sorted(strands_of(page, trails), key=by_window)
    context = {"piece": piece_of(page, cited), "strands": strands}
    return render(request, "desk/working/choose_trail.html", context)


def offers(page: AuditPage, trail: Trail, query: str) -> Iterator[Offer]:
    """What could be laid on a trail: everything that does not lie there yet, by kind."""
    there = {link.cited.id or link.cited.slug for link in trail.evidence}
    for kind, heading in HEADINGS.items():
        found = pieces_of(page, kind, query, there)
        more = 0 if query else len(_all(page, kind)) - len(found)
        yield Offer(heading, found, more if len(found) == SHOWN else 0)


def pieces_of(
    page: AuditPage, kind: str, query: str = "", without: Collection[str] = ()
) -> list[Piece]:
    """Pieces of one kind that the viewer may see, the newest first, as many as a list bears.

    Args:
        page: The audit.
        kind: One of HEADINGS.
        query: Words that all must stand in it.
        without: Ids and slugs to leave out.
    """
    found: list[Piece] = []
    for cited in reversed(_all(page, kind)):
        if (cited.id or cited.slug) in without:
            continue
        piece = piece_of(page, cited)
        if piece is not None and _matches(piece, query):
            found.append(piece)
        if len(found) == SHOWN:
            break
    return found


def _all(page: AuditPage, kind: str) -> list[Cited]:
    if kind in ITEMS:
        items = getattr(page.state, ITEMS[kind])
        return [Cited(kind, id=id_) for id_ in items]  # type: ignore[arg-type]  # one of ITEMS
    return [
        Cited(
            "outcome",
            freeze=freeze.freeze,
            slug=result.slug,
            exceptions=result.exceptions,
            assessed=result.assessed,
        )
        for freeze in page.state.freezes.values()
        for result in sorted(freeze.outcomes.values(), key=lambda one: one.exceptions > 0)
        if result.status == "assessed"
    ]


def _matches(piece: Piece, query: str) -> bool:
    told = " ".join((piece.text, *piece.under)).casefold()
    return all(word in told for word in query.casefold().split())
