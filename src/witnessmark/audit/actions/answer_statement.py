"""A statement is answered, declared untested, or found to name no criterion."""

from typing import ClassVar, Literal

from witnessmark.audit.action import ADDS, Action, Stamp
from witnessmark.audit.cited import Cited
from witnessmark.audit.items import Answer
from witnessmark.audit.people import DESK, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState

How = Literal["records", "observation", "document", "another person", "untested", "no criterion"]


class AnswerStatement(Action, frozen=True, kw_only=True):
    """Says by what a statement was answered; no statement ends silently.

    Args:
        how: What answered it; `untested` and `no criterion` end it with a reason instead.
        result: Whether what was found agrees with it.
        cited: What answered it.
        reason: In words; asked where nothing is cited.
    """

    kind: ClassVar = "statement-answered"
    does: ClassVar = "answer a statement"
    allowed: ClassVar[Allowed] = DESK
    phase: ClassVar = ADDS

    statement: str
    how: How
    result: Literal["agrees", "contradicts", "partly", "open"] = "open"
    cited: Cited | None = None
    reason: str = ""

    def check(self, state: AuditState, actor: Actor) -> None:
        """It exists, and is answered by something or with a reason."""
        state.need(state.statements, self.statement, "statement")
        if self.cited is None and not self.reason.strip():
            raise RefusedError("Say what the statement was answered by, or why it was not.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Adds the answer."""
        if statement := state.statements.get(self.statement):
            answer = Answer(
                **stamp.base,
                how=self.how,
                result=self.result,
                cited=self.cited,
                reason=self.reason,
            )
            statement.answers.append(answer)
        else:
            state.orphans.add(stamp.id)
