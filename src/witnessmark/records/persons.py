"""Persons in exports: keyed pseudonyms, place numbers, or nothing.

The default is person-free. A pseudonym is an HMAC with a secret key that lies outside the folder
and outside every freeze; without the key nobody can go back, and destroying it ends the link. A
place number tells apart who was at one machine on one day and links nothing beyond that day. This
module knows which canonical columns may name a person and no plant.
"""

import hashlib
import hmac
import os
import secrets
from collections.abc import Iterable
from pathlib import Path

from witnessmark.errors import UnusableInputError, Where

PERSONAL: dict[str, frozenset[str]] = {
    "allocations": frozenset({"person_key", "trainer"}),
    "attendances": frozenset({"person_key"}),
    "authorities": frozenset({"person_key"}),
    "checks": frozenset({"done_by"}),
    "gauge_studies": frozenset({"appraisers"}),
    "holds": frozenset({"disposed_by"}),
    "maintenance_tasks": frozenset({"deferred_by"}),
    "overtime_entries": frozenset({"area_or_person"}),
    "people": frozenset({"person_key"}),
    "process_events": frozenset({"done_by"}),
    "qualifications": frozenset({"person_key", "assessor"}),
    "reworks": frozenset({"approved_by"}),
    "setups": frozenset({"setter", "released_by"}),
    "temporary_changes": frozenset({"approved_by"}),
}
"""Canonical columns in which a plant's export may hold a person."""
KEY_BYTES = 32
PSEUDONYM_DIGITS = 16
CHECK_TEXT = b"witnessmark key check"


def key_path() -> Path:
    """Where the secret key of this user lies: apart from every folder of exports."""
    base = os.environ.get("XDG_CONFIG_HOME")
    return (Path(base) if base else Path.home() / ".config") / "witnessmark" / "pseudonym.key"


def load_key(path: Path) -> bytes:
    """The secret key, made on first use and readable by its owner only.

    Raises:
        UnusableInputError: The file holds no key of this tool.
    """
    if not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="ascii") as file:
            file.write(secrets.token_hex(KEY_BYTES) + "\n")
    try:
        key = bytes.fromhex(path.read_text(encoding="ascii").strip())
    except ValueError:
        key = b""
    if len(key) != KEY_BYTES:
        raise UnusableInputError.one(
            Where(path.name), "this is no pseudonym key.", f"{2 * KEY_BYTES} hexadecimal digits"
        )
    return key


def fingerprint(key: bytes) -> str:
    """What tells two keys apart and gives neither away."""
    return hmac.new(key, CHECK_TEXT, hashlib.sha256).hexdigest()[:PSEUDONYM_DIGITS]


def pseudonyms(written: Iterable[str], key: bytes) -> list[tuple[str, str]]:
    """Every written person with its pseudonym."""
    return [(text, pseudonym(text, key)) for text in written]


def pseudonym(written: str, key: bytes) -> str:
    """The pseudonym of a person as written, the same for the same key."""
    return "p-" + hmac.new(key, written.encode(), hashlib.sha256).hexdigest()[:PSEUDONYM_DIGITS]
