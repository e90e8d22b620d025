"""Something is seen, and written down in a form that records can be held against."""

from typing import Any, ClassVar

from witnessmark.audit.action import Creation, Stamp
from witnessmark.audit.event import moment_of
from witnessmark.audit.forms import check_values
from witnessmark.audit.items import Observation, Written
from witnessmark.audit.people import OWN_WORK, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class MakeObservation(Creation, frozen=True, kw_only=True):
    """Keeps what was seen, with the moment of seeing.

    Args:
        form: One of `forms.FORMS`; `free` for a sentence.
        values: What the form asks; checked against it.
        note: Commitment of a sentence.
        seen_at: When it was seen; empty for the moment of writing, the device's clock put right.
        photos: Ids of photos taken with it.
        agreed_by: Role of the person on the spot who agreed that it is so; empty for none.
    """

    kind: ClassVar = "observation-made"
    does: ClassVar = "write down an observation"
    allowed: ClassVar[Allowed] = OWN_WORK
    collection: ClassVar = "observations"
    sealed: ClassVar = ("note",)

    form: str = "free"
    machine: str = ""
    place: str = ""
    seen_at: str = ""
    values: dict[str, Any] = {}
    note: str = ""
    photos: tuple[str, ...] = ()
    agreed_by: str = ""

    def check(self, state: AuditState, actor: Actor) -> None:
        """The form has what it asks for, or there is a sentence."""
        if self.seen_at:
            moment_of(self.seen_at)
        faults = check_values(self.form, self.values)
        if faults:
            raise RefusedError(" ".join(faults))
        if self.form == "free" and not self.note and not self.photos:
            raise RefusedError("Write down what was seen.")

    def build(self, stamp: Stamp) -> Observation:
        """The observation."""
        told = {k: v for k, v in self.body.items() if k not in {"note", "photos"}}
        told["seen_at"] = self.seen_at or stamp.at
        return Observation(**stamp.base, **told, note_sealed=self.note, photos=self.photos)

    def _corrected(self, old: Written, new: Written, event: str) -> Written:
        corrected = super()._corrected(old, new, event)
        if not self.seen_at and isinstance(old, Observation) and isinstance(corrected, Observation):
            corrected.seen_at = old.seen_at  # a correction is written later than what was seen
        return corrected
