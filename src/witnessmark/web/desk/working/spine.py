"""The audit's first page: its trails, each across said, seen and recorded."""

from dataclasses import dataclass

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from witnessmark.audit.cited import TestResult
from witnessmark.audit.items import Finding, Freeze
from witnessmark.audit.promises import next_handover, open_promises
from witnessmark.web.desk.audit_page import AuditPage, in_audit
from witnessmark.web.desk.working.on_no_trail import OnNoTrail
from witnessmark.web.desk.working.strands import Strand, by_window, foresee, strands_of

SHIPPED = "suspect-shipped"
PER_PAGE = 50
CLOSES_FIRST = 3


@dataclass(frozen=True)
class Filter:
    """A view on the trails."""

    name: str
    word: str
    count: int


@dataclass(frozen=True)
class ShippedLots:
    """Suspect lots that the records show as shipped, by one freeze."""

    freeze: Freeze
    result: TestResult


@require_safe
@in_audit(tab="trails")
def spine(request: HttpRequest, page: AuditPage) -> HttpResponse:
    """The trails, and before them what cannot wait."""
    strands = strands_of(page, page.state.trails.values())
    chosen = _choices(strands)
    shown = request.GET.get("show", "open")
    shown = shown if shown in chosen else "open"
    on_page = Paginator(chosen[shown], PER_PAGE).get_page(request.GET.get("page"))
    foresee(page, on_page)
    context = {
        "filters": [Filter(name, WORDS[name], len(found)) for name, found in chosen.items()],
        "shown": shown,
        "strands": on_page,
        "how_many": len(strands),
        "handover": next_handover(page.state, page.now),
        "promises": open_promises(page.state, page.now)[:CLOSES_FIRST],
        "suspect": suspect_findings(page),
        "shipped": shipped_lots(page),
        "loose": OnNoTrail(page),
    }
    return render(request, "desk/working/spine.html", context)


WORDS = {
    "open": "Open",
    "waiting": "Waiting or parked",
    "closing": "Closing first",
    "ended": "Ended",
    "all": "All",
}


def _choices(strands: list[Strand]) -> dict[str, list[Strand]]:
    open_ones = sorted((one for one in strands if not one.trail.is_closed), key=by_window)
    return {
        "open": open_ones,
        "waiting": [one for one in open_ones if one.trail.state in {"waiting", "parked"}],
        "closing": [one for one in open_ones if one.closes],
        "ended": [one for one in strands if one.trail.is_closed],
        "all": sorted(strands, key=by_window),
    }


def suspect_findings(page: AuditPage) -> list[Finding]:
    """Findings that concern suspect product, unless they have ended."""
    return [
        item
        for item in page.state.findings.values()
        if item.suspect_product and item.state not in {"closed", "withdrawn"}
    ]


def shipped_lots(page: AuditPage) -> list[ShippedLots]:
    """What the records say of suspect lots that may have left."""
    found = ((freeze, freeze.outcomes.get(SHIPPED)) for freeze in page.state.freezes.values())
    return [ShippedLots(freeze, result) for freeze, result in found if result and result.exceptions]
