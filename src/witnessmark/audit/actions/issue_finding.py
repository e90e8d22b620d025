"""A finding is issued to whom it is addressed; from then on its words stand."""

from typing import ClassVar

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.people import LEAD_ONLY, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class IssueFinding(Action, frozen=True, kw_only=True):
    """Issues a graded finding with its dates.

    Args:
        addressed_to: Code of the auditee's account, or empty where answers come on paper.
        due: Step to date, from the profile of deadlines (`deadlines`).
    """

    kind: ClassVar = "finding-issued"
    does: ClassVar = "issue a finding"
    allowed: ClassVar[Allowed] = LEAD_ONLY

    finding: str
    addressed_to: str = ""
    due: dict[str, str] = {}

    def check(self, state: AuditState, actor: Actor) -> None:
        """Graded, with a requirement and facts."""
        finding = state.need(state.findings, self.finding, "finding")
        if finding.state != "graded" or finding.grading is None:
            raise RefusedError("Grade the finding before it is issued.")
        if finding.grading.grade in {"minor", "major"} and not finding.facts:
            raise RefusedError("A nonconformity without a fact cannot be issued.")
        if finding.suspect_product and not finding.routes:
            raise RefusedError(
                "Suspect product may have left: start the plant's information route first."
            )

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Issues it."""
        if finding := state.findings.get(self.finding):
            finding.state, finding.issued_at = "issued", stamp.at
            finding.addressed_to, finding.due = self.addressed_to, self.due
