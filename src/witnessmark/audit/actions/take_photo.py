"""A photo is taken, or another file attached; the file itself is kept by its hash."""

from typing import ClassVar, Literal

from witnessmark.audit.action import Creation, Stamp
from witnessmark.audit.event import is_hash
from witnessmark.audit.items import Photo
from witnessmark.audit.people import OWN_WORK, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState

Permission = Literal["given", "not-needed", "kept-by-plant"]


class TakePhoto(Creation, frozen=True, kw_only=True):
    """Names a file by its hash; the bytes travel beside the journal.

    Args:
        sha256: Of the file's bytes.
        size: In bytes.
        permission: On what ground it was taken.
    """

    kind: ClassVar = "photo-taken"
    does: ClassVar = "attach a photo"
    allowed: ClassVar[Allowed] = OWN_WORK
    collection: ClassVar = "photos"

    sha256: str
    media_type: str = "image/jpeg"
    size: int = 0
    caption: str = ""
    permission: Permission = "given"

    def check(self, state: AuditState, actor: Actor) -> None:
        """The hash is one."""
        if not is_hash(self.sha256):
            raise RefusedError("The photo does not say its hash.")

    def build(self, stamp: Stamp) -> Photo:
        """The photo."""
        return Photo(**stamp.base, **self.body)
