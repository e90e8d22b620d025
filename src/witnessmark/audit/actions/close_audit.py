"""The audit on site ends; follow-up of its findings goes on."""

from typing import ClassVar

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.people import LEAD_ONLY, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class CloseAudit(Action, frozen=True, kw_only=True):
    """Closes the work on site with the day of the closing meeting, from which deadlines count."""

    kind: ClassVar = "audit-closed"
    does: ClassVar = "close the audit on site"
    allowed: ClassVar[Allowed] = LEAD_ONLY

    closing_day: str

    def check(self, state: AuditState, actor: Actor) -> None:
        """No trail ends silently."""
        still = [t.proposition for t in state.trails.values() if not t.is_closed]
        if still:
            raise RefusedError(
                "These trails have not ended; close them, undetermined with a limitation if need "
                "be: " + "; ".join(still)
            )

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Marks the day."""
        state.closed_on = self.closing_day
