"""Records: what was frozen, every outcome, every row, and the working paper."""

import base64
import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from django.core.paginator import Paginator
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_safe

from witnessmark.audit.actions.take_in_records import TakeInRecords
from witnessmark.audit.items import Trail
from witnessmark.record_tests.outcome import Row
from witnessmark.record_tests.persons import without_persons
from witnessmark.record_tests.record_test import FAMILIES, catalogue
from witnessmark.record_tests.shown import shown
from witnessmark.records.mend import OUT, REFUSED
from witnessmark.report.model import Paper, TestPage
from witnessmark.report.run import PAGE
from witnessmark.web.desk.audit_page import TEAM, AuditPage, in_audit
from witnessmark.web.desk.job_kinds import TAKE_IN
from witnessmark.web.desk.working import kept, opened
from witnessmark.web.jobs.models import Job

PER_PAGE = 40
FAMILY_WORDS = {
    "staffing": "Staffing",
    "setup": "Set-up",
    "checks": "Checks",
    "gauges": "Gauges",
    "product": "Suspect product",
    "board": "Boards",
    "actions": "Actions",
}
STYLE = re.compile(rb"<style>(.*?)</style>", re.DOTALL)
INNER = ("shift_ref", "ref", "is_fragile", "sentence", "tolerance", "measured", "allowed")
"""Columns of a row that are for the engine; what they say stands in the sentence."""


@dataclass(frozen=True)
class Family:
    """The outcomes of one family."""

    word: str
    pages: list[TestPage]


@dataclass(frozen=True)
class StratumLine:
    """A stratum's value with the token by which it is laid on a trail; empty where it cannot."""

    row: Any
    token: str


@require_safe
@in_audit(tab="records")
def records(request: HttpRequest, page: AuditPage) -> HttpResponse:
    """What was taken in, the newest first, and work that is on its way."""
    freezes = sorted(page.state.freezes.values(), key=lambda one: one.at, reverse=True)
    context = {
        "freezes": [(one, kept.paper_of(one)) for one in freezes],
        "jobs": Job.objects.filter(audit_id=page.id, kind=TAKE_IN).order_by("-asked_at")[:3],
        "may_take_in": page.may(TakeInRecords),
    }
    return render(request, "desk/working/records.html", context)


@require_safe
@in_audit(tab="records")
def freeze(request: HttpRequest, page: AuditPage, freeze: str) -> HttpResponse:
    """What was frozen, and all outcomes by family."""
    item = kept.freeze_in(page.state, freeze)
    paper = kept.paper_of(item)
    to_mend = sorted(p.name for p in (kept.home_of(item) / OUT).glob("*") if p.is_file())
    context = {
        "freeze": item,
        "paper": paper,
        "families": families_of(paper) if paper else [],
        "to_mend": to_mend if page.is_team else [],
        "has_page": (kept.home_of(item) / PAGE).is_file(),
        "observations": sum(o.form != "free" for o in page.state.observations.values()),
    }
    return render(request, "desk/working/freeze.html", context)


def families_of(paper: Paper) -> list[Family]:
    """The test pages of a paper, family by family; those with exceptions first."""
    tests = catalogue()
    found: dict[str, list[TestPage]] = {name: [] for name in FAMILIES}
    for one in paper.tests:
        test = tests.get(one.slug)
        found.setdefault(test.family if test else "", []).append(one)
    return [
        Family(FAMILY_WORDS.get(name, "Others"), pages) for name, pages in found.items() if pages
    ]


@require_safe
@in_audit(tab="records")
def outcome(request: HttpRequest, page: AuditPage, freeze: str, slug: str) -> HttpResponse:
    """One record test: what it says, its numbers, criteria, strata and rows."""
    item = kept.freeze_in(page.state, freeze)
    test_page = kept.page_of(item, slug)
    if test_page is None:
        raise Http404
    refs = [str(row.get("ref")) for row in kept.rows_of(item, slug)]
    rows = Paginator(list(zip(test_page.rows, refs, strict=False)), PER_PAGE)
    test = kept.test_of(slug)
    context = {
        "freeze": item,
        "test": test_page,
        "family": FAMILY_WORDS.get(test.family, "") if test else "",
        "token": f"outcome:{item.freeze}:{slug}",
        "strata": [(one, _lines(item.freeze, test_page, one)) for one in test_page.strata],
        "rows": rows.get_page(request.GET.get("page")),
        "trails": trails_on(page, item.freeze, slug),
        "may_lay": page.is_team and item.outcomes.get(slug) is not None,
    }
    return render(request, "desk/working/outcome.html", context)


def _lines(freeze: str, page: TestPage, stratum: Any) -> list[StratumLine]:
    found = []
    for row in stratum.rows:
        key = kept.stratum_key(stratum, row)
        can = kept.stratum_in(page, key) is not None
        found.append(StratumLine(row, f"stratum:{freeze}:{page.slug}:{key}" if can else ""))
    return found


def trails_on(page: AuditPage, freeze: str, slug: str, ref: str = "") -> list[Trail]:
    """Trails on which a record test of these records lies, or one of its rows."""

    def cites(trail: Trail) -> bool:
        cited = [link.cited for link in trail.evidence] + ([trail.origin] if trail.origin else [])
        return any(
            one.freeze == freeze and one.slug == slug and (not ref or one.ref == ref)
            for one in cited
        )

    return [trail for trail in page.state.trails.values() if cites(trail)]


@require_safe
@in_audit(tab="records")
def row(request: HttpRequest, page: AuditPage, freeze: str, slug: str) -> HttpResponse:
    """One row; the ribbon of its day is drawn when it is asked for, at once where a script runs."""
    item = kept.freeze_in(page.state, freeze)
    ref = request.GET.get("ref", "")
    found = kept.row_of(item, slug, ref)
    paper = kept.paper_of(item)
    if found is None or paper is None:
        raise Http404
    shown_row, made = found
    bare = request.headers.get("HX-Request") == "true"
    is_drawn = bare or "draw" in request.GET
    context = {
        "freeze": item,
        "test": kept.page_of(item, slug),
        "row": shown_row,
        "values": values_of(made, paper),
        "token": f"row:{item.freeze}:{slug}:{ref}",
        "is_drawn": is_drawn,
        "ribbon": opened.ribbon_for(item, made) if is_drawn else None,
        "draw": request.path + "?" + urlencode({"ref": ref, "draw": "1"}),
        "trails": trails_on(page, item.freeze, slug, ref),
        "may_lay": page.is_team and item.outcomes.get(slug) is not None,
    }
    template = "desk/working/ribbon.html" if bare else "desk/working/row.html"
    return render(request, template, context)


def values_of(row: Row, paper: Paper) -> list[tuple[str, str]]:
    """What a row holds, as a reader sees it: plant time, no person."""
    zone = ZoneInfo(paper.title.zone)
    told: Mapping[str, object] = without_persons(row)
    return [
        (_column(name), shown(name, _plain(value), zone))
        for name, value in told.items()
        if name not in INNER and value is not None
    ]


def _column(name: str) -> str:
    for ending in ("_at", "_s", "_id"):
        name = name.removesuffix(ending)
    return name.replace("_", " ")


def _plain(value: object) -> object:
    at = opened.read_instant(value)
    return at.replace(tzinfo=None) if at else value


@require_safe
@in_audit(tab="records")
def working_paper(request: HttpRequest, page: AuditPage, freeze: str) -> HttpResponse:
    """The working paper: a page that carries its own style, and may do nothing else."""
    path = kept.home_of(kept.freeze_in(page.state, freeze)) / PAGE
    if not path.is_file():
        raise Http404
    content = path.read_bytes()
    response = HttpResponse(content, content_type="text/html; charset=utf-8")
    response.headers["Content-Security-Policy"] = paper_policy(content)
    return response


def paper_policy(content: bytes) -> str:
    """The policy of a self-contained page: the very styles it carries, no script, no request."""
    hashes = [
        f"'sha256-{base64.b64encode(hashlib.sha256(style).digest()).decode()}'"
        for style in STYLE.findall(content)
    ]
    styles = " ".join(hashes) or "'none'"
    return (
        f"default-src 'none'; style-src {styles}; img-src data:; form-action 'none'; "
        "base-uri 'none'; frame-ancestors 'none'; sandbox"
    )


@require_safe
@in_audit(tab="records", roles=TEAM)
def refused(request: HttpRequest, page: AuditPage, freeze: str) -> HttpResponseBase:
    """All refused rows as CSV, or those of one file to be mended."""
    home = kept.home_of(kept.freeze_in(page.state, freeze))
    name = request.GET.get("file", "")
    offered = {path.name: path for path in (home / OUT).glob("*") if path.is_file()}
    path = offered.get(name) if name else home / REFUSED
    if path is None or not path.is_file():
        raise Http404
    return FileResponse(path.open("rb"), as_attachment=True, filename=path.name)
