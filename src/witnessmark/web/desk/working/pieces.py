"""A piece of evidence as a reader sees it, and the short token by which pages hand it on.

What the viewer may not see has no piece: a protected source is nobody outside the team.
"""

from dataclasses import dataclass
from urllib.parse import urlencode

from django.http import Http404
from django.urls import reverse
from msgspec.structs import replace

from witnessmark.audit.cited import Cited
from witnessmark.audit.event import is_uuid
from witnessmark.audit.items import Document, Freeze, Observation, Photo, Request, Statement
from witnessmark.report.words import x_of_n
from witnessmark.web.desk.audit_page import AuditPage
from witnessmark.web.desk.working import kept, observed

ITEMS = {
    "statement": "statements",
    "observation": "observations",
    "document": "documents",
    "photo": "photos",
    "request": "requests",
}
"""Kinds that are items of the audit, and where the state keeps them."""
WORDS = {
    "statement": "statement",
    "observation": "observation",
    "document": "document",
    "photo": "photo",
    "request": "evidence asked for",
    "outcome": "record test",
    "stratum": "part of a record test",
    "row": "row of the records",
}
RESULTS = 3


@dataclass(frozen=True)
class Piece:
    """What is cited.

    Args:
        cited: The reference.
        text: Its words; a statement's in the language it was made in.
        under: Who, where, from which test: what stands below, short.
        href: Where it stands.
        at: When; empty for records.
        quoted: Whether the words are somebody's.
        protected: Whether it is of a protected source; only the team ever sees this.
        stale: Whether the numbers were counted anew since it was cited.
    """

    cited: Cited
    text: str
    under: tuple[str, ...]
    href: str
    at: str = ""
    quoted: bool = False
    protected: bool = False
    stale: bool = False

    @property
    def kind(self) -> str:
        """What it is, in words."""
        return WORDS[self.cited.kind]

    @property
    def token(self) -> str:
        """How pages hand it on."""
        return token_of(self.cited)


def token_of(cited: Cited) -> str:
    """A reference as it stands in an address or a form."""
    if cited.kind in ITEMS:
        return f"{cited.kind}:{cited.id}"
    last = {"stratum": cited.stratum, "row": cited.ref}.get(cited.kind, "")
    return ":".join(part for part in (cited.kind, cited.freeze, cited.slug, last) if part)


def read_token(page: AuditPage, token: str) -> Cited:
    """The reference of a token, with the counts as they stand now.

    Raises:
        Http404: Nothing of this audit that the viewer may see.
    """
    kind, _, rest = token.partition(":")
    if kind in ITEMS:
        cited = Cited(kind, id=rest)  # type: ignore[arg-type]  # one of ITEMS
        if not is_uuid(rest) or piece_of(page, cited) is None:
            raise Http404
        return cited
    parts = rest.split(":", 2)
    if kind not in {"outcome", "stratum", "row"} or len(parts) != (
        RESULTS - 1 if kind == "outcome" else RESULTS
    ):
        raise Http404
    return _result(kept.freeze_in(page.state, parts[0]), kind, parts[1], "".join(parts[2:]))


def may_see(page: AuditPage, cited: Cited) -> bool:
    """Whether what is cited is there, and the viewer may see it."""
    if cited.kind not in ITEMS:
        return True
    item = getattr(page.state, ITEMS[cited.kind]).get(cited.id)
    hidden = isinstance(item, Statement) and item.protected and not page.is_team
    return item is not None and not hidden


def marks_of(page: AuditPage, cited: Cited) -> tuple[str, ...]:
    """Marks of the texts that a piece shows."""
    item = page.state.item(cited.id) if cited.kind in ITEMS else None
    match item:
        case Statement():
            return (item.words_sealed,)
        case Observation():
            return (item.note_sealed,)
        case Document():
            return (item.text_sealed,)
    return ()


def piece_of(page: AuditPage, cited: Cited) -> Piece | None:
    """What is cited, as the viewer may see it; None where it may not, or is not there."""
    if cited.kind not in ITEMS:
        return _of_records(page, cited)
    if not may_see(page, cited):
        return None
    item = getattr(page.state, ITEMS[cited.kind])[cited.id]
    match item:
        case Statement():
            return _statement(page, cited, item)
        case Observation():
            under = (observed.title_of(item), item.place)
            text = observed.sentence_of(item, page)
            return Piece(
                cited,
                text,
                _said(under),
                reverse("desk:seen-item", args=(page.id, item.id)),
                item.seen_at,
            )
        case Document():
            name = " ".join(_said((item.title, item.revision and f"rev. {item.revision}")))
            text = page.reveal(item.text_sealed) or f"Kept by the plant, receipt {item.receipt}"
            place = item.page and f"page {item.page}"
            return Piece(
                cited,
                text,
                _said((name, place)),
                reverse("desk:seen-item", args=(page.id, item.id)),
                item.at,
                quoted=True,
            )
        case Photo():
            text = item.caption or "Photo without a caption"
            return Piece(
                cited, text, (), reverse("desk:seen-item", args=(page.id, item.id)), item.at
            )
        case Request():
            came = "received" if item.receipts else "not received yet"
            under = (item.asked_role, came)
            return Piece(
                cited,
                item.what,
                _said(under),
                reverse("desk:request", args=(page.id, item.id)),
                item.at,
            )
    return None


def _statement(page: AuditPage, cited: Cited, item: Statement) -> Piece:
    words = page.reveal(item.words_sealed)
    return Piece(
        cited,
        words if words is not None else "(these words were destroyed)",
        _said((item.role, item.place)),
        reverse("desk:statement", args=(page.id, item.id)),
        item.at,
        quoted=words is not None,
        protected=item.protected,
    )


def _result(freeze: Freeze, kind: str, slug: str, last: str) -> Cited:
    result = kept.counted(freeze, slug)
    if result is None:
        raise Http404
    told = Cited("outcome", freeze=freeze.freeze, slug=slug, digest=result.digest)
    if kind == "outcome":
        return replace(told, exceptions=result.exceptions, assessed=result.assessed)
    if kind == "row":
        if kept.row_of(freeze, slug, last) is None:
            raise Http404
        return replace(told, kind="row", ref=last)
    page = kept.page_of(freeze, slug)
    found = kept.stratum_in(page, last) if page else None
    if found is None:
        raise Http404
    rate = found[1].rate
    counts = {"exceptions": rate.exceptions, "assessed": rate.assessed}
    return replace(told, kind="stratum", stratum=last, **counts)


def _of_records(page: AuditPage, cited: Cited) -> Piece:
    freeze, test = page.state.freezes.get(cited.freeze), kept.test_of(cited.slug)
    counts = ""
    if cited.assessed is not None and cited.exceptions is not None:
        counts = x_of_n(cited.exceptions, cited.assessed)
    text = test.finding if test else cited.slug
    if cited.kind == "row":
        row = kept.row_of(freeze, cited.slug, cited.ref) if freeze else None
        text = row[0].sentence if row else text
    part = cited.stratum.replace("=", " ") if cited.kind == "stratum" else ""
    return Piece(
        cited,
        f"{counts}: {text}" if counts else text,
        _said((part, cited.slug, freeze.period if freeze else "")),
        _records_href(page, cited) if freeze else "",
        stale=kept.is_counted_anew(page.state, cited),
    )


def _records_href(page: AuditPage, cited: Cited) -> str:
    if cited.kind == "row":
        row = reverse("desk:row", args=(page.id, cited.freeze, cited.slug))
        return f"{row}?{urlencode({'ref': cited.ref})}"
    anchor = "#strata" if cited.kind == "stratum" else ""
    return reverse("desk:outcome", args=(page.id, cited.freeze, cited.slug)) + anchor


def _said(parts: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(part for part in parts if part)
