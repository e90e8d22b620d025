"""What was not examined is declared, with why and what it means."""

from typing import ClassVar

from witnessmark.audit.action import Creation, Stamp
from witnessmark.audit.items import Limitation
from witnessmark.audit.people import DESK, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class DeclareLimitation(Creation, frozen=True, kw_only=True):
    """Declares a limitation of the audit."""

    kind: ClassVar = "limitation-declared"
    does: ClassVar = "declare a limitation"
    allowed: ClassVar[Allowed] = DESK
    collection: ClassVar = "limitations"

    what: str
    why: str
    effect: str = ""
    trail: str = ""

    def check(self, state: AuditState, actor: Actor) -> None:
        """What, and why."""
        if not self.what.strip() or not self.why.strip():
            raise RefusedError("Say what was not examined, and why.")

    def build(self, stamp: Stamp) -> Limitation:
        """The limitation."""
        return Limitation(**stamp.base, **self.body)
