"""Evidence is asked for, with what could be seen of it at that moment."""

from typing import ClassVar

from witnessmark.audit.action import Creation, Stamp
from witnessmark.audit.items import Request
from witnessmark.audit.people import OWN_WORK, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class RequestEvidence(Creation, frozen=True, kw_only=True):
    """Asks a role for something, and keeps what was seen when it was asked."""

    kind: ClassVar = "evidence-requested"
    does: ClassVar = "ask for evidence"
    allowed: ClassVar[Allowed] = OWN_WORK
    collection: ClassVar = "requests"

    what: str
    asked_role: str = ""
    seen_when_asked: str = ""
    due: str = ""

    def check(self, state: AuditState, actor: Actor) -> None:
        """Something is asked for."""
        if not self.what.strip():
            raise RefusedError("Say what is asked for.")

    def build(self, stamp: Stamp) -> Request:
        """The request."""
        return Request(**stamp.base, **self.body)
