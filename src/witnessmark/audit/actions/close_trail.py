"""A trail ends, supported, refuted, undetermined or transferred; never silently."""

from typing import ClassVar, Literal

import msgspec

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.exhaustion import needed_for
from witnessmark.audit.items import Condition
from witnessmark.audit.people import DESK, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class ConditionBody(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How one of the seven conditions was judged, in words."""

    key: str
    met: bool
    said: str = ""


class CloseTrail(Action, frozen=True, kw_only=True):
    """Closes a trail against the conditions of its highest grade; open ones are a limitation.

    Args:
        conditions: The seven conditions as judged (see `exhaustion`).
        conclusion: What is concluded, in a sentence.
        considered: Ids of the pieces of evidence that lay on it; what comes later is shown as such.
        limitation: What the open conditions mean; needed where one is open.
    """

    kind: ClassVar = "trail-closed"
    does: ClassVar = "close a trail"
    allowed: ClassVar[Allowed] = DESK

    trail: str
    verdict: Literal["supported", "refuted", "undetermined", "transferred"]
    conclusion: str
    conditions: tuple[ConditionBody, ...] = ()
    limitation: str = ""
    considered: tuple[str, ...] = ()

    def check(self, state: AuditState, actor: Actor) -> None:
        """Conclusion, and a limitation for whatever needed condition stays open."""
        trail = state.need(state.trails, self.trail, "trail")
        if trail.is_closed:
            raise RefusedError("The trail is closed; take it up again first.")
        if not self.conclusion.strip():
            raise RefusedError("Write down what is concluded.")
        if not trail.rival.strip() and self.verdict == "supported":
            raise RefusedError("Write down the innocent rival before the trail is supported.")
        met = {item.key for item in self.conditions if item.met and item.said.strip()}
        missing = [need for need in needed_for(trail.highest_grade) if need not in met]
        needs_limit = bool(missing) or self.verdict == "undetermined"
        if needs_limit and self.verdict != "transferred" and not self.limitation.strip():
            raise RefusedError(
                "Declare what stays open as a limitation: " + ", ".join(missing or ["undetermined"])
            )

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Ends the trail and keeps which evidence the closing saw."""
        trail = state.trails.get(self.trail)
        if trail is None:
            return
        trail.state, trail.conclusion, trail.limitation = (
            self.verdict,
            self.conclusion,
            self.limitation,
        )
        trail.conditions = [Condition(c.key, c.met, c.said) for c in self.conditions]
        trail.considered = frozenset(self.considered)
