"""A trail is opened: a proposition, its innocent rival, and what would separate them."""

from typing import ClassVar

from witnessmark.audit.action import Creation, Stamp
from witnessmark.audit.cited import Cited, Grade
from witnessmark.audit.items import Trail
from witnessmark.audit.people import OWN_WORK, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class OpenTrail(Creation, frozen=True, kw_only=True):
    """Opens a trail; correcting it words it anew.

    Args:
        proposition: What would be the case; testable.
        rival: The innocent reading of the same evidence.
        origin: The sentence, sight or record that it starts from.
        highest_grade: The highest grade it could reach.
        next_step: The cheapest next step.
        closes_at: When the window closes that closes first.
        parent: The trail that it branches from.
        dropped_if: What would make the auditor drop it.
    """

    kind: ClassVar = "trail-opened"
    does: ClassVar = "open a trail"
    allowed: ClassVar[Allowed] = OWN_WORK
    collection: ClassVar = "trails"

    proposition: str
    rival: str = ""
    origin: Cited | None = None
    clauses: tuple[str, ...] = ()
    highest_grade: Grade = "minor"
    next_step: str = ""
    closes_at: str = ""
    parent: str = ""
    dropped_if: str = ""

    def check(self, state: AuditState, actor: Actor) -> None:
        """It says something, and a parent exists."""
        if not self.proposition.strip():
            raise RefusedError("Say what the trail proposes.")
        if self.parent:
            state.need(state.trails, self.parent, "trail")

    def build(self, stamp: Stamp) -> Trail:
        """The trail."""
        told = {k: getattr(self, k) for k in self.__struct_fields__}
        return Trail(**stamp.base, **told)
