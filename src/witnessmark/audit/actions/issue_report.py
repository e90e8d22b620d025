"""A report is issued; the journal keeps its hash and from which entry it was made."""

from typing import ClassVar, Literal

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.event import is_hash
from witnessmark.audit.items import Report
from witnessmark.audit.people import LEAD_ONLY, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class IssueReport(Action, frozen=True, kw_only=True):
    """Keeps the hash of an issued report."""

    kind: ClassVar = "report-issued"
    does: ClassVar = "issue a report"
    allowed: ClassVar[Allowed] = LEAD_ONLY

    sha256: str
    form: Literal["pdf", "workbook", "json", "nonconformity"] = "pdf"
    head: str

    def check(self, state: AuditState, actor: Actor) -> None:
        """Both hashes are hashes."""
        if not is_hash(self.sha256) or not is_hash(self.head):
            raise RefusedError("A report is issued with its hash and the entry it was made from.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Keeps it."""
        state.reports[stamp.id] = Report(
            **stamp.base, sha256=self.sha256, form=self.form, head=self.head
        )
