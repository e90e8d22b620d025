"""Keys and encryption at rest: each text and attachment under a key of its own (AES-256-GCM).

The keys are wrapped by the master key of the installation, which lies in the folder `keys`, apart
from the database. Whoever holds both the folder and the database reads everything; the disk's own
encryption is what stands against a stolen laptop. This module knows no model.
"""

import os
from base64 import b64decode, b64encode
from collections.abc import Callable
from functools import cache
from pathlib import Path

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM

from witnessmark.audit.signing import Signer, new_secret
from witnessmark.errors import UnusableInputError, Where
from witnessmark.web.data_folder import write_private
from witnessmark.web.locks import held

KEY_BYTES = 32
NONCE_BYTES = 12


def new_key() -> bytes:
    """A new random key."""
    return os.urandom(KEY_BYTES)


def encrypt(key: bytes, plain: bytes) -> bytes:
    """The nonce and the encrypted bytes."""
    nonce = os.urandom(NONCE_BYTES)
    return nonce + AESGCM(key).encrypt(nonce, plain, None)


def decrypt(key: bytes, sealed: bytes) -> bytes:
    """The plain bytes.

    Raises:
        UnusableInputError: The key does not fit, or the bytes were changed.
    """
    try:
        return AESGCM(key).decrypt(sealed[:NONCE_BYTES], sealed[NONCE_BYTES:], None)
    except InvalidTag as error:
        raise UnusableInputError.one(
            Where("keys/master"),
            "a text or attachment cannot be opened with this installation's key.",
            mend="Restore the folder keys that belongs to this database.",
        ) from error


@cache
def master_key(keys: Path) -> bytes:
    """The installation's master key, made at its first use."""
    return _secret(keys, "master", new_key)


@cache
def signer(keys: Path) -> Signer:
    """The installation's signing key, made at its first use."""
    return Signer(_secret(keys, "signing", new_secret))


def _secret(keys: Path, name: str, make: Callable[[], bytes]) -> bytes:
    path = keys / name
    with held(keys / f".{name}.lock"):
        if not path.exists():
            write_private(path, b64encode(make()))
    return b64decode(path.read_bytes())
