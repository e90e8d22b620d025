"""The one folder that holds everything of an installation, and what lies where in it.

This module must not know Django: commands ask for the folder before anything is set up.
"""

import os
import secrets
from dataclasses import dataclass
from pathlib import Path

from witnessmark.errors import UnusableInputError, Where

VARIABLE = "WITNESSMARK_DATA"
PARTS = ("keys", "blobs", "records", "reports", "backups", "jobs")
ONLY_OWNER = 0o700
ONLY_OWNER_FILE = 0o600
SECRET_BYTES = 48


@dataclass(frozen=True)
class DataFolder:
    """A data folder: database, keys, attachments, frozen records, reports, backups, jobs."""

    path: Path

    @property
    def database(self) -> Path:
        """The SQLite file, unless a PostgreSQL address is set."""
        return self.path / "witnessmark.db"

    @property
    def config(self) -> Path:
        """The one optional file of settings."""
        return self.path / "witnessmark.toml"

    @property
    def keys(self) -> Path:
        """Secrets of this installation; never leaves it but in a backup."""
        return self.path / "keys"

    @property
    def blobs(self) -> Path:
        """Attachments, stored by their hash."""
        return self.path / "blobs"

    @property
    def records(self) -> Path:
        """Frozen exports."""
        return self.path / "records"

    @property
    def reports(self) -> Path:
        """Reports as they were given out."""
        return self.path / "reports"

    @property
    def backups(self) -> Path:
        """A place for backups; they are worth more on another disk."""
        return self.path / "backups"

    @property
    def jobs(self) -> Path:
        """Locks and notes of background work; may be emptied when nothing runs."""
        return self.path / "jobs"

    @property
    def static(self) -> Path:
        """Style sheets and scripts as served, collected anew at each start."""
        return self.path / "static"

    @property
    def lock(self) -> Path:
        """Held by the server that serves this folder."""
        return self.path / "serving.lock"

    def make(self) -> None:
        """Makes the folder and its parts, readable by the owner alone.

        Raises:
            UnusableInputError: Something else is at its place, or it may not be written.
        """
        try:
            for folder in (self.path, *(self.path / part for part in PARTS)):
                folder.mkdir(mode=ONLY_OWNER, parents=True, exist_ok=True)
        except OSError as error:
            raise UnusableInputError.one(
                Where(str(self.path)),
                f"this cannot be the data folder: {error.strerror}.",
                "a folder that may be written",
                "Name another one with --data.",
            ) from error

    def secret(self, name: str = "secret_key") -> str:
        """A random secret of this installation, made when it is first asked for."""
        path = self.keys / name
        if not path.exists():
            write_private(path, secrets.token_urlsafe(SECRET_BYTES).encode())
        return path.read_text(encoding="ascii")


def write_private(path: Path, content: bytes) -> None:
    """Writes a file for its owner alone; whoever looks sees the old one or the whole new one."""
    draft = path.with_name(f".{path.name}.{secrets.token_hex(6)}")
    handle = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, ONLY_OWNER_FILE)
    with os.fdopen(handle, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    draft.replace(path)


def data_folder(given: Path | None = None) -> DataFolder:
    """The data folder: as given, else as the environment says, else one in the home folder."""
    said = os.environ.get(VARIABLE)
    path = given or (Path(said) if said else Path.home() / "witnessmark")
    return DataFolder(path.expanduser().absolute())
