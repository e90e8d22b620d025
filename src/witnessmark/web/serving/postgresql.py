"""PostgreSQL's own programs, for what only they do well: a dump of a running database and back."""

import os
import shutil
import subprocess
from pathlib import Path

from witnessmark.errors import UnusableInputError, Where
from witnessmark.web.config import postgresql

# Where distributions keep them when they are not in PATH.
BESIDE = "/usr/lib/postgresql"


def program(name: str) -> str | None:
    """The path of one of PostgreSQL's programs, the newest where several are installed."""
    found = shutil.which(name)
    if found is None:
        kept = sorted(Path(BESIDE).glob(f"*/bin/{name}"), key=lambda path: path.parts[-3])
        found = str(kept[-1]) if kept else None
    return found


def dump(address: str, target: Path) -> None:
    """Writes the whole database to one file, consistent, while others write.

    Raises:
        UnusableInputError: pg_dump is missing or refuses.
    """
    _call("pg_dump", address, "--format=custom", "--no-owner", f"--file={target}")


def load(address: str, source: Path) -> None:
    """Brings a dump back into an empty database, all or nothing.

    Raises:
        UnusableInputError: pg_restore is missing or refuses, for example as tables are there.
    """
    _call(
        "pg_restore",
        address,
        "--no-owner",
        "--exit-on-error",
        "--single-transaction",
        str(source),
    )


def _call(name: str, address: str, *arguments: str) -> None:
    path = program(name)
    if path is None:
        raise UnusableInputError.one(
            Where(name), "this program of PostgreSQL is not installed here."
        )
    database = postgresql(address)
    said = {
        "PGDATABASE": database["NAME"],
        "PGHOST": database["HOST"],
        "PGPORT": database["PORT"],
        "PGUSER": database["USER"],
        "PGPASSWORD": database["PASSWORD"],
        **{f"PG{key.upper()}": value for key, value in database["OPTIONS"].items()},
    }
    # The address goes by the environment: a command line can be read by every user of a machine.
    environ = {**os.environ, **{key: value for key, value in said.items() if value}}
    named = [f"--dbname={database['NAME']}"] if name == "pg_restore" else []
    done = subprocess.run(  # noqa: S603 - PostgreSQL's own program, arguments of ours
        [path, *named, *arguments], env=environ, capture_output=True, text=True, check=False
    )
    if done.returncode != 0:
        raise UnusableInputError.one(Where(name), done.stderr.strip() or "it failed.")
