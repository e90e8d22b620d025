"""Seals an audit: one file that verifies, and is re-performed, without a server.

What a protected source said, and what was destroyed, is never in it, whatever its width. This
module reads an installation through three functions that are handed to it.
"""

import hashlib
from base64 import b64encode
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from io import BytesIO
from pathlib import Path
from typing import BinaryIO

import msgspec

import witnessmark
from witnessmark.audit.claims import Claim, claims_of
from witnessmark.audit.container import Writer, name_of, new_file
from witnessmark.audit.event import Event, written
from witnessmark.audit.fold import fold
from witnessmark.audit.journal import Received, Store, check_chain
from witnessmark.audit.parts import (
    SAYS,
    EntryPart,
    FilePart,
    Header,
    Part,
    TextPart,
    Width,
)
from witnessmark.audit.recorded import outcome_part, rows_part
from witnessmark.audit.signing import Signer
from witnessmark.audit.state import AuditState
from witnessmark.audit.withheld import marks_of, withheld
from witnessmark.errors import UnusableInputError, Where
from witnessmark.record_tests.kept import NAME as OUTCOMES
from witnessmark.record_tests.kept import load_kept
from witnessmark.records.manifest import NAME as MANIFEST
from witnessmark.records.manifest import read_manifest, sha256_of

SUFFIX = ".witness"
PIECE = 512 * 1024
"""Bytes of a file on one line."""
BESIDE = ("plant.toml", "criteria.toml", "mapping.toml", "refused.csv", OUTCOMES)
"""What travels with a freeze where it is there, beside its manifest and tables."""
DESTROYED = "text-destroyed"


@dataclass(frozen=True)
class Installation:
    """What sealing needs of an installation.

    Args:
        store: Its journals.
        signer: Its key.
        records: The folder of a freeze by its identity; None where it is not there.
        attachment: The bytes of an attachment by SHA-256; None where destroyed or never there.
        clock: This moment.
    """

    store: Store
    signer: Signer
    records: Callable[[str], Path | None]
    attachment: Callable[[str], bytes | None]
    clock: Callable[[], datetime]


@dataclass
class Sealed:
    """What was sealed, and what was not.

    Args:
        path: The file.
        digest: Of the seal; stands for the whole file.
        entries: Journal entries.
        withheld: Events withheld, by place in the journal: kind and why. For the desk only.
        texts: Texts carried.
        files: Files carried.
        missing: What could not be carried, in words.
    """

    path: Path
    digest: str = ""
    entries: int = 0
    withheld: dict[int, tuple[str, str]] = field(default_factory=dict)
    texts: int = 0
    files: int = 0
    missing: list[str] = field(default_factory=list)


def seal(place: Installation, audit: str, out: Path, width: Width) -> Sealed:
    """Writes an audit as one sealed file.

    Args:
        place: The installation.
        audit: UUID of the audit.
        out: The new file; an existing one is never overwritten.
        width: How much it carries.

    Raises:
        UnusableInputError: No such audit, the file is there already or cannot be written, or a
            text was destroyed while it was written.
        BrokenChainError: The journal itself is not as it was written.
    """
    received = place.store.received(audit)
    if not received:
        raise UnusableInputError.one(Where(audit), "there is no such audit here.")
    check_chain(received)
    with new_file(out) as file:
        sealing = _Sealing(place, received, width, Sealed(out, entries=len(received)))
        sealing.write(Writer(file))
        later = place.store.received(audit, after=len(received))
        if any(item.event is not None and item.event.kind == DESTROYED for item in later):
            raise UnusableInputError.one(
                Where(str(out)), "a text was destroyed meanwhile.", mend="Seal again."
            )
    return sealing.said


class _Sealing:
    """One audit being written."""

    def __init__(
        self, place: Installation, received: Sequence[Received], width: Width, said: Sealed
    ) -> None:
        self.place, self.width, self.said = place, width, said
        events = [item.event for item in received if item.event is not None]
        hidden = withheld(events, place.store.reveal)
        self.received = [_without(item, hidden) for item in received]
        for item in received:
            if item.event is not None and item.event.id in hidden:
                said.withheld[item.entry.seq] = (item.event.kind, hidden[item.event.id])
        # Numbers are taken from what the reader will see, and nothing else.
        self.state: AuditState = fold(self.received)
        self.destroyed = fold(received).destroyed
        self.claims: list[Claim] = claims_of(self.state)

    def write(self, writer: Writer) -> None:
        for part in self._parts():
            writer.add(name_of(msgspec.to_builtins(part)), msgspec.to_builtins(part))
        self.said.digest = writer.close(self.place.signer)

    def _parts(self) -> Iterator[Part]:
        yield self._header()
        for item in self.received:
            yield EntryPart(entry=item.entry, signature=item.signature, event=item.event)
        if self.width == "everything":
            yield from self._texts()
        yield from self._outcomes()
        if self.width == "everything":
            for freeze in self.state.freezes:
                yield from self._records(freeze)
            yield from self._attachments()

    def _header(self) -> Header:
        last = self.received[-1].entry
        return Header(
            width=self.width,
            says=SAYS[self.width],
            audit=last.audit,
            entries=last.seq,
            head=last.hash,
            withheld=len(self.said.withheld),
            sealed_at=written(self.place.clock()),
            tool_version=witnessmark.__version__,
        )

    def _texts(self) -> Iterator[TextPart]:
        told: set[str] = set()
        for event in self._events():
            for mark in marks_of(event):
                payload = self.place.store.payload(mark)
                if mark in told or mark in self.destroyed or payload is None:
                    continue
                told.add(mark)
                self.said.texts += 1
                yield TextPart(mark=mark, salt=payload.salt, text=payload.text)

    def _outcomes(self) -> Iterator[Part]:
        for freeze in self.state.freezes:
            folder = self.place.records(freeze)
            kept = {item.slug: item for item in load_kept(folder)} if folder else {}
            if not kept:
                self.said.missing.append(f"The outcomes of the records {freeze} are not kept here.")
            for slug, outcome in sorted(kept.items()):
                cited = [c for c in self.claims if (c.freeze, c.slug) == (freeze, slug)]
                own = [claim for claim in cited if not claim.recorded]
                yield outcome_part(freeze, outcome, {c.stratum for c in cited if c.stratum})
                if own and self.width != "outcomes":
                    strata = {c.stratum for c in own if c.what != "row"}
                    refs = {str(c.said) for c in own if c.what == "row"}
                    if (part := rows_part(freeze, outcome, strata, refs)) is not None:
                        yield part

    def _records(self, freeze: str) -> Iterator[FilePart]:
        folder = self.place.records(freeze)
        manifest = read_manifest(folder) if folder else None
        if folder is None or manifest is None:
            self.said.missing.append(f"The records {freeze} are not here.")
            return
        tables = sorted(table.file for table in manifest.tables.values())
        for name in (MANIFEST, *BESIDE, *tables):
            path = folder / name
            if path.is_file():
                digest, size = sha256_of(path), path.stat().st_size
                with path.open("rb") as file:
                    yield from self._file(f"records/{freeze}/{name}", digest, size, file)

    def _attachments(self) -> Iterator[FilePart]:
        receipts = [r.sha256 for item in self.state.requests.values() for r in item.receipts]
        for digest in dict.fromkeys([*(p.sha256 for p in self.state.photos.values()), *receipts]):
            if not digest or digest in self.destroyed:
                continue
            data = self.place.attachment(digest)
            if data is None:
                self.said.missing.append(f"The attachment {digest} is not here.")
            else:
                found = hashlib.sha256(data).hexdigest()
                yield from self._file(f"attachments/{digest}", found, len(data), BytesIO(data))

    def _file(self, name: str, digest: str, size: int, file: BinaryIO) -> Iterator[FilePart]:
        pieces = max(1, -(-size // PIECE))
        self.said.files += 1
        for piece in range(1, pieces + 1):
            yield FilePart(
                name=name,
                piece=piece,
                pieces=pieces,
                sha256=digest,
                size=size,
                data=b64encode(file.read(PIECE)).decode(),
            )

    def _events(self) -> list[Event]:
        return [item.event for item in self.received if item.event is not None]


def _without(item: Received, hidden: dict[str, str]) -> Received:
    if item.event is None or item.event.id not in hidden:
        return item
    return Received(item.entry, item.signature, None)
