"""`witnessmark user`: who may sign in, from the terminal of the server."""

import getpass
import sys
from pathlib import Path
from types import ModuleType

from cyclopts import App

from witnessmark.web.start import migrate, set_up

app = App(name="user")


@app.command
def add(name: str, *, shown: str = "", owner: bool = False, data: Path | None = None) -> None:
    """Add a user; the password is asked for, or read from the first line of the input.

    Args:
        name: Name to sign in with.
        shown: Name that others see; by default the same.
        owner: Whether the user is a programme owner, who may add users and see every audit.
        data: The data folder; by default as for `serve`.
    """
    user = _accounts(data).add_user(name, shown, owner, _ask_password())
    print(f"{user.display_name} can sign in as {user.login_name}.")


@app.command
def password(name: str, *, data: Path | None = None) -> None:
    """Give a user a new password; their sessions end.

    Args:
        name: Name to sign in with; `local` is the user of a laptop.
        data: The data folder; by default as for `serve`.
    """
    accounts = _accounts(data)
    user = accounts.find_user(name)
    accounts.set_password(user, _ask_password())
    print(f"{user.display_name} has a new password; their sessions have ended.")


@app.command
def off(name: str, *, data: Path | None = None) -> None:
    """Switch a user off; their sessions end, what they did stays.

    Args:
        name: Name to sign in with.
        data: The data folder; by default as for `serve`.
    """
    user = _accounts(data).find_user(name)
    user.switch_off()
    print(f"{user.display_name} is switched off.")


@app.command
def on(name: str, *, data: Path | None = None) -> None:
    """Let a user in again who was switched off.

    Args:
        name: Name to sign in with.
        data: The data folder; by default as for `serve`.
    """
    user = _accounts(data).find_user(name)
    user.switch_on()
    print(f"{user.display_name} may sign in again.")


@app.command(name="list")
def list_users(*, data: Path | None = None) -> None:
    """List the users: name to sign in with, name that others see, rights, whether switched off.

    Args:
        data: The data folder; by default as for `serve`.
    """
    for user in _accounts(data).User.objects.all():
        rights = "programme owner" if user.is_programme_owner else ""
        state = "" if user.is_active else "switched off"
        print(f"{user.login_name}\t{user.display_name}\t{rights}\t{state}".rstrip())


def _accounts(data: Path | None) -> ModuleType:
    set_up(data)
    migrate()
    from witnessmark.web.accounts import from_terminal  # noqa: PLC0415 - Django is set up only now

    return from_terminal


def _ask_password() -> str:
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\r\n")
    return getpass.getpass("Password: ")
