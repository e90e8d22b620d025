"""Reads a sealed audit: seal, parts, chain, signatures, marks; files go into a folder.

Nothing of the file is believed before it was held against the seal, and nothing in it says where a
file is put. This module recomputes no number.
"""

import hashlib
import re
from base64 import b64decode
from binascii import Error as Base64Error
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import msgspec

from witnessmark.audit.canonical import commitment
from witnessmark.audit.container import (
    FORM,
    HEADER,
    VERSION,
    BrokenSealError,
    SealedFile,
    name_of,
    open_sealed,
)
from witnessmark.audit.fold import fold
from witnessmark.audit.journal import Received, check_chain
from witnessmark.audit.parts import (
    KINDS,
    EntryPart,
    FilePart,
    Header,
    OutcomePart,
    Part,
    RowsPart,
    TextPart,
)
from witnessmark.audit.state import AuditState
from witnessmark.audit.withheld import marks_of
from witnessmark.errors import UnusableInputError, Where

FILE = re.compile(
    r"records/[0-9a-f]{8,64}/[A-Za-z0-9_][A-Za-z0-9_.-]{0,99}|attachments/[0-9a-f]{64}"
)
ATTACHMENTS = "attachments/"


@dataclass
class SealedAudit:
    """A sealed audit that is as it was sealed.

    Args:
        header: What it says of itself.
        key: Public key of the installation that sealed.
        received: Its journal.
        texts: Texts by mark, each held against its mark.
        outcomes: Counts by freeze and slug.
        rows: Cited rows by freeze and slug.
        files: Paths of its files by name, below the folder they were put into.
    """

    header: Header
    key: str
    received: list[Received] = field(default_factory=list)
    texts: dict[str, str] = field(default_factory=dict)
    outcomes: dict[tuple[str, str], OutcomePart] = field(default_factory=dict)
    rows: dict[tuple[str, str], RowsPart] = field(default_factory=dict)
    files: dict[str, Path] = field(default_factory=dict)

    @property
    def state(self) -> AuditState:
        """The audit, as far as the file tells it."""
        return fold(self.received)

    @property
    def marks(self) -> set[str]:
        """The marks of all sealed texts in its events."""
        events = [item.event for item in self.received if item.event is not None]
        return {mark for event in events for mark in marks_of(event)}


def read_sealed(path: Path, folder: Path) -> SealedAudit:
    """Reads a sealed audit and checks all of it but the numbers.

    Args:
        path: The file.
        folder: An empty folder of one's own, for the files in it.

    Raises:
        UnusableInputError: It cannot be read, is no sealed audit, or is of a newer version.
        BrokenSealError: A part is not as it was sealed, or does not fit the others.
        BrokenChainError: An entry is not as it was written.
    """
    sealed = open_sealed(path)
    reading = _Reading(sealed, folder)
    for name, part in sealed.parts():
        reading.take(name, part)
    return reading.finish()


class _Reading:
    def __init__(self, sealed: SealedFile, folder: Path) -> None:
        self.sealed, self.folder = sealed, folder
        self.audit: SealedAudit | None = None
        self.open: FilePart | None = None
        self.hashed = hashlib.sha256()

    def take(self, name: str, said: dict[str, Any]) -> None:
        if self.audit is None:
            self.audit = SealedAudit(self._header(name, said), self.sealed.seal.key)
            return
        part = _part(name, said)
        if self.open is not None and not isinstance(part, FilePart):
            raise BrokenSealError(f"file {self.open.name}", "its last pieces are missing.")
        match part:
            case EntryPart():
                self.audit.received.append(Received(part.entry, part.signature, part.event))
            case TextPart():
                if commitment(part.salt, part.text) != part.mark:
                    raise BrokenSealError(name, "it is not the text that its mark stands for.")
                self.audit.texts[part.mark] = part.text
            case OutcomePart():
                self.audit.outcomes[part.freeze, part.slug] = part
            case RowsPart():
                self.audit.rows[part.freeze, part.slug] = part
            case FilePart():
                self._piece(self.audit, name, part)
            case _:
                raise BrokenSealError(name, "a second header.")

    def finish(self) -> SealedAudit:
        """The whole, once its parts fit each other."""
        if self.audit is None:
            raise BrokenSealError(HEADER, "there is none.")
        if self.open is not None:
            raise BrokenSealError(f"file {self.open.name}", "its last pieces are missing.")
        header, received = self.audit.header, self.audit.received
        count = check_chain(received)
        last = received[-1].entry if received else None
        if last is None or (last.audit, last.hash) != (header.audit, header.head):
            raise BrokenSealError(HEADER, "it does not name the last entry of this journal.")
        hidden = sum(item.event is None for item in received)
        if (count, hidden) != (header.entries, header.withheld):
            raise BrokenSealError(HEADER, f"it says {header.entries} entries; there are {count}.")
        if stray := set(self.audit.texts) - self.audit.marks:
            raise BrokenSealError(_text_name(stray), "no event of the journal names it.")
        return self.audit

    def _header(self, name: str, said: dict[str, Any]) -> Header:
        if said.get("form") != FORM:
            raise BrokenSealError(name, "it is no header of a sealed audit.")
        if said.get("v") != VERSION:
            raise _newer(self.sealed.path)
        part = _part(name, said)
        if not isinstance(part, Header):
            raise BrokenSealError(name, "it is no header of a sealed audit.")
        return part

    def _piece(self, audit: SealedAudit, name: str, part: FilePart) -> None:
        """Adds a piece to its file; the last one closes it and proves it whole."""
        before = self.open.piece if self.open is not None else 0
        same = self.open is None or (self.open.name, self.open.sha256) == (part.name, part.sha256)
        fits = FILE.fullmatch(part.name) and ".." not in part.name and part.name not in audit.files
        if not fits or not same or part.piece != before + 1 or part.piece > part.pieces:
            raise BrokenSealError(name, "it is not the next piece of a file.")
        try:
            data = b64decode(part.data, validate=True)
        except (Base64Error, ValueError) as error:
            raise BrokenSealError(name, "it holds no bytes of a file.") from error
        path = self.folder / part.name
        path.parent.mkdir(parents=True, exist_ok=True)
        if part.piece == 1:
            self.hashed = hashlib.sha256()
        with path.open("wb" if part.piece == 1 else "ab") as file:
            file.write(data)
        self.hashed.update(data)
        self.open = part
        if part.piece == part.pieces:
            self._close(audit, name, part, path)

    def _close(self, audit: SealedAudit, name: str, part: FilePart, path: Path) -> None:
        wanted = part.name.removeprefix(ATTACHMENTS)
        digest = self.hashed.hexdigest()
        if digest != part.sha256 or wanted not in {part.name, digest}:
            raise BrokenSealError(name, "the file is not the one whose hash it names.")
        audit.files[part.name] = path
        self.open = None


def _part(name: str, said: dict[str, Any]) -> Part:
    kind = KINDS.get(str(said.get("part")))
    if kind is None:
        raise BrokenSealError(name, "it is a part that this version does not know.")
    try:
        return msgspec.convert(said, kind)
    except msgspec.ValidationError as error:
        raise BrokenSealError(name, f"it does not hold what it should: {error}.") from error


def _newer(path: Path) -> UnusableInputError:
    return UnusableInputError.one(
        Where(path.name),
        "it was sealed by a newer version.",
        f"form {VERSION}",
        "Take that version.",
    )


def _text_name(stray: Iterable[str]) -> str:
    return name_of({"part": "text", "mark": min(stray)})
