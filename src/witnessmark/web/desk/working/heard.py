"""Statements as the pages show them: words, what answered them, on which trails they lie."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from witnessmark.audit.items import Answer, Statement, Trail
from witnessmark.web.desk.audit_page import AuditPage
from witnessmark.web.desk.working.pieces import Piece, piece_of

ENDED = frozenset({"untested", "no criterion"})
Holds = Callable[[Statement], bool]
FILTERS: Mapping[str, tuple[str, Holds]] = {
    "all": ("All", bool),
    "unanswered": ("Unanswered", lambda item: not item.answers),
    "contradicted": (
        "Contradicted",
        lambda item: any(one.result == "contradicts" for one in item.answers),
    ),
    "untested": ("Untested", lambda item: _ended_as(item, "untested")),
    "no-criterion": ("No criterion", lambda item: _ended_as(item, "no criterion")),
    "vague": ("Vague", lambda item: bool(item.vague)),
    "protected": ("Protected", lambda item: item.protected),
}
RESULTS = {
    "agrees": "in agreement",
    "contradicts": "against it",
    "partly": "in agreement in part",
    "open": "not telling",
}


@dataclass(frozen=True)
class Answered:
    """An answer, with what it cites where the viewer may see that."""

    answer: Answer
    piece: Piece | None

    @property
    def is_ended(self) -> bool:
        """Whether the statement ended with a reason and nothing that answers it."""
        return self.answer.how in ENDED

    @property
    def tells(self) -> str:
        """What it tells, in words."""
        return RESULTS.get(self.answer.result, self.answer.result)


@dataclass(frozen=True)
class Heard:
    """A statement with what belongs to it; `words` None where they were destroyed."""

    item: Statement
    words: str | None
    translation: str | None
    answers: list[Answered]
    trails: list[Trail]

    @property
    def token(self) -> str:
        """How pages hand it on."""
        return f"statement:{self.item.id}"


def heard_of(page: AuditPage, item: Statement) -> Heard:
    """A statement as the viewer, who may see it, sees it."""
    return Heard(
        item,
        page.reveal(item.words_sealed),
        page.reveal(item.translation_sealed) if item.translation_sealed else "",
        [
            Answered(one, piece_of(page, one.cited) if one.cited else None)
            for one in item.answers
            if one.cited is None or piece_of(page, one.cited) is not None
        ],
        trails_with(page, item.id),
    )


def trails_with(page: AuditPage, id_: str) -> list[Trail]:
    """Trails on which an item lies, or that started from it."""
    return [
        trail
        for trail in page.state.trails.values()
        if (trail.origin and trail.origin.id == id_)
        or any(link.cited.id == id_ for link in trail.evidence)
    ]


def matches(page: AuditPage, item: Statement, query: str) -> bool:
    """Whether all words of a query stand in a statement, its role, place or shift."""
    if not query:
        return True
    texts = [item.role, item.place, item.shift, page.reveal(item.words_sealed) or ""]
    texts.append(page.reveal(item.translation_sealed) or "" if item.translation_sealed else "")
    told = " ".join(texts).casefold()
    return all(word in told for word in query.casefold().split())


def _ended_as(item: Statement, how: str) -> bool:
    return any(one.how == how for one in item.answers)
