"""A response is accepted or returned, with the reason."""

from typing import ClassVar, Literal

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.people import LEAD_ONLY, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class JudgeResponse(Action, frozen=True, kw_only=True):
    """Judges the last response of a finding. Accepting a plan is not closing the finding."""

    kind: ClassVar = "response-judged"
    does: ClassVar = "judge a response"
    allowed: ClassVar[Allowed] = LEAD_ONLY

    finding: str
    verdict: Literal["accepted", "returned"]
    reason: str

    def check(self, state: AuditState, actor: Actor) -> None:
        """There is a response, not judged yet, and a reason."""
        finding = state.need(state.findings, self.finding, "finding")
        if not finding.responses or finding.responses[-1].verdict:
            raise RefusedError("There is no response that waits to be judged.")
        if not self.reason.strip():
            raise RefusedError("Say why.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Marks it."""
        finding = state.findings.get(self.finding)
        if finding and finding.responses:
            response = finding.responses[-1]
            response.verdict, response.verdict_reason = self.verdict, self.reason
