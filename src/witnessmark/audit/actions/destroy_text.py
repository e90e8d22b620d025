"""The key of a personal text is destroyed; the chain stays whole, the text is gone for good."""

from typing import ClassVar

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.event import is_hash
from witnessmark.audit.people import LEAD_ONLY, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class DestroyText(Action, frozen=True, kw_only=True):
    """Keeps that, when and on what ground a text or photo was destroyed.

    Args:
        mark: Commitment of the text, or hash of the photo.
    """

    kind: ClassVar = "text-destroyed"
    does: ClassVar = "destroy a personal text"
    allowed: ClassVar[Allowed] = LEAD_ONLY

    mark: str
    reason: str

    def check(self, state: AuditState, actor: Actor) -> None:
        """It is a mark, and there is a reason."""
        if not is_hash(self.mark):
            raise RefusedError("Say which text or photo is to be destroyed.")
        if not self.reason.strip():
            raise RefusedError("Say on what ground it is destroyed.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Marks it, and a photo of that hash."""
        state.destroyed.add(self.mark)
        for photo in state.photos.values():
            if photo.sha256 == self.mark:
                photo.destroyed = True
