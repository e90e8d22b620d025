"""A trail is put aside or taken up again: open, waiting for its window, parked."""

from typing import ClassVar, Literal

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.people import DESK, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class PutTrail(Action, frozen=True, kw_only=True):
    """Changes the state of an open trail; a closed one is taken up again with a reason."""

    kind: ClassVar = "trail-put"
    does: ClassVar = "put a trail aside or take it up"
    allowed: ClassVar[Allowed] = DESK

    trail: str
    state: Literal["open", "waiting", "parked"]
    reason: str = ""
    return_at: str = ""

    def check(self, state: AuditState, actor: Actor) -> None:
        """What is put aside has a reason; what is parked, a time of return."""
        trail = state.need(state.trails, self.trail, "trail")
        if (self.state != "open" or trail.is_closed) and not self.reason.strip():
            raise RefusedError("Say why.")
        if self.state == "parked" and not self.return_at:
            raise RefusedError("A parked trail needs the time at which you come back to it.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """The last word stands."""
        if trail := state.trails.get(self.trail):
            trail.state, trail.reason, trail.return_at = self.state, self.reason, self.return_at
