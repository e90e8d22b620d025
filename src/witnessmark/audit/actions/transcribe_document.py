"""A document is read where no photo is allowed: transcribed, or kept by the plant."""

from typing import ClassVar

from witnessmark.audit.action import Creation, Stamp
from witnessmark.audit.items import Document
from witnessmark.audit.people import OWN_WORK, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class TranscribeDocument(Creation, frozen=True, kw_only=True):
    """Keeps document, revision, page and the words read there.

    Args:
        text: Commitment of the transcription.
        receipt: Number under which the plant keeps the original for the auditor.
    """

    kind: ClassVar = "document-transcribed"
    does: ClassVar = "transcribe a document"
    allowed: ClassVar[Allowed] = OWN_WORK
    collection: ClassVar = "documents"
    sealed: ClassVar = ("text",)

    title: str
    revision: str = ""
    page: str = ""
    text: str = ""
    receipt: str = ""
    place: str = ""

    def check(self, state: AuditState, actor: Actor) -> None:
        """It is named, and something of it is kept."""
        if not self.title.strip():
            raise RefusedError("Say which document it is.")
        if not self.text and not self.receipt.strip():
            raise RefusedError("Write down what it says, or the receipt under which it is kept.")

    def build(self, stamp: Stamp) -> Document:
        """The document."""
        told = {k: v for k, v in self.body.items() if k != "text"}
        return Document(**stamp.base, **told, text_sealed=self.text)
