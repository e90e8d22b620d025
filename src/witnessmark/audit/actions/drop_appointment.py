"""An appointment is dropped from the agenda, with the reason."""

from typing import ClassVar

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.people import DESK, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class DropAppointment(Action, frozen=True, kw_only=True):
    """Drops an appointment; it stays readable with its reason."""

    kind: ClassVar = "appointment-dropped"
    does: ClassVar = "drop an appointment"
    allowed: ClassVar[Allowed] = DESK

    appointment: str
    reason: str

    def check(self, state: AuditState, actor: Actor) -> None:
        """It exists, and there is a reason."""
        state.need(state.appointments, self.appointment, "appointment")
        if not self.reason.strip():
            raise RefusedError("Say why the appointment is dropped.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Marks it."""
        if item := state.appointments.get(self.appointment):
            item.dropped = self.reason
