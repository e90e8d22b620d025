"""Trails as the pages show them: evidence in its column, the window that closes first, what next.

This module changes nothing and knows no template.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from witnessmark.audit.cited import Column
from witnessmark.audit.event import moment_of
from witnessmark.audit.items import Link, Trail
from witnessmark.audit.promises import Closing, NextStep, cheapest_next, closing_first
from witnessmark.web.desk.audit_page import AuditPage
from witnessmark.web.desk.working.pieces import Piece, marks_of, may_see, piece_of

COLUMNS: tuple[Column, ...] = ("said", "seen", "recorded")
BEARS = {"for": "for", "against": "against", "neutral": "neither"}
SHOWN = 3
"""Pieces in a column of the spine; the trail's own page shows all."""
FAR = "9999"


@dataclass
class Laid:
    """A piece of evidence on a trail.

    Args:
        page: The audit as the viewer sees it.
        link: How it was laid there.
        late: Whether it came after the trail was closed.
    """

    page: AuditPage
    link: Link
    late: bool = False

    @cached_property
    def piece(self) -> Piece | None:
        """What it is, looked up only where it is shown."""
        return piece_of(self.page, self.link.cited)

    @property
    def bears(self) -> str:
        """Which way it points, in a word."""
        return BEARS[self.link.bears]


@dataclass(frozen=True)
class Pillar:
    """One column of a trail."""

    column: Column
    laid: Sequence[Laid]

    @property
    def first(self) -> Sequence[Laid]:
        """What the spine shows."""
        return self.laid if len(self.laid) == SHOWN + 1 else self.laid[:SHOWN]

    @property
    def more(self) -> int:
        """How many further pieces the trail's own page shows."""
        return len(self.laid) - len(self.first)


class Strand:
    """A trail as one viewer sees it."""

    def __init__(self, page: AuditPage, trail: Trail) -> None:
        self._page = page
        self.trail = trail

    @cached_property
    def laid(self) -> list[Laid]:
        """All evidence that the viewer may see, in the order in which it was laid."""
        late = {link.id for link in self.trail.not_considered}
        return [
            Laid(self._page, link, link.id in late)
            for link in self.trail.evidence
            if may_see(self._page, link.cited)
        ]

    @cached_property
    def pillars(self) -> list[Pillar]:
        """Said, seen, recorded."""
        return [
            Pillar(column, [one for one in self.laid if one.link.cited.column == column])
            for column in COLUMNS
        ]

    @cached_property
    def late(self) -> int:
        """Pieces that came after the trail was closed."""
        return sum(one.late for one in self.laid)

    @cached_property
    def closes(self) -> Closing | None:
        """The window that closes first."""
        return None if self.trail.is_closed else closing_first(self._page.state, self.trail)

    @property
    def is_over(self) -> bool:
        """Whether that window has closed."""
        return self.closes is not None and moment_of(self.closes.at) < self._page.now

    @cached_property
    def step(self) -> NextStep | None:
        """The cheapest next step."""
        return cheapest_next(self._page.state, self.trail)

    @property
    def parent(self) -> Trail | None:
        """The trail that it branches from."""
        return self._page.state.trails.get(self.trail.parent)

    @property
    def origin(self) -> Piece | None:
        """What it started from, where the viewer may see it."""
        return piece_of(self._page, self.trail.origin) if self.trail.origin else None


def foresee(page: AuditPage, strands: Iterable[Strand]) -> None:
    """Reads the words that the first pieces of these trails show, in one look."""
    first = (one for strand in strands for pillar in strand.pillars for one in pillar.first)
    page.foresee(mark for one in first for mark in marks_of(page, one.link.cited))


def strands_of(page: AuditPage, trails: Iterable[Trail]) -> list[Strand]:
    """Trails as the viewer sees them."""
    return [Strand(page, trail) for trail in trails]


def by_window(strand: Strand) -> tuple[bool, str, str]:
    """Order: open before ended, the window that closes first, then the older trail."""
    return (
        strand.trail.is_closed,
        strand.closes.at if strand.closes else FAR,
        strand.trail.at,
    )
