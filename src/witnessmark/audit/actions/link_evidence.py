"""A piece of evidence is laid on a trail: for it, against it, or neither."""

from typing import ClassVar

from witnessmark.audit.action import ADDS, Action, Stamp
from witnessmark.audit.cited import Bearing, Cited
from witnessmark.audit.items import Link
from witnessmark.audit.people import DESK, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState

ITEMS = {"statement", "observation", "document", "photo", "request"}


class LinkEvidence(Action, frozen=True, kw_only=True):
    """Lays evidence on a trail; what speaks against it stays as well.

    Args:
        bears: Which way it points.
        group: Independence; pieces of one source share a group and count as one.
        by_audited_function: Whether the function audited produced it itself.
    """

    kind: ClassVar = "evidence-linked"
    does: ClassVar = "lay evidence on a trail"
    allowed: ClassVar[Allowed] = DESK
    phase: ClassVar = ADDS

    trail: str
    cited: Cited
    bears: Bearing = "neutral"
    group: str = ""
    by_audited_function: bool = True
    note: str = ""

    def check(self, state: AuditState, actor: Actor) -> None:
        """Trail and item exist."""
        state.need(state.trails, self.trail, "trail")
        if self.cited.kind in ITEMS and state.item(self.cited.id) is None:
            raise RefusedError(f"There is no {self.cited.kind} {self.cited.id!r} in this audit.")
        if self.cited.kind not in ITEMS and not (self.cited.freeze and self.cited.slug):
            raise RefusedError("Evidence from records names its freeze and its record test.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Adds the piece."""
        if trail := state.trails.get(self.trail):
            link = Link(
                **stamp.base,
                cited=self.cited,
                bears=self.bears,
                group=self.group,
                by_audited_function=self.by_audited_function,
                note=self.note,
            )
            trail.evidence.append(link)
        else:
            state.orphans.add(stamp.id)
