"""One of the six questions is answered by the auditor, with the reason."""

from typing import ClassVar, Literal

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.items import Conclusion
from witnessmark.audit.people import LEAD_ONLY, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class ConcludeQuestion(Action, frozen=True, kw_only=True):
    """Keeps what the auditor concludes; what the records suggest stands beside it in the report.

    Args:
        question: Which of the six.
        answer: Whether it is done as documented.
        reason: In the auditor's own words.
    """

    kind: ClassVar = "question-concluded"
    does: ClassVar = "conclude a question"
    allowed: ClassVar[Allowed] = LEAD_ONLY

    question: Literal["staffed", "setup", "checked", "scheduled", "corrected", "known"]
    answer: Literal["yes", "partly", "no", "not determined"]
    reason: str

    def check(self, state: AuditState, actor: Actor) -> None:
        """There is a reason."""
        if not self.reason.strip():
            raise RefusedError("Write down why you conclude so.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """The last conclusion stands; earlier ones stay in the journal."""
        state.conclusions[self.question] = Conclusion(
            **stamp.base, question=self.question, answer=self.answer, reason=self.reason
        )
