"""Something was promised to be looked at: with whom, where, until when."""

from typing import ClassVar

from witnessmark.audit.action import Creation, Stamp
from witnessmark.audit.event import moment_of
from witnessmark.audit.items import Promise
from witnessmark.audit.people import OWN_WORK, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class PromiseStep(Creation, frozen=True, kw_only=True):
    """Keeps a promise with its window, so that it is not written on the back of a hand.

    Args:
        earliest: From when it is possible; empty for now.
        latest: When the window closes; empty where nobody knows.
        window: What closes it: "planner leaves", "next handover".
        trail: The trail it serves, if any.
    """

    kind: ClassVar = "step-promised"
    does: ClassVar = "keep a promise"
    allowed: ClassVar[Allowed] = OWN_WORK
    collection: ClassVar = "promises"

    what: str
    with_role: str = ""
    place: str = ""
    earliest: str = ""
    latest: str = ""
    window: str = ""
    trail: str = ""

    def check(self, state: AuditState, actor: Actor) -> None:
        """It says what, and instants are instants."""
        if not self.what.strip():
            raise RefusedError("Say what was promised to be looked at.")
        for at in (self.earliest, self.latest):
            if at:
                moment_of(at)

    def build(self, stamp: Stamp) -> Promise:
        """The promise."""
        return Promise(**stamp.base, **{k: v for k, v in self.body.items() if k != "trail"})

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Keeps it and hangs it on its trail, a corrected one on that trail alone."""
        super().apply(state, stamp)
        id_ = stamp.supersedes or stamp.id
        if id_ not in state.promises:
            return
        for promised in state.promised.values():
            promised.pop(id_, None)
        state.promised.setdefault(self.trail, {})[id_] = None
