"""What was asked for has come, and what had changed since."""

from typing import ClassVar

from witnessmark.audit.action import ADDS, Action, Stamp
from witnessmark.audit.items import Receipt
from witnessmark.audit.people import DESK, Actor, Allowed
from witnessmark.audit.state import AuditState


class ReceiveEvidence(Action, frozen=True, kw_only=True):
    """Keeps what came, what differs from what was seen when asked, and the file's hash."""

    kind: ClassVar = "evidence-received"
    does: ClassVar = "take in evidence"
    allowed: ClassVar[Allowed] = DESK
    phase: ClassVar = ADDS

    request: str
    what: str = ""
    changed: str = ""
    sha256: str = ""

    def check(self, state: AuditState, actor: Actor) -> None:
        """It was asked for."""
        state.need(state.requests, self.request, "request")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Adds the receipt."""
        if item := state.requests.get(self.request):
            receipt = Receipt(
                **stamp.base, what=self.what, changed=self.changed, sha256=self.sha256
            )
            item.receipts.append(receipt)
        else:
            state.orphans.add(stamp.id)
