"""The documents and clauses that the process is held against, each in the revision valid then."""

from typing import ClassVar

import msgspec

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.people import LEAD_ONLY, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState, Criterion


class CriterionBody(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One document of the plant, its revision, and the clauses that it serves."""

    document: str
    revision: str = ""
    valid_on: str = ""
    clauses: tuple[str, ...] = ()


class SetCriteria(Action, frozen=True, kw_only=True):
    """States all documents that the audit holds the process against."""

    kind: ClassVar = "criteria-set"
    does: ClassVar = "state the criteria"
    allowed: ClassVar[Allowed] = LEAD_ONLY

    documents: tuple[CriterionBody, ...]

    def check(self, state: AuditState, actor: Actor) -> None:
        """A document without its revision is no criterion."""
        bare = [item.document for item in self.documents if not item.revision.strip()]
        if bare:
            raise RefusedError(f"State the revision valid then of {', '.join(bare)}.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """The last list stands."""
        state.criteria = [
            Criterion(item.document, item.revision, item.valid_on, item.clauses)
            for item in self.documents
        ]
