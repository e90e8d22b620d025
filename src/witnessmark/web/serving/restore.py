"""A backup back into a new data folder: nothing is overwritten, every hash is checked first."""

import hashlib
import json
import secrets
import shutil
import zipfile
from pathlib import Path, PurePosixPath
from typing import Any

from witnessmark.errors import Fault, UnusableInputError, Where
from witnessmark.web.data_folder import ONLY_OWNER, DataFolder
from witnessmark.web.serving.backup import CHUNK, FORMAT, MANIFEST, POSTGRESQL
from witnessmark.web.serving.postgresql import load


def restore(file: Path, folder: Path, database: str = "") -> int:
    """Brings a backup back and says how many files it held.

    Args:
        file: The backup.
        folder: The data folder to make; must be empty or not be there.
        database: Address of an empty PostgreSQL database, for a backup that came from one.

    Raises:
        UnusableInputError: The file is no backup or not whole, the folder is not empty, or the
            backup and `database` do not fit.
    """
    if folder.exists() and any(folder.iterdir()):
        raise UnusableInputError.one(
            Where(str(folder)), "this folder is not empty.", mend="Name a new one."
        )
    try:
        archive = zipfile.ZipFile(file)
    except (OSError, zipfile.BadZipFile) as error:
        raise _unusable(file, f"this is no backup: {error}.") from error
    with archive:
        manifest = _checked(archive, file)
        is_postgresql = manifest["database"] == POSTGRESQL
        if is_postgresql != bool(database):
            raise _unusable(
                file,
                f"its database is {'PostgreSQL' if is_postgresql else 'SQLite'}.",
                "Name an empty database with --database."
                if is_postgresql
                else "Leave --database out.",
            )
        _bring_back(archive, manifest, folder, database)
    return len(manifest["sha256"])


def _checked(archive: zipfile.ZipFile, file: Path) -> dict[str, Any]:
    """The manifest, when every file is there, unchanged, and inside the folder."""
    try:
        manifest: dict[str, Any] = json.loads(archive.read(MANIFEST))
        expected: dict[str, str] = manifest["sha256"]
        known = manifest["format"] == FORMAT and manifest["database"] in expected
    except (KeyError, ValueError, TypeError, zipfile.BadZipFile) as error:
        raise _unusable(file, "this is no backup: it has no readable manifest.") from error
    if not known:
        raise _unusable(file, "this backup was made by another version of its format.")
    faults = [
        Fault(Where(file.name), f'"{name}" {what}.') for name, what in _wrong(archive, expected)
    ]
    if faults:
        raise UnusableInputError(faults)
    return manifest


def _wrong(archive: zipfile.ZipFile, expected: dict[str, str]) -> list[tuple[str, str]]:
    present = [name for name in archive.namelist() if name != MANIFEST]
    wrong = [(name, "is there twice") for name in set(present) if present.count(name) > 1]
    wrong += [(name, "is not in its manifest") for name in set(present) - set(expected)]
    for name, digest in expected.items():
        if not _is_inside(name):
            wrong.append((name, "leads out of the folder"))
        elif name not in present:
            wrong.append((name, "is missing"))
        elif _digest(archive, name) != digest:
            wrong.append((name, "has changed since the backup was made"))
    return sorted(wrong)


def _bring_back(
    archive: zipfile.ZipFile, manifest: dict[str, Any], folder: Path, database: str
) -> None:
    draft = folder.with_name(f".{folder.name}.{secrets.token_hex(4)}")
    try:
        draft.mkdir(mode=ONLY_OWNER, parents=True)
        DataFolder(draft).make()
        for name in manifest["sha256"]:
            target = draft / name
            target.parent.mkdir(mode=ONLY_OWNER, parents=True, exist_ok=True)
            target.touch(mode=0o600)
            with archive.open(name) as source, target.open("wb") as written:
                shutil.copyfileobj(source, written, CHUNK)
        if database:
            load(database, draft / POSTGRESQL)
            (draft / POSTGRESQL).unlink()
        if folder.exists():
            folder.rmdir()
        draft.replace(folder)
    finally:
        shutil.rmtree(draft, ignore_errors=True)


def _digest(archive: zipfile.ZipFile, name: str) -> str:
    digest = hashlib.sha256()
    try:
        with archive.open(name) as source:
            while chunk := source.read(CHUNK):
                digest.update(chunk)
    except (zipfile.BadZipFile, EOFError, OSError):
        return "unreadable"
    return digest.hexdigest()


def _is_inside(name: str) -> bool:
    path = PurePosixPath(name)
    return (
        not path.is_absolute() and ".." not in path.parts and "\\" not in name and ":" not in name
    )


def _unusable(file: Path, what: str, mend: str = "") -> UnusableInputError:
    return UnusableInputError.one(Where(file.name), what, mend=mend)
