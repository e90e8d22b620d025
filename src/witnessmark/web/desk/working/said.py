"""Said: statements, their vague words, what answered them."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any
from uuid import UUID

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from witnessmark.audit.actions.answer_statement import AnswerStatement
from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.cited import Cited
from witnessmark.audit.items import Statement
from witnessmark.audit.vague import prompts, vague_words
from witnessmark.web.desk.asking import Asked, Deed, ask, id_of
from witnessmark.web.desk.audit_page import TEAM, AuditPage, in_audit
from witnessmark.web.desk.working.heard import FILTERS, Heard, heard_of, matches
from witnessmark.web.desk.working.laying import pieces_of
from witnessmark.web.desk.working.pieces import piece_of, read_token
from witnessmark.web.desk.working.said_forms import HOW, LANGUAGES, WITHOUT, AnswerForm, HearForm
from witnessmark.web.desk.working.spine import Filter

PER_PAGE = 30
ANSWERING = {
    "records": ("outcome",),
    "observation": ("observation", "photo"),
    "document": ("document", "request"),
    "another person": ("statement",),
}


def statement_of(page: AuditPage, id_: UUID) -> Statement:
    """A statement that the viewer may see.

    Raises:
        Http404: There is none.
    """
    found = page.state.statements.get(str(id_))
    if found is None or (found.protected and not page.is_team):
        raise Http404
    return found


def address(page: AuditPage, statement: str) -> str:
    """The address of a statement's page."""
    return reverse("desk:statement", args=(page.id, statement))


def marks_of(statements: Iterable[Statement]) -> Iterator[str]:
    """Marks of the words and translations of statements."""
    return (mark for item in statements for mark in (item.words_sealed, item.translation_sealed))


@require_safe
@in_audit(tab="said")
def said(request: HttpRequest, page: AuditPage) -> HttpResponse:
    """All statements, the newest first."""
    query = request.GET.get("q", "").strip()
    if query:
        page.foresee(marks_of(page.statements))
    every = sorted(page.statements, key=lambda item: item.at)[::-1]  # the last written first
    found = [item for item in every if matches(page, item, query)]
    filters = {name: [s for s in found if holds(s)] for name, (_, holds) in FILTERS.items()}
    shown = request.GET.get("show", "all")
    shown = shown if shown in filters else "all"
    rows = Paginator(filters[shown], PER_PAGE).get_page(request.GET.get("page"))
    page.foresee(marks_of(rows))
    context = {
        "filters": [
            Filter(name, FILTERS[name][0], len(items))
            for name, items in filters.items()
            if items or name in {"all", shown}
        ],
        "shown": shown,
        "query": query,
        "rows": rows,
        "heard": [heard_of(page, item) for item in rows],
        "how_many": len(every),
    }
    return render(request, "desk/working/said.html", context)


@require_safe
@in_audit(tab="said")
def statement(request: HttpRequest, page: AuditPage, statement: UUID) -> HttpResponse:
    """One statement, with the questions that its vague words prompt."""
    item = statement_of(page, statement)
    heard: Heard = heard_of(page, item)
    context = {
        "heard": heard,
        "item": item,
        "language": LANGUAGES.get(item.language, item.language),
        "prompts": prompts(item.language) if item.vague else (),
        "trails": heard.trails,
        "how": HOW,
        "may_correct": page.may_on(HearStatement(role="."), item.id),
    }
    return render(request, "desk/working/statement.html", context)


@require_http_methods(["GET", "POST"])
@in_audit(tab="said", roles=TEAM)
def hear(request: HttpRequest, page: AuditPage) -> HttpResponse:
    """Writes a new statement down."""
    form = HearForm(page, request.POST or None)

    def make(told: Mapping[str, Any]) -> Deed:
        return _heard(told, at=told["said_at"])

    asked = Asked(
        "Write down what was said",
        "Keep the statement",
        ("Said", reverse("desk:said", args=(page.id,))),
        "It proves that it was said, not that it is so.",
    )
    return ask(request, page, form, asked, make, lambda got: address(page, id_of(got)))


@require_http_methods(["GET", "POST"])
@in_audit(tab="said", roles=TEAM)
def correct(request: HttpRequest, page: AuditPage, statement: UUID) -> HttpResponse:
    """Corrects a statement; what it said before stays in the journal."""
    item = statement_of(page, statement)
    names = ("role", "place", "shift", "language", "read_back", "requirement", "protected")
    initial = {name: getattr(item, name) for name in names} | {
        "words": page.reveal(item.words_sealed) or "",
        "translation": page.reveal(item.translation_sealed) or "",
    }
    form = HearForm(page, request.POST or None, initial=initial, is_new=False)

    def make(told: Mapping[str, Any]) -> Deed:
        return _heard(told, supersedes=item.id)

    asked = Asked(
        "Correct the statement",
        "Keep it so",
        ("The statement", address(page, item.id)),
        "What it said before stays in the journal.",
    )
    return ask(request, page, form, asked, make)


@require_http_methods(["GET", "POST"])
@in_audit(tab="said", roles=TEAM)
def answer(request: HttpRequest, page: AuditPage, statement: UUID) -> HttpResponse:
    """Says what answered a statement, or why nothing did."""
    item = statement_of(page, statement)
    how = request.POST.get("how") or request.GET.get("how") or ""
    if how not in HOW:
        raise Http404
    query = request.GET.get("q", "").strip()
    pieces = [
        piece
        for kind in ANSWERING.get(how, ())
        for piece in pieces_of(page, kind, query, without={item.id})
    ]
    if request.method == "POST":  # what was chosen may stand beyond what a new look would offer
        token = request.POST.get("cited", "")
        if token and token not in {piece.token for piece in pieces}:
            chosen = piece_of(page, read_token(page, token))
            pieces += [chosen] if chosen and chosen.cited.id != item.id else []
    form = AnswerForm(how, pieces, request.POST or None)

    def make(told: Mapping[str, Any]) -> Deed:
        cited: Cited | None = read_token(page, told["cited"]) if told.get("cited") else None
        return Deed(
            AnswerStatement(
                statement=item.id,
                how=how,  # type: ignore[arg-type]  # one of HOW
                result=told.get("result", "open"),
                cited=cited,
                reason=told["reason"],
            )
        )

    title = "End it unanswered" if how in WITHOUT else f"Answer it: {HOW[how].lower()}"
    asked = Asked(title, "Keep it", ("The statement", address(page, item.id)))
    return ask(
        request,
        page,
        form,
        asked,
        make,
        template="desk/working/answer.html",
        piece=piece_of(page, Cited("statement", id=item.id)),
        how=how,
        query=query,
        can_search=how not in WITHOUT,
    )


def _heard(told: Mapping[str, Any], supersedes: str = "", at: str = "") -> Deed:
    names = ("role", "place", "shift", "language", "read_back", "requirement", "protected")
    action = HearStatement(
        **{name: told[name] for name in names},
        vague=vague_words(told["words"], told["language"]),
        # The check asks for a mark; the desk puts the real one in.
    )
    return Deed(action, {name: told[name] for name in ("words", "translation")}, supersedes, at)
