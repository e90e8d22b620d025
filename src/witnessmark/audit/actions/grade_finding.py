"""A finding is graded by the auditor, in writing, beside what the tool proposed."""

from typing import ClassVar

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.cited import Grade
from witnessmark.audit.items import Grading
from witnessmark.audit.people import LEAD_ONLY, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class GradeFinding(Action, frozen=True, kw_only=True):
    """Decides the grade; the reason is the auditor's own.

    Args:
        proposed: What `grading.propose` said.
        inputs: The inputs it said it from, question to answer.
    """

    kind: ClassVar = "finding-graded"
    does: ClassVar = "grade a finding"
    allowed: ClassVar[Allowed] = LEAD_ONLY

    finding: str
    grade: Grade
    reason: str
    proposed: Grade = "none"
    inputs: dict[str, str] = {}

    def check(self, state: AuditState, actor: Actor) -> None:
        """It exists, is not issued, and there is a reason."""
        finding = state.need(state.findings, self.finding, "finding")
        if finding.state not in {"draft", "graded"}:
            raise RefusedError("The finding is issued; its grade stands.")
        if not self.reason.strip():
            raise RefusedError("Write down why you grade it so.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """The last grade stands; earlier ones stay readable."""
        if finding := state.findings.get(self.finding):
            grading = Grading(
                **stamp.base,
                grade=self.grade,
                reason=self.reason,
                proposed=self.proposed,
                inputs=self.inputs,
            )
            finding.gradings.append(grading)
            finding.grading, finding.state = grading, "graded"
