"""A finding is withdrawn, with the reason; it stays readable."""

from typing import ClassVar

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.people import LEAD_ONLY, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class WithdrawFinding(Action, frozen=True, kw_only=True):
    """Withdraws a finding as willingly as it was raised."""

    kind: ClassVar = "finding-withdrawn"
    does: ClassVar = "withdraw a finding"
    allowed: ClassVar[Allowed] = LEAD_ONLY

    finding: str
    reason: str

    def check(self, state: AuditState, actor: Actor) -> None:
        """It exists, and there is a reason."""
        state.need(state.findings, self.finding, "finding")
        if not self.reason.strip():
            raise RefusedError("Say why the finding is withdrawn.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Marks it."""
        if finding := state.findings.get(self.finding):
            finding.state, finding.reason = "withdrawn", self.reason
