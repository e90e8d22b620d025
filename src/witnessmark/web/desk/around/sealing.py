"""Sealed files of an audit: made by a job, kept beside its papers until they are taken away."""

import re
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import get_args

from django.conf import settings

from witnessmark.audit.act import now
from witnessmark.audit.parts import Width
from witnessmark.audit.seal import SUFFIX, Installation, Sealed, seal
from witnessmark.web.data_folder import ONLY_OWNER
from witnessmark.web.desk.around.papers import home
from witnessmark.web.store import blobs
from witnessmark.web.store.desk import desk

IDENTITY = re.compile(r"[0-9a-f]{32}")
WIDTHS: tuple[Width, ...] = get_args(Width)
FOLDER = "sealed"


@dataclass(frozen=True)
class SealedFile:
    """A sealed file that lies ready."""

    name: str
    path: Path
    width: Width
    size: int
    made_at: datetime


def installation() -> Installation:
    """This installation, as sealing sees it."""
    own = desk()
    return Installation(own.store, own.signer, _records, blobs.get, now)


def _records(freeze: str) -> Path | None:
    place: Path = settings.CONFIG.data.records / freeze
    return place if IDENTITY.fullmatch(freeze) and place.is_dir() else None


def make_sealed(audit: str, width: Width) -> Sealed:
    """Seals an audit in one width, under the time at which it was done."""
    folder = home(audit) / FOLDER
    folder.mkdir(mode=ONLY_OWNER, parents=True, exist_ok=True)
    stamp = now().strftime("%Y-%m-%d-%H%M%S")
    return seal(installation(), audit, folder / f"{stamp}-{width}{SUFFIX}", width)


def sealed_files(audit: str) -> list[SealedFile]:
    """Every sealed file of an audit, the newest first."""
    folder = home(audit) / FOLDER
    found = []
    for path in folder.iterdir() if folder.is_dir() else ():
        width = path.stem.rsplit("-", 1)[-1]
        if path.suffix == SUFFIX and not path.name.startswith(".") and width in WIDTHS:
            told = path.stat()
            made = datetime.fromtimestamp(told.st_mtime, UTC)
            found.append(SealedFile(path.name, path, width, told.st_size, made))
    return sorted(found, key=lambda one: one.name, reverse=True)
