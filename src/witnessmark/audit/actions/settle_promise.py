"""A promise ends: done, refused, impossible or overtaken, never silently."""

from typing import ClassVar

from witnessmark.audit.action import ADDS, Action, Stamp
from witnessmark.audit.cited import Outcome
from witnessmark.audit.people import DESK, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class SettlePromise(Action, frozen=True, kw_only=True):
    """Says how a promise ended; the last word stands."""

    kind: ClassVar = "promise-settled"
    does: ClassVar = "settle a promise"
    allowed: ClassVar[Allowed] = DESK
    phase: ClassVar = ADDS

    promise: str
    outcome: Outcome
    note: str = ""

    def check(self, state: AuditState, actor: Actor) -> None:
        """It exists; what was not done has a reason."""
        state.need(state.promises, self.promise, "promise")
        if self.outcome != "done" and not self.note.strip():
            raise RefusedError(f"Say why it was {self.outcome}.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Marks it."""
        if item := state.promises.get(self.promise):
            item.outcome, item.settled_note, item.settled_at = self.outcome, self.note, stamp.at
        else:
            state.orphans.add(stamp.id)
