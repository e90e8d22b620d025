"""The counts of the record tests on a freeze enter the journal."""

from typing import ClassVar

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.cited import TestResult
from witnessmark.audit.people import DESK, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class RecordOutcomes(Action, frozen=True, kw_only=True):
    """Keeps what each test counted and the digest it was counted under; rows lie with the freeze.

    A second run replaces the first of the same test; both stay in the journal.
    """

    kind: ClassVar = "outcomes-recorded"
    does: ClassVar = "record outcomes"
    allowed: ClassVar[Allowed] = DESK

    freeze: str
    results: tuple[TestResult, ...]

    def check(self, state: AuditState, actor: Actor) -> None:
        """The freeze is in this audit."""
        if self.freeze not in state.freezes:
            raise RefusedError("Take in the records before their outcomes.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Keeps the results."""
        if item := state.freezes.get(self.freeze):
            item.outcomes |= {result.slug: result for result in self.results}
