"""An imminent danger was seen and told at once; the audit waits."""

from typing import ClassVar

from witnessmark.audit.action import Creation, Stamp
from witnessmark.audit.items import Danger
from witnessmark.audit.people import OWN_WORK, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class ReportDanger(Creation, frozen=True, kw_only=True):
    """Keeps that a danger was told, to which role, when. Telling comes first, writing after.

    Args:
        what: Commitment of what was seen.
    """

    kind: ClassVar = "danger-reported"
    does: ClassVar = "write down a danger"
    allowed: ClassVar[Allowed] = OWN_WORK
    collection: ClassVar = "dangers"
    sealed: ClassVar = ("what",)

    what: str = ""
    place: str = ""
    told_role: str
    told_at: str = ""

    def check(self, state: AuditState, actor: Actor) -> None:
        """Somebody was told."""
        if not self.told_role.strip():
            raise RefusedError("Tell whoever is in charge first; then write down their role.")

    def build(self, stamp: Stamp) -> Danger:
        """The danger."""
        return Danger(
            **stamp.base,
            what_sealed=self.what,
            place=self.place,
            told_role=self.told_role,
            told_at=self.told_at,
        )
