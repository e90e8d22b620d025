"""An appointment enters the agenda of the audit."""

from typing import ClassVar, Literal

from witnessmark.audit.action import Creation, Stamp
from witnessmark.audit.event import moment_of
from witnessmark.audit.items import Appointment
from witnessmark.audit.people import DESK, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState

Kind = Literal["handover", "interview", "floor", "records", "meeting", "writing", "free"]


class PlanAppointment(Creation, frozen=True, kw_only=True):
    """Plans who, where, when; a promise may be what it is for. Correcting it moves it.

    Args:
        worth: 1 can be dropped first, 3 must stay.
        moves: How often it was moved; people tolerate one move, two cost goodwill.
    """

    kind: ClassVar = "appointment-planned"
    does: ClassVar = "plan an appointment"
    allowed: ClassVar[Allowed] = DESK
    collection: ClassVar = "appointments"
    filled: ClassVar = ("kind",)

    what: str
    kind_of: Kind = "interview"
    with_role: str = ""
    place: str = ""
    shift: str = ""
    starts_at: str
    ends_at: str
    promise: str = ""
    auditor: str = ""
    worth: Literal[1, 2, 3] = 2
    moves: int = 0

    def check(self, state: AuditState, actor: Actor) -> None:
        """It ends after it starts."""
        if moment_of(self.ends_at) <= moment_of(self.starts_at):
            raise RefusedError("The appointment ends before it starts.")

    def build(self, stamp: Stamp) -> Appointment:
        """The appointment."""
        told = {k: v for k, v in self.body.items() if k != "kind_of"}
        return Appointment(**stamp.base, **told, kind=self.kind_of)
