"""One file with everything of an installation, taken while the server runs.

The database comes first: attachments are written before the entry that names them, so whatever the
copy of the database names is found afterwards. A manifest holds the hash of every file.
"""

import datetime as dt
import hashlib
import json
import re
import sqlite3
import tempfile
import zipfile
from collections.abc import Iterator
from contextlib import closing, suppress
from pathlib import Path

from witnessmark import __version__
from witnessmark.errors import UnusableInputError, Where
from witnessmark.web.config import Config
from witnessmark.web.data_folder import DataFolder
from witnessmark.web.serving.postgresql import dump

FORMAT = 1
MANIFEST = "manifest.json"
SQLITE, POSTGRESQL = "witnessmark.db", "database.dump"
KEPT = ("keys", "blobs", "records", "reports")
PASSING = ("keys/door", "keys/serving.json")
DRAFT = re.compile(r"\..+\.[0-9a-f]{12}")  # as data_folder.write_private begins a file
CHUNK = 1024 * 1024


def back_up(config: Config, out: Path) -> int:
    """Writes the backup and says how many files it holds.

    Args:
        config: The installation.
        out: The file to write; must not be there yet.

    Raises:
        UnusableInputError: The file is there already, or there is no database.
    """
    if out.exists():
        raise UnusableInputError.one(
            Where(str(out)), "this file is there already.", mend="Name another one."
        )
    draft = out.with_name(f".{out.name}.part")
    hashes: dict[str, str] = {}
    try:
        with tempfile.TemporaryDirectory(dir=out.parent) as folder:
            database = _database(config, Path(folder))
            draft.touch(mode=0o600)
            with zipfile.ZipFile(draft, "w", zipfile.ZIP_DEFLATED, compresslevel=3) as archive:
                hashes[database.name] = _add(archive, database, database.name)
                for path, name in _files(config.data):
                    # What was erased since it was listed is gone from the backup too.
                    with suppress(FileNotFoundError):
                        hashes[name] = _add(archive, path, name)
                archive.writestr(MANIFEST, _manifest(hashes, database.name))
        draft.replace(out)
    finally:
        draft.unlink(missing_ok=True)
    return len(hashes)


def _database(config: Config, folder: Path) -> Path:
    if config.database:
        target = folder / POSTGRESQL
        dump(config.database, target)
        return target
    if not config.data.database.exists():
        raise UnusableInputError.one(
            Where(str(config.data.path)), "there is no database in this folder."
        )
    target = folder / SQLITE
    with (
        closing(sqlite3.connect(config.data.database)) as source,
        closing(sqlite3.connect(target)) as copy,
    ):
        source.backup(copy)
        copy.execute("pragma journal_mode=delete")
    return target


def _files(data: DataFolder) -> Iterator[tuple[Path, str]]:
    if data.config.exists():
        yield data.config, data.config.name
    for part in KEPT:
        for path in sorted((data.path / part).rglob("*")):
            name = path.relative_to(data.path).as_posix()
            is_passing = name in PASSING or DRAFT.fullmatch(path.name)
            if path.is_file() and not path.is_symlink() and not is_passing:
                yield path, name


def _add(archive: zipfile.ZipFile, path: Path, name: str) -> str:
    digest = hashlib.sha256()
    with path.open("rb") as source, archive.open(name, "w", force_zip64=True) as target:
        while chunk := source.read(CHUNK):
            digest.update(chunk)
            target.write(chunk)
    return digest.hexdigest()


def _manifest(hashes: dict[str, str], database: str) -> str:
    now = dt.datetime.now(dt.UTC)
    manifest = {
        "format": FORMAT,
        "made_by": __version__,
        "made_at": now.isoformat(timespec="seconds"),
        "database": database,
        "sha256": hashes,
    }
    return json.dumps(manifest, indent=1, sort_keys=True)
