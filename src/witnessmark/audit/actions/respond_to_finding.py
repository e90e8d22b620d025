"""The auditee responds to a finding: containment, correction, cause, action."""

from typing import ClassVar

from msgspec import structs

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.items import Response
from witnessmark.audit.people import Actor, Allowed, RefusedError, Role
from witnessmark.audit.state import AuditState


class RespondToFinding(Action, frozen=True, kw_only=True):
    """Keeps a response; a later one stands beside it.

    Args:
        containment: What was held, where, since when.
        quantities: Of what was held, sorted, found.
        cause_occurrence: Why it happened.
        cause_detection: Why it was not noticed.
        cause_system: Why the system allowed it.
        owner_role: Who does it, by role.
        due: By when.
        implemented_on: The day it was done, where it is.
        similar_examined: Machines, shifts and processes looked at as well.
        documents_changed: PFMEA, control plan, staffing rule, with revisions.
    """

    kind: ClassVar = "finding-responded"
    does: ClassVar = "respond to a finding"
    allowed: ClassVar[Allowed] = {Role.AUDITEE: "own", Role.LEAD: "any"}

    finding: str
    containment: str = ""
    quantities: str = ""
    correction: str = ""
    cause_occurrence: str = ""
    cause_detection: str = ""
    cause_system: str = ""
    action: str = ""
    owner_role: str = ""
    due: str = ""
    implemented_on: str = ""
    similar_examined: str = ""
    documents_changed: str = ""

    def owner(self, state: AuditState, supersedes: str) -> str | None:
        """The auditee whom it is addressed to."""
        finding = state.findings.get(self.finding)
        return finding.addressed_to if finding else None

    def check(self, state: AuditState, actor: Actor) -> None:
        """The finding is issued."""
        finding = state.need(state.findings, self.finding, "finding")
        if finding.state != "issued":
            raise RefusedError("Only an issued finding is responded to.")
        if not (self.containment.strip() or self.action.strip()):
            raise RefusedError("Say what was contained, or what will be done.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Adds the response."""
        if finding := state.findings.get(self.finding):
            told = {k: v for k, v in structs.asdict(self).items() if k != "finding"}
            finding.responses.append(Response(**stamp.base, **told))
