"""The form of a sealed file: lines of canonical JSON, one part per line, the last one a seal.

The seal names every line with its SHA-256, the SHA-256 of everything before it, and carries a
signature over all that; whoever reads holds each line against it and names the first that differs.
Neither writing nor reading holds more than one line in memory. This module knows no audit.
"""

import hashlib
import os
import secrets
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, BinaryIO

import msgspec

from witnessmark.audit.canonical import NotCanonicalError, canonical, hash_of, sha256
from witnessmark.audit.signing import Signer, is_signed
from witnessmark.errors import UnusableInputError, Where, WitnessmarkError

FORM = "witnessmark-sealed-audit"
VERSION = 1
LONGEST_LINE = 16 * 1024 * 1024
LONGEST_SEAL = 64 * 1024 * 1024
BLOCK = 1024 * 1024
HEADER, SEAL = "header", "seal"
SHOWN = 8
MEND = "Ask for the file again."


class BrokenSealError(WitnessmarkError):
    """A sealed file that is not as it was sealed; `part` names the first part that differs."""

    def __init__(self, part: str, what: str) -> None:
        super().__init__(f"The file is not as it was sealed. First difference: {part}: {what}")
        self.part = part


class Seal(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """The last line.

    Args:
        part: Always `seal`.
        lines: Name and SHA-256 of every line before, without its line end.
        before: SHA-256 of all bytes before this line.
        key: Public key of the installation that sealed.
        signature: Over the hash of all the rest of this line.
    """

    part: str
    lines: tuple[tuple[str, str], ...]
    before: str
    key: str
    signature: str

    @property
    def hash(self) -> str:
        """What is signed."""
        return _seal_hash(self.lines, self.before, self.key)


@dataclass
class Writer:
    """Takes the parts of a sealed file, one after the other."""

    file: BinaryIO
    lines: list[tuple[str, str]] = field(default_factory=list)
    _before: Any = field(default_factory=hashlib.sha256)

    def add(self, name: str, part: Mapping[str, object]) -> None:
        """Writes one part; its name is what a reader is told where it differs."""
        data = canonical(part)
        if len(data) >= LONGEST_LINE:
            raise NotCanonicalError(f"{name} has {len(data)} bytes; the most is {LONGEST_LINE}.")
        self.lines.append((name, sha256(data)))
        self._put(data)

    def close(self, signer: Signer) -> str:
        """Writes the seal; gives its hash, which stands for the whole file."""
        before, lines = self._before.hexdigest(), tuple(self.lines)
        digest = _seal_hash(lines, before, signer.public)
        said = _seal_said(lines, before, signer.public) | {"signature": signer.sign(digest)}
        self._put(canonical(said))
        return digest

    def _put(self, data: bytes) -> None:
        for piece in (data, b"\n"):
            self.file.write(piece)
            self._before.update(piece)


@contextmanager
def new_file(path: Path) -> Iterator[BinaryIO]:
    """A file that has its name only once it is whole and on disk; nothing is ever overwritten.

    Raises:
        UnusableInputError: Something is there already, or the place cannot be written.
    """
    taken = UnusableInputError.one(
        Where(str(path)), "this file is there already.", mend="Name another one, or move it away."
    )
    if path.exists():
        raise taken
    draft = path.with_name(f".{path.name}.{secrets.token_hex(6)}.part")
    try:
        with draft.open("xb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        _name(draft, path)
    except FileExistsError as error:
        raise taken from error
    except OSError as error:
        raise UnusableInputError.one(
            Where(str(path)), f"this cannot be written: {error.strerror}."
        ) from error
    finally:
        draft.unlink(missing_ok=True)


def _name(draft: Path, path: Path) -> None:
    try:
        os.link(draft, path)  # unlike a rename, it never replaces what came there meanwhile
    except FileExistsError:
        raise
    except OSError:
        if path.exists():
            raise FileExistsError(path) from None
        draft.rename(path)


@dataclass(frozen=True)
class SealedFile:
    """A sealed file whose seal holds; its parts are held against the seal as they are read.

    Args:
        path: The file.
        seal: Its last line.
        length: Bytes before the seal.
    """

    path: Path
    seal: Seal
    length: int

    def parts(self) -> Iterator[tuple[str, dict[str, Any]]]:
        """Every part with its name, in order.

        Raises:
            BrokenSealError: At the first line that is not the one that was sealed.
        """
        before = hashlib.sha256()
        with self.path.open("rb") as file:
            for name, digest in self.seal.lines:
                line = _line(file, self.length)
                before.update(line)
                if not line.endswith(b"\n") or sha256(line[:-1]) != digest:
                    raise BrokenSealError(name, "its line is not the one that was sealed.")
                yield name, _part(name, line)
            if file.tell() != self.length or before.hexdigest() != self.seal.before:
                raise BrokenSealError("the seal", "lines stand before it that it does not name.")


def open_sealed(path: Path) -> SealedFile:
    """Opens a sealed file and checks its seal; see `SealedFile.parts` for the rest.

    Raises:
        UnusableInputError: It cannot be read, or was never a sealed file.
        BrokenSealError: The seal is missing, changed, or not the last thing in the file.
    """
    try:
        with path.open("rb") as file:
            start, last = _last_line(file)
            seal = _seal(last)
            if seal is None:
                file.seek(0)
                raise _without_seal(path, file)
    except OSError as error:
        raise UnusableInputError.one(
            Where(str(path)), f"this cannot be read: {error.strerror or error}."
        ) from error
    return SealedFile(path, seal, start)


def _last_line(file: BinaryIO) -> tuple[int, bytes]:
    """Where the last line starts, and its bytes; no bytes where there is no whole last line."""
    end = file.seek(0, os.SEEK_END)
    start, pieces = end, list[bytes]()
    while start > 0 and end - start <= LONGEST_SEAL:
        step = min(BLOCK, start)
        start = file.seek(start - step)
        piece = file.read(step)
        # The line end that closes the file is not the one that comes before its last line.
        at = piece.rfind(b"\n", 0, len(piece) - (not pieces))
        pieces.append(piece[at + 1 :])
        if at >= 0:
            start += at + 1
            break
    line = b"".join(reversed(pieces))
    return (start, line[:-1]) if line.endswith(b"\n") else (end, b"")


def _seal(line: bytes) -> Seal | None:
    """The seal, where the line is one to the last byte and its signature holds."""
    try:
        seal = msgspec.json.decode(line, type=Seal)
        whole = _seal_said(seal.lines, seal.before, seal.key) | {"signature": seal.signature}
        if seal.part != SEAL or canonical(whole) != line:
            return None
    except (msgspec.DecodeError, UnicodeError, RecursionError, NotCanonicalError):
        return None
    return seal if is_signed(seal.key, seal.hash, seal.signature) else None


def _without_seal(path: Path, file: BinaryIO) -> WitnessmarkError:
    """What to say of a file that does not end with a seal that holds."""
    last, count = "", 0
    while line := file.readline(LONGEST_SEAL):
        part = _plain(line)
        if count == 0 and (part is None or part.get("form") != FORM):
            return UnusableInputError.one(
                Where(path.name), "this is no sealed audit.", "a file written by witnessmark seal"
            )
        if part is None:
            follows = f"what follows {last}" if count else "the header"
            return BrokenSealError(follows, "it is cut short or was changed.")
        if part.get("part") == SEAL:
            held = _seal(line[:-1]) is not None
            what = "something stands behind it." if held else "it was changed."
            return BrokenSealError("the seal", what)
        last, count = name_of(part), count + 1
    if not count:
        return UnusableInputError.one(Where(path.name), "this file is empty.")
    return BrokenSealError("the seal", f"it is missing; the file ends after {last}.")


def name_of(part: Mapping[str, Any]) -> str:
    """What a part is called where it differs."""
    match part:
        case {"part": "entry", "entry": {"seq": seq}}:
            return f"entry {seq} of the journal"
        case {"part": "text", "mark": mark}:
            return f"text {str(mark)[:SHOWN]}"
        case {"part": "outcome" | "rows" as kind, "freeze": freeze, "slug": slug}:
            said = "outcome" if kind == "outcome" else "rows"
            return f"{said} of {slug} on {str(freeze)[:SHOWN]}"
        case {"part": "file", "name": name, "piece": piece}:
            return f"file {name}, piece {piece}"
        case _:
            return str(part.get("part", "a part"))


def _plain(line: bytes) -> dict[str, Any] | None:
    """A line as JSON, where it is a whole line."""
    if not line.endswith(b"\n"):
        return None
    with suppress(msgspec.DecodeError, UnicodeError, RecursionError):
        part = msgspec.json.decode(line)
        return part if isinstance(part, dict) else None
    return None


def _line(file: BinaryIO, end: int) -> bytes:
    return file.readline(min(LONGEST_LINE + 1, max(0, end - file.tell())))


def _part(name: str, line: bytes) -> dict[str, Any]:
    part = _plain(line)
    if part is None:
        raise BrokenSealError(name, "it is no part of a sealed audit.")
    return part


def _seal_said(lines: tuple[tuple[str, str], ...], before: str, key: str) -> dict[str, object]:
    return {"part": SEAL, "lines": [list(line) for line in lines], "before": before, "key": key}


def _seal_hash(lines: tuple[tuple[str, str], ...], before: str, key: str) -> str:
    return hash_of(_seal_said(lines, before, key))
