"""The facts of a finding are acknowledged, or contradicted, by the process owner's side."""

from typing import ClassVar

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.people import Actor, Allowed, RefusedError, Role
from witnessmark.audit.state import AuditState


class AcknowledgeFacts(Action, frozen=True, kw_only=True):
    """Keeps who, by role, heard the facts, and what they said to them. It is no confession.

    Args:
        note: What they said, also where they see it otherwise.
    """

    kind: ClassVar = "facts-acknowledged"
    does: ClassVar = "acknowledge the facts of a finding"
    allowed: ClassVar[Allowed] = {Role.LEAD: "any", Role.AUDITOR: "any", Role.AUDITEE: "own"}

    finding: str
    role: str
    note: str = ""

    def owner(self, state: AuditState, supersedes: str) -> str | None:
        """The auditee whom it is addressed to."""
        finding = state.findings.get(self.finding)
        return finding.addressed_to if finding else None

    def check(self, state: AuditState, actor: Actor) -> None:
        """It exists, and a role is named."""
        state.need(state.findings, self.finding, "finding")
        if not self.role.strip():
            raise RefusedError("Say in which role the facts were heard.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Marks it."""
        if finding := state.findings.get(self.finding):
            finding.acknowledged_at = stamp.at
            finding.acknowledged_role, finding.acknowledged_note = self.role, self.note
