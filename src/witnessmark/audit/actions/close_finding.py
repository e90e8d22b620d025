"""A finding is closed on verified effect, never on an action alone."""

from typing import ClassVar

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.people import LEAD_ONLY, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class CloseFinding(Action, frozen=True, kw_only=True):
    """Closes an issued finding, with the reason and until when recurrence is watched."""

    kind: ClassVar = "finding-closed"
    does: ClassVar = "close a finding"
    allowed: ClassVar[Allowed] = LEAD_ONLY

    finding: str
    reason: str
    watch_until: str = ""

    def check(self, state: AuditState, actor: Actor) -> None:
        """A nonconformity has an accepted response and a verification."""
        finding = state.need(state.findings, self.finding, "finding")
        if finding.state != "issued" or finding.grading is None:
            raise RefusedError("Only an issued finding is closed.")
        if not self.reason.strip():
            raise RefusedError("Say why it is closed.")
        if finding.grading.grade in {"minor", "major"}:
            if not any(item.verdict == "accepted" for item in finding.responses):
                raise RefusedError("Accept a response before the finding is closed.")
            if not finding.verifications:
                raise RefusedError("Verify the effect before the finding is closed.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Closes it."""
        if finding := state.findings.get(self.finding):
            finding.state, finding.closed_at = "closed", stamp.at
            finding.reason, finding.watch_until = self.reason, self.watch_until
