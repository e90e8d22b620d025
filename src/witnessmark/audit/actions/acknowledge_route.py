"""The plant acknowledges that it was informed of suspect product, and says what it decided."""

from typing import ClassVar

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.people import Actor, Allowed, RefusedError, Role
from witnessmark.audit.state import AuditState


class AcknowledgeRoute(Action, frozen=True, kw_only=True):
    """Keeps the acknowledgement of the last step of the route.

    Args:
        decided: What the plant decided; notice to customers is the plant's.
    """

    kind: ClassVar = "route-acknowledged"
    does: ClassVar = "acknowledge that the plant was informed"
    allowed: ClassVar[Allowed] = {Role.LEAD: "any", Role.AUDITOR: "any", Role.AUDITEE: "own"}

    finding: str
    role: str
    decided: str = ""

    def owner(self, state: AuditState, supersedes: str) -> str | None:
        """The auditee whom the finding is addressed to."""
        finding = state.findings.get(self.finding)
        return finding.addressed_to if finding else None

    def check(self, state: AuditState, actor: Actor) -> None:
        """There is a step to acknowledge."""
        finding = state.need(state.findings, self.finding, "finding")
        if not finding.routes:
            raise RefusedError("Nobody was informed yet.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Marks the last step."""
        finding = state.findings.get(self.finding)
        if finding and finding.routes:
            route = finding.routes[-1]
            route.acknowledged_at, route.acknowledged_role = stamp.at, self.role
            route.plant_decided = self.decided
