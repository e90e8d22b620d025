"""Ed25519: who vouches for an event or an entry. A signature proves the key, never the truth.

This module knows no files; whoever holds a key decides where it lies.
"""

import re

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import (
    Ed25519PrivateKey,
    Ed25519PublicKey,
)

KEY, SIGNATURE = re.compile(r"[0-9a-f]{64}"), re.compile(r"[0-9a-f]{128}")


class Signer:
    """A private key, made of its 32 secret bytes."""

    def __init__(self, secret: bytes) -> None:
        self._key = Ed25519PrivateKey.from_private_bytes(secret)

    @property
    def public(self) -> str:
        """The public key, 64 hexadecimal digits."""
        return self._key.public_key().public_bytes_raw().hex()

    def sign(self, digest: str) -> str:
        """The signature over a hash's digits, 128 hexadecimal digits."""
        return self._key.sign(digest.encode()).hex()


def new_secret() -> bytes:
    """Thirty-two secret bytes for a new key."""
    return Ed25519PrivateKey.generate().private_bytes_raw()


def is_signed(public: str, digest: str, signature: str) -> bool:
    """Whether a signature over a hash's digits was made by the key."""
    if not KEY.fullmatch(public) or not SIGNATURE.fullmatch(signature):
        return False  # one written form each: else a changed letter case would pass unnoticed
    try:
        key = Ed25519PublicKey.from_public_bytes(bytes.fromhex(public))
        key.verify(bytes.fromhex(signature), digest.encode())
    except (ValueError, InvalidSignature):
        return False
    return True
