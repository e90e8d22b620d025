"""A private PostgreSQL server for tests and the bench: on a socket in a folder of its own."""

import os
import pwd
import secrets
import shutil
import subprocess
import tempfile
from contextlib import contextmanager
from pathlib import Path

from witnessmark.web.serving.postgresql import program


class NoPostgresqlError(Exception):
    """PostgreSQL cannot be started on this machine; says why."""


@contextmanager
def private_server(durable=False):
    """Starts a server and gives its folder; it ends with the block.

    With `durable` it writes through to disk as a real one does; else it is quicker.
    """
    initdb, pg_ctl = program("initdb"), program("pg_ctl")
    if not (initdb and pg_ctl):
        raise NoPostgresqlError("PostgreSQL's initdb and pg_ctl are not installed here")
    other = _other_user() if os.geteuid() == 0 else {}  # PostgreSQL refuses to run as root
    folder = Path(tempfile.mkdtemp(prefix="wm-pg-"))
    if other:
        shutil.chown(folder, other["user"])
    store, log = folder / "store", folder / "log"

    def call(*words):
        subprocess.run(
            list(map(str, words)), check=True, cwd=folder, stdout=subprocess.DEVNULL, **other
        )

    call(initdb, "-D", store, "-U", "tester", "--auth=trust", "--no-sync", "-E", "UTF8")
    sync = "on" if durable else "off"
    options = f"-k {folder} -c listen_addresses='' -c fsync={sync}"
    call(pg_ctl, "-D", store, "-l", log, "-o", options, "-w", "start")
    try:
        yield folder
    finally:
        call(pg_ctl, "-D", store, "-m", "immediate", "-w", "stop")
        shutil.rmtree(folder)


def new_database(folder):
    """The address of a new, empty database on a private server."""
    name = f"t{secrets.token_hex(6)}"
    subprocess.run([program("createdb"), "-h", folder, "-U", "tester", name], check=True)
    return f"postgresql://tester@/{name}?host={folder}"


def _other_user():
    for name in ("postgres", "nobody"):
        try:
            entry = pwd.getpwnam(name)
        except KeyError:
            continue
        return {"user": name, "group": entry.pw_gid, "extra_groups": []}
    raise NoPostgresqlError("PostgreSQL does not run as root, and there is no other user here")
