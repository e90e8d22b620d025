"""A closed finding is opened again."""

from typing import ClassVar

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.people import LEAD_ONLY, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class ReopenFinding(Action, frozen=True, kw_only=True):
    """Opens a closed finding again, with what was seen.

    Args:
        recurrence: Whether the same was found again, as against an effect not shown after all.
    """

    kind: ClassVar = "finding-reopened"
    does: ClassVar = "open a finding again"
    allowed: ClassVar[Allowed] = LEAD_ONLY

    finding: str
    reason: str
    recurrence: bool = False

    def check(self, state: AuditState, actor: Actor) -> None:
        """It is closed, and there is a reason."""
        finding = state.need(state.findings, self.finding, "finding")
        if finding.state != "closed":
            raise RefusedError("Only a closed finding is opened again.")
        if not self.reason.strip():
            raise RefusedError("Say what was seen.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Opens it."""
        if finding := state.findings.get(self.finding):
            finding.state, finding.reason = "issued", self.reason
            if self.recurrence:
                finding.recurrences.append(self.reason)
