"""What a freeze says of itself: files, hashes, mapping, counts, digests.

Plain records, written as manifest.json, and the check that the files are still those that were
written.
"""

import hashlib
from pathlib import Path

import msgspec

from witnessmark.errors import Fault, Where

NAME = "manifest.json"


class FrozenFile(msgspec.Struct, frozen=True, kw_only=True):
    """One input file."""

    name: str
    sha256: str
    size: int


class ControlTotal(msgspec.Struct, frozen=True, kw_only=True):
    """A figure of the plant's own, held against what was loaded."""

    what: str
    source: str
    stated: str
    found: str
    tolerance: str
    agrees: bool


class FrozenExtract(msgspec.Struct, frozen=True, kw_only=True):
    """What became of the rows of one file or sheet.

    Read = loaded + refused + duplicate; lines = read + all that was skipped. `entries` counts rows
    of canonical tables, which differ from rows of the file where one row feeds several.
    """

    extract_id: str
    file: str
    sheet: str | None
    lines: int
    skipped: dict[str, int]
    rows_read: int
    rows_loaded: int
    rows_refused: int
    rows_duplicate: int
    rows_mended: int = 0
    entries: dict[str, dict[str, int]] = {}
    controls: list[ControlTotal] = []
    notes: list[str] = []


class FrozenTable(msgspec.Struct, frozen=True, kw_only=True):
    """One canonical table as frozen."""

    rows: int
    columns: list[str]
    digest: str
    file: str
    sha256: str
    size: int


class Manifest(msgspec.Struct, frozen=True, kw_only=True):
    """The whole freeze."""

    identity: str
    tool_version: str
    intake_rules: str
    zone: str
    person_basis: str
    period_from: str | None
    period_to: str | None
    mapping_sha256: str | None
    files: list[FrozenFile]
    extracts: list[FrozenExtract]
    tables: dict[str, FrozenTable]

    @property
    def rows_refused(self) -> int:
        """Rows refused in all files."""
        return sum(extract.rows_refused for extract in self.extracts)


def write_manifest(manifest: Manifest, folder: Path) -> None:
    """Writes manifest.json into a folder."""
    text = msgspec.json.format(msgspec.json.encode(manifest), indent=2)
    (folder / NAME).write_bytes(text + b"\n")


def read_manifest(folder: Path) -> Manifest | None:
    """The manifest of a folder, or nothing where there is none that can be read."""
    try:
        return msgspec.json.decode((folder / NAME).read_bytes(), type=Manifest)
    except (OSError, msgspec.DecodeError):
        return None


def sha256_of(path: Path) -> str:
    """SHA-256 of a file's bytes, in hexadecimal."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def damage(path: Path, manifest: Manifest) -> list[Fault]:
    """What of a freeze is not as it was written.

    Args:
        path: The freeze's folder.
        manifest: What it says of itself.
    """
    faults = []
    for table in manifest.tables.values():
        file, where = path / table.file, Where(table.file)
        if not file.is_file():
            faults.append(Fault(where, "this file of the freeze is missing.", mend="Freeze again."))
        elif file.stat().st_size != table.size or sha256_of(file) != table.sha256:
            what = "this file of the freeze was changed after it was written."
            faults.append(Fault(where, what, mend="Delete the freeze and freeze again."))
    return faults
