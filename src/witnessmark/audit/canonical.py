"""Canonical bytes and hashes: the same value has the same bytes on every machine (RFC 8785).

This module knows nothing of audits.
"""

import hashlib
import os
from collections.abc import Mapping

import rfc8785

from witnessmark.errors import WitnessmarkError

HASH_DIGITS = 64
GENESIS = "0" * HASH_DIGITS
"""What the first event of a device, and the first entry of a journal, names as its previous."""
SALT_BYTES = 32


class NotCanonicalError(WitnessmarkError):
    """A value that has no canonical form: NaN, an integer beyond 2^53, an unknown type."""


def canonical(value: Mapping[str, object]) -> bytes:
    """The canonical JSON bytes of a value.

    Raises:
        NotCanonicalError: NaN or infinity, an integer beyond 2^53, or a type JSON does not have.
    """
    try:
        return rfc8785.dumps(value)  # type: ignore[arg-type]  # its own JSON type is recursive
    except (rfc8785.CanonicalizationError, UnicodeError, RecursionError) as error:
        raise NotCanonicalError(f"This cannot be written down exactly: {error}") from error


def sha256(data: bytes) -> str:
    """SHA-256 as 64 hexadecimal digits."""
    return hashlib.sha256(data).hexdigest()


def hash_of(value: Mapping[str, object]) -> str:
    """SHA-256 of the canonical bytes."""
    return sha256(canonical(value))


def new_salt() -> str:
    """Thirty-two random bytes as hexadecimal digits."""
    return os.urandom(SALT_BYTES).hex()


def commitment(salt: str, text: str) -> str:
    """The mark that stands in the journal for a text that does not.

    It is SHA-256 over the salt's digits and the text. With the salt destroyed, nobody can try out
    which short text it was; with both at hand, anyone can check that the text is the one meant.
    """
    return sha256((salt + text).encode())
