"""What the audit examines is stated, and what it leaves out."""

from typing import ClassVar

from msgspec import structs

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.people import LEAD_ONLY, Allowed
from witnessmark.audit.state import AuditState, Scope


class SetScope(Action, frozen=True, kw_only=True):
    """States boundaries, areas, shifts on which the process runs, and machines."""

    kind: ClassVar = "scope-set"
    does: ClassVar = "state the scope"
    allowed: ClassVar[Allowed] = LEAD_ONLY

    text: str
    not_in_scope: str = ""
    areas: tuple[str, ...] = ()
    shifts: tuple[str, ...] = ()
    machines: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """The last scope stands."""
        state.scope = Scope(**structs.asdict(self))
