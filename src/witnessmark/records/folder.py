"""A folder of exports, taken stock of: which files are read, as what, and nothing passed over.

Files in canonical names need no mapping; a mapping.toml takes any others. A file that nobody takes
is a fault, because silence about it would look like absence of data. This module reads no rows.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fnmatch import fnmatchcase
from pathlib import Path

from witnessmark.errors import Fault, UnusableInputError, Where
from witnessmark.records import mend
from witnessmark.records.canonical import canonical_extract
from witnessmark.records.extract import Extract
from witnessmark.records.mapped import mapped_extracts
from witnessmark.records.mapping import FILE, Mapping
from witnessmark.records.mapping_file import load_mapping
from witnessmark.records.plant import Plant, load_plant
from witnessmark.records.readers import is_export
from witnessmark.records.tables import TABLES


@dataclass(frozen=True)
class Stock:
    """What a folder holds.

    Args:
        folder: The folder.
        plant: Its settings.
        mapping: Its mapping, if there is one.
        extracts: What is read, in order of name.
        inputs: Every file that decides the result, by its name below the folder.
    """

    folder: Path
    plant: Plant
    mapping: Mapping | None
    extracts: tuple[Extract, ...]
    inputs: tuple[str, ...]

    @property
    def uses_key(self) -> bool:
        """Whether the mapping makes pseudonyms."""
        return self.mapping is not None and any(
            spec.pseudonym
            for source in self.mapping.source
            for feed in source.feed
            for spec in feed.specs.values()
        )


def take_stock(folder: Path, key: Callable[[], bytes]) -> Stock:
    """Takes stock of a folder.

    Args:
        folder: The folder of exports.
        key: Gives the pseudonym key.

    Raises:
        UnusableInputError: No folder, no plant.toml, a faulty mapping, files that nobody takes.
    """
    if not folder.is_dir():
        raise UnusableInputError.one(Where(str(folder)), "there is no such folder.")
    plant = load_plant(folder)
    path = folder / FILE
    mapping = load_mapping(path, plant) if path.is_file() else None
    names = _names(folder)
    extracts = mapped_extracts(folder, names, mapping, plant, key) if mapping else []
    taken = {extract.name for extract in extracts}
    ignored = mapping.ignore if mapping else []
    rest = [
        name
        for name in names
        if name not in taken
        and "/" not in name
        and not any(fnmatchcase(name, pattern) for pattern in ignored)
    ]
    faults = _untaken_faults(rest, mapping)
    if faults:
        raise UnusableInputError(faults)
    extracts += [canonical_extract(folder / name, name, plant.zone_info) for name in rest]
    if not extracts:
        raise UnusableInputError.one(
            Where(folder.name), "there is nothing to read.", "files such as runs.csv, checks.csv"
        )
    extracts = _with_mended(folder, sorted(extracts, key=lambda extract: extract.extract_id))
    inputs = {extract.name for extract in extracts}
    inputs |= {f"{mend.FOLDER}/{e.mended.name}" for e in extracts if e.mended is not None}
    return Stock(folder, plant, mapping, tuple(extracts), tuple(sorted(inputs)))


def _names(folder: Path) -> list[str]:
    """Exports of a folder and its subfolders, hidden ones and mended rows left out."""
    names = []
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder)
        hidden = any(part.startswith((".", "~$")) for part in name.parts)
        if path.is_file() and is_export(path) and not hidden and name.parts[0] != mend.FOLDER:
            names.append(name.as_posix())
    return names


def _untaken_faults(names: Sequence[str], mapping: Mapping | None) -> list[Fault]:
    mend_text = (
        f"Name it in a [[source]] of {FILE}, list it under ignore, or move it."
        if mapping is not None
        else f"Rename the file, or say in a {FILE} what it feeds."
    )
    return [
        Fault(Where(name), f'"{Path(name).stem}" is no canonical table.', mend=mend_text)
        for name in names
        if Path(name).stem not in TABLES
    ]


def _with_mended(folder: Path, extracts: Sequence[Extract]) -> list[Extract]:
    """Every extract with its file of mended rows, where there is one."""
    place = folder / mend.FOLDER
    if not place.is_dir():
        return list(extracts)
    given = {path.name for path in place.iterdir() if not path.name.startswith((".", "~$"))}
    known = {extract.mend_name for extract in extracts}
    if given - known:
        raise UnusableInputError(
            [
                Fault(
                    Where(f"{mend.FOLDER}/{name}"),
                    "there is no file of which this could be the mended rows.",
                    "one of " + ", ".join(sorted(known)),
                )
                for name in sorted(given - known)
            ]
        )
    return [
        replace(extract, mended=place / extract.mend_name)
        if extract.mend_name in given
        else extract
        for extract in extracts
    ]
