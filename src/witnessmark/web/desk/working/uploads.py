"""Exports that are sent: put into a folder of their own under harmless names, zips unpacked.

Nothing of a sent name becomes a path as it is; a zip is counted while it is unpacked, so that what
it claims of itself does not matter.
"""

import secrets
import shutil
import zipfile
from collections.abc import Iterable
from pathlib import Path, PurePosixPath
from typing import IO, Any

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile

from witnessmark.errors import Fault, UnusableInputError, Where
from witnessmark.records.readers import is_export
from witnessmark.report.run import SETTINGS
from witnessmark.web.security.file_names import safe_file_name

INSIDE = "records"
"""Folder inside the upload's own: its name may become the plant's where plant.toml gives none."""
MOST_FILES = 1000
MOST_TIMES = 10
"""How many times the limit of an upload may come out of a zip."""
BLOCK = 1 << 20
HIDDEN = ("__MACOSX", ".")


def keep_upload(files: Iterable["UploadedFile[Any]"]) -> Path:
    """Puts sent files into a new folder below `jobs` and gives it.

    Raises:
        UnusableInputError: Files that are no exports, two of one name, a zip that is none or too
            large; nothing is left behind then.
    """
    jobs: Path = settings.CONFIG.data.jobs
    home = jobs / f"upload-{secrets.token_hex(8)}"
    folder = home / INSIDE
    folder.mkdir(mode=0o700, parents=True)
    try:
        for file in files:
            name = safe_file_name(file.name or "")
            if name.lower().endswith(".zip"):
                _unpack(file, name, folder)
            else:
                with _new(folder, name).open("xb") as kept:
                    shutil.copyfileobj(file, kept, BLOCK)
        _check(folder)
    except BaseException:
        forget_upload(folder)
        raise
    return folder


def forget_upload(folder: Path) -> None:
    """Removes an upload; the freeze holds what was read, refused rows included."""
    home = folder.parent
    jobs: Path = settings.CONFIG.data.jobs
    if home.parent == jobs and home.name.startswith("upload-"):
        shutil.rmtree(home, ignore_errors=True)


def _unpack(file: "UploadedFile[Any]", name: str, folder: Path) -> None:
    left = settings.CONFIG.records_limit * MOST_TIMES
    try:
        with zipfile.ZipFile(file) as packed:
            members = [one for one in packed.infolist() if _is_wanted(one)]
            if len(members) > MOST_FILES:
                raise _unusable(name, f"it holds {len(members)} files.", f"{MOST_FILES} at most")
            top = _common_top(members)
            for member in members:
                parts = _parts(member)[top:]
                target = folder.joinpath(*(safe_file_name(p) for p in parts[:-1]))
                target.mkdir(mode=0o700, parents=True, exist_ok=True)
                with packed.open(member) as source:
                    left = _copy(source, _new(target, safe_file_name(parts[-1])), left, name)
    except (zipfile.BadZipFile, RuntimeError, NotImplementedError, EOFError) as error:
        raise _unusable(name, f"it cannot be unpacked: {error}.", "a plain zip") from error


def _copy(source: IO[bytes], target: Path, left: int, name: str) -> int:
    with target.open("xb") as kept:
        while block := source.read(BLOCK):
            left -= len(block)
            if left < 0:
                raise _unusable(name, "it unpacks to more than is taken.", "smaller extracts")
            kept.write(block)
    return left


def _parts(member: zipfile.ZipInfo) -> list[str]:
    """The folders and name of a member, without what leads upwards or to a root."""
    parts = PurePosixPath(member.filename.replace("\\", "/")).parts
    return [part for part in parts if part.strip("/.")]


def _is_wanted(member: zipfile.ZipInfo) -> bool:
    parts = _parts(member)
    return not member.is_dir() and bool(parts) and not any(p.startswith(HIDDEN) for p in parts)


def _common_top(members: list[zipfile.ZipInfo]) -> int:
    """1 where everything lies in one folder that only packs it together."""
    tops = [_parts(one) for one in members]
    return int(bool(tops) and all(len(t) > 1 for t in tops) and len({t[0] for t in tops}) == 1)


def _new(folder: Path, name: str) -> Path:
    path = folder / name
    if path.exists():
        raise _unusable(name, "two files of this name were sent.")
    return path


def _check(folder: Path) -> None:
    found = sorted(path for path in folder.rglob("*") if path.is_file())
    faults = [
        Fault(
            Where(path.relative_to(folder).as_posix()),
            "this is neither an export nor a setting.",
            f"CSV, a workbook, Parquet, or one of {', '.join(SETTINGS)}",
            "Leave it out.",
        )
        for path in found
        if not is_export(path) and path.name not in SETTINGS
    ]
    if not (folder / "plant.toml").is_file():
        faults.append(
            Fault(
                Where("plant.toml"),
                "it was not sent with the exports.",
                'a file with at least the zone: zone = "Europe/Berlin"',
            )
        )
    if faults:
        raise UnusableInputError(faults)


def _unusable(name: str, what: str, expected: str = "") -> UnusableInputError:
    return UnusableInputError([Fault(Where(name), what, expected)])
