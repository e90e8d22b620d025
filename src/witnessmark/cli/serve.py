"""`witnessmark serve`: the application for one data folder, on a laptop or for a team."""

import os
import sys
import threading
import time
import webbrowser
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import segno
from cyclopts import Parameter

from witnessmark.cli.desktop import has_desktop
from witnessmark.errors import UnusableInputError, Where
from witnessmark.web.accounts.door import close, new_token
from witnessmark.web.config import LOOPBACK, read_config
from witnessmark.web.data_folder import VARIABLE, DataFolder, data_folder
from witnessmark.web.serving.certificates import (
    ServerFiles,
    best_name,
    given_files,
    names_in,
    own_root,
    server_files,
)
from witnessmark.web.serving.server import (
    Served,
    forget,
    free_port,
    running,
    serve,
    take_folder,
    write_down,
)
from witnessmark.web.start import prepare, set_up

ANYWHERE = "0.0.0.0"  # noqa: S104 - what a server with accounts and TLS is for
PAIR = 2
OPEN_AFTER_S = 1.0


@dataclass(frozen=True)
class Plan:
    """How to serve: in which mode, where, and under whose certificate."""

    data: DataFolder
    mode: str
    host: str
    port: int
    tls: str
    files: ServerFiles | None

    @property
    def address(self) -> str:
        """The address to open."""
        shown = f"[{self.host}]" if ":" in self.host else self.host
        if self.files is not None and self.host in (ANYWHERE, "::"):
            shown = best_name(self.files, by_ipv6=":" in self.host)
        return f"{'https' if self.files else 'http'}://{shown}:{self.port}/"


def run(
    *,
    data: Path | None = None,
    port: int = 8177,
    server: bool | None = None,
    host: str | None = None,
    tls: Annotated[list[str] | None, Parameter(consume_multiple=True, negative="")] = None,
    show: Annotated[bool | None, Parameter(name="--open", negative="--no-open")] = None,
) -> None:
    """Serve the application: on a laptop for one user, or with accounts for a team.

    On a laptop it can be reached from this machine alone, and the address that is printed opens it
    once, without an account. Called again for the same folder it finds the running server and
    prints a fresh address.

    Args:
        data: The data folder; by default WITNESSMARK_DATA, else `witnessmark` in the home folder.
        port: Where to listen; 0 for any free port.
        server: Whether users sign in with accounts (see `witnessmark user`); else as
            witnessmark.toml says.
        host: The address to listen on, with --server; by default all of this machine.
        tls: `auto` for a certificate under this installation's own root, or the files of a
            certificate and its key.
        show: Whether the address is opened in the browser; by default where there is a desktop.
    """
    plan = _plan(data_folder(data), port, server, host, tls or [])
    folder = set_up(plan.data.path)
    lock = take_folder(folder)
    if lock is None:
        _again(folder, show)
        return
    forget(folder)
    try:
        prepare()
        _settle_jobs()
        served = Served(plan.address, plan.mode, os.getpid())
        write_down(folder, served)
        workers = 1 if plan.mode == "laptop" else PAIR
        serve(plan.host, plan.port, workers, plan.files, lambda: _say(folder, plan, show))
    finally:
        close(folder)
        forget(folder)
        lock.give_back()


def _plan(
    data: DataFolder, port: int, server: bool | None, host: str | None, tls: list[str]
) -> Plan:
    data.make()
    os.environ[VARIABLE] = str(data.path)
    if server is not None:
        os.environ["WITNESSMARK_MODE"] = "server" if server else "laptop"
    config = read_config()
    if config.mode == "laptop":
        if host is not None or tls:
            raise UnusableInputError.one(
                Where("--host, --tls"),
                "on a laptop the application is reached from this machine alone.",
                mend="Add --server to serve others; each then signs in with an account.",
            )
        return Plan(data, "laptop", LOOPBACK[0], free_port(LOOPBACK[0], port), "", None)
    kind, files = _certificate(data, tls, config.hosts)
    host = host or (ANYWHERE if files else LOOPBACK[0])
    if files is None and config.tls != "proxy" and host not in LOOPBACK:
        raise UnusableInputError.one(
            Where(f"--host {host}"),
            "passwords would cross the network unencrypted.",
            mend="Add --tls auto, or --tls CERTIFICATE KEY; or set tls_at_proxy = true in "
            "witnessmark.toml where another server encrypts in front of this one.",
        )
    if files is not None:
        os.environ["WITNESSMARK_TLS"] = kind
        os.environ["WITNESSMARK_HOSTS"] = ",".join(names_in(files.certificate))
    return Plan(data, "server", host, free_port(host, port), kind, files)


def _certificate(
    data: DataFolder, tls: list[str], hosts: tuple[str, ...]
) -> tuple[str, ServerFiles | None]:
    if not tls:
        return "", None
    if tls == ["auto"]:
        return "auto", server_files(data, hosts)
    paths = [Path(one) for one in tls]
    if len(paths) != PAIR or not all(path.is_file() for path in paths):
        raise UnusableInputError.one(
            Where("--tls " + " ".join(tls)), "this names no certificate.", "auto, or two files"
        )
    return "own", given_files(*paths)


def _settle_jobs() -> None:
    from witnessmark.web.jobs.ask import settle_all  # noqa: PLC0415 - Django must be set up first

    settle_all()


def _again(data: DataFolder, show: bool | None) -> None:
    """The folder is served already: a fresh door on a laptop, and on a server its address."""
    served = running(data)
    if served is None:
        raise UnusableInputError.one(
            Where(str(data.path)), "another process is starting to serve this folder.", mend="Wait."
        )
    if served.mode != "laptop":
        print(f"Already served at {served.address}")
        return
    address = f"{served.address}enter/?token={new_token(data)}"
    print(f"Already served. Open, once: {address}")
    _open(address, show, after_s=0)


def _say(data: DataFolder, plan: Plan, show: bool | None) -> None:
    if plan.mode == "laptop":
        address = f"{plan.address}enter/?token={new_token(data)}"
        print(f"Open, once: {address}")
    else:
        address = plan.address
        print(f"Serving {address}")
        _say_for_phones(data, plan)
    print(f"The data folder is {data.path}. Ctrl-C ends.", flush=True)
    _open(address, show, after_s=OPEN_AFTER_S)


def _say_for_phones(data: DataFolder, plan: Plan) -> None:
    if plan.tls == "auto":
        print(f"Phones: {plan.address}about/phone/ says how to trust this server. Compare there:")
        print(f"SHA-256 of its root certificate {own_root(data).fingerprint}")
    if sys.stdout.isatty():
        segno.make(f"{plan.address}about/phone/", micro=False).terminal(compact=True)


def _open(address: str, show: bool | None, after_s: float) -> None:
    if not (has_desktop() if show is None else show):
        return

    def wait_and_open() -> None:
        time.sleep(after_s)
        webbrowser.open(address)

    threading.Thread(target=wait_and_open, daemon=True).start() if after_s else wait_and_open()
