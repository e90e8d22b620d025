"""Attachments: files by the SHA-256 of their plain bytes, each encrypted under its own key."""

import os
import secrets
from pathlib import Path

from django.conf import settings
from django.db import transaction

from witnessmark.audit.canonical import sha256
from witnessmark.audit.event import is_hash
from witnessmark.web.store import models, vault


def put(data: bytes, media_type: str) -> str:
    """Keeps an attachment and gives its hash; one that is there already is not kept twice.

    The file is on disk before the database says so.
    """
    digest = sha256(data)
    if has(digest):
        return digest
    key = vault.new_key()
    path = path_of(digest)
    path.parent.mkdir(mode=0o700, exist_ok=True)
    draft = path.with_name(f".{path.name}.{secrets.token_hex(6)}")
    with draft.open("wb") as file:
        file.write(vault.encrypt(key, data))
        file.flush()
        os.fsync(file.fileno())
    with transaction.atomic():
        draft.replace(path)
        models.Blob.objects.update_or_create(
            sha256=digest,
            defaults={
                "size": len(data),
                "media_type": media_type,
                "wrapped_key": vault.encrypt(_master(), key),
            },
        )
    return digest


def has(digest: str) -> bool:
    """Whether the attachment can be given out."""
    known = models.Blob.objects.filter(sha256=digest, wrapped_key__isnull=False).exists()
    return known and path_of(digest).exists()


def get(digest: str) -> bytes | None:
    """The attachment; None where it was destroyed or never came.

    Raises:
        UnusableInputError: The file was changed, or the key does not fit.
    """
    row = models.Blob.objects.filter(sha256=digest).first()
    if row is None or row.wrapped_key is None or not path_of(digest).exists():
        return None
    key = vault.decrypt(_master(), bytes(row.wrapped_key))
    return vault.decrypt(key, path_of(digest).read_bytes())


def destroy(digest: str) -> None:
    """Destroys the key of an attachment, then its file."""
    models.Blob.objects.filter(sha256=digest).update(wrapped_key=None)
    path_of(digest).unlink(missing_ok=True)


def path_of(digest: str) -> Path:
    """Where an attachment lies.

    Raises:
        ValueError: No hash; nothing else names a file here.
    """
    if not is_hash(digest):
        raise ValueError(f"{digest!r} is no hash.")
    folder: Path = settings.CONFIG.data.blobs
    return folder / digest[:2] / digest


def _master() -> bytes:
    return vault.master_key(settings.CONFIG.data.keys)
