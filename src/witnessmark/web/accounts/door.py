"""The one-time token that opens the application on a laptop, without an account.

`witnessmark serve` prints an address with the token; whoever can read the terminal is the user.
What lies in the data folder is the token's hash; using the token removes it, so it opens once.
"""

import hashlib
import secrets
from pathlib import Path

from witnessmark.web.data_folder import DataFolder, write_private

TOKEN_BYTES = 32


def new_token(data: DataFolder) -> str:
    """A fresh token; an older one that was not used opens nothing any more."""
    token = secrets.token_urlsafe(TOKEN_BYTES)
    write_private(_place(data), _hash(token))
    return token


def use_token(data: DataFolder, token: str) -> bool:
    """Whether the token opens; a right one is used up, a wrong one changes nothing."""
    place = _place(data)
    try:
        expected = place.read_bytes()
    except FileNotFoundError:
        return False
    if not secrets.compare_digest(expected, _hash(token)):
        return False
    try:
        place.unlink()  # only one of two that come at once can remove it
    except FileNotFoundError:
        return False
    return True


def close(data: DataFolder) -> None:
    """Forgets a token that nobody used."""
    _place(data).unlink(missing_ok=True)


def _place(data: DataFolder) -> Path:
    return data.keys / "door"


def _hash(token: str) -> bytes:
    return hashlib.sha256(token.encode()).hexdigest().encode()
