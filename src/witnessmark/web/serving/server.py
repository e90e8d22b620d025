"""Starts the server for a data folder: one at a time, and nothing of it outlives it.

The program that answers runs in worker processes; each watches this one and ends with it, and so
do background jobs.
"""

import json
import multiprocessing
import os
import signal
import socket
import sys
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path

from granian import Granian
from granian.constants import Interfaces
from granian.log import LogLevels

from witnessmark.errors import UnusableInputError, Where
from witnessmark.web.data_folder import DataFolder, write_private
from witnessmark.web.end_with import SERVED
from witnessmark.web.locks import Lock, take
from witnessmark.web.serving.certificates import ServerFiles

APPLICATION = "witnessmark.web.wsgi:application"
THREADS = 8
KILL_AFTER_S = 10
TAKE_WITHIN_S = 2.0


@dataclass(frozen=True)
class Served:
    """Where a running server can be reached, as it wrote it down."""

    address: str
    mode: str
    pid: int


def take_folder(data: DataFolder) -> Lock | None:
    """The right to serve the folder; nothing where another process has it."""
    until = time.monotonic() + TAKE_WITHIN_S
    while (lock := take(data.lock)) is None and time.monotonic() < until:
        time.sleep(0.1)  # somebody may only be looking
    return lock


def write_down(data: DataFolder, served: Served) -> None:
    """Keeps where the server can be reached, for a second `serve` and for other commands."""
    write_private(_note(data), json.dumps(asdict(served)).encode())


def forget(data: DataFolder) -> None:
    """Takes away what a server wrote down that no longer serves."""
    _note(data).unlink(missing_ok=True)


def running(data: DataFolder) -> Served | None:
    """The server that serves the folder, as it wrote itself down."""
    try:
        return Served(**json.loads(_note(data).read_text(encoding="utf-8")))
    except FileNotFoundError:
        return None


def free_port(host: str, port: int) -> int:
    """The port, when nobody listens there; any free one for 0.

    Raises:
        UnusableInputError: The port is taken, or the machine does not have this address.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError as error:
            raise UnusableInputError.one(
                Where(f"{host}:{port}"),
                f"the server cannot listen here: {error.strerror}.",
                mend="Choose another port with --port, or another address with --host.",
            ) from error
        return int(probe.getsockname()[1])


def serve(
    host: str,
    port: int,
    workers: int,
    files: ServerFiles | None,
    when_ready: Callable[[], None],
) -> None:
    """Serves until it is told to stop; returns after an interrupt or a request to end."""
    # By spawn: a worker must inherit neither connections nor its siblings' ends of pipes.
    multiprocessing.set_start_method("spawn", force=True)
    os.environ[SERVED] = "1"
    server = Granian(
        APPLICATION,
        address=host,
        port=port,
        interface=Interfaces.WSGI,
        workers=workers,
        blocking_threads=THREADS,
        websockets=False,
        log_level=LogLevels.error,
        ssl_cert=files.certificate if files else None,
        ssl_key=files.key if files else None,
        respawn_failed_workers=True,
        workers_kill_timeout=KILL_AFTER_S,
    )
    on_hang_up = signal.getsignal(signal.SIGHUP) if sys.platform != "win32" else None

    def ready() -> None:
        # granian takes a closed terminal for a wish to start anew; here it ends the server, unless
        # whoever started it had it ignored (nohup).
        if sys.platform != "win32":
            is_ignored = on_hang_up == signal.SIG_IGN
            signal.signal(
                signal.SIGHUP, signal.SIG_IGN if is_ignored else server.signal_handler_interrupt
            )
        when_ready()

    server.on_startup(ready)
    server.serve()


def _note(data: DataFolder) -> Path:
    return data.keys / "serving.json"
