"""An audit is opened: the first event of every journal."""

from typing import ClassVar

from witnessmark.audit.action import CREATES, Action, Stamp
from witnessmark.audit.items import Member
from witnessmark.audit.people import Actor, Allowed, RefusedError, Role
from witnessmark.audit.state import AuditState, Opening


class OpenAudit(Action, frozen=True, kw_only=True):
    """Opens an audit of one process at one site; whoever opens it leads it until others join.

    Args:
        zone: IANA name of the plant's time zone.
        starts_on: First day, as 2026-03-24.
        deadlines: Name of the profile of deadlines that answers are held against.
    """

    kind: ClassVar = "audit-opened"
    does: ClassVar = "open an audit"
    allowed: ClassVar[Allowed] = {Role.OWNER: "any", Role.LEAD: "any"}
    phase: ClassVar = CREATES

    title: str
    process: str
    site: str = ""
    zone: str = "UTC"
    language: str = "en"
    starts_on: str = ""
    ends_on: str = ""
    deadlines: str = "default"

    def check(self, state: AuditState, actor: Actor) -> None:
        """A journal has one opening."""
        if state.opening.opened_at:
            raise RefusedError("This audit is open already.")
        if not self.title.strip() or not self.process.strip():
            raise RefusedError("An audit needs a title and the process it looks at.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Sets the head of the audit and its first member."""
        state.opening = Opening(**self.body, opened_at=stamp.at)
        state.members.setdefault(
            stamp.author, Member(**stamp.base, user=stamp.author, role=Role.LEAD.value)
        )
