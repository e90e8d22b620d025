"""A folder of exports, frozen: sorted Parquet under a content hash, with a manifest.

The identity of a freeze is the hash of what went in (files, mapping, settings that matter to
intake, version of the intake rules), never of times, tool versions or Parquet bytes. The same
input finds the freeze that is already there. This module knows no file format.
"""

import hashlib
import shutil
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import duckdb
import msgspec

import witnessmark
from witnessmark.records.controls import compare_controls
from witnessmark.records.digest import digest_of
from witnessmark.records.folder import Stock, take_stock
from witnessmark.records.intake import Taken, take_in
from witnessmark.records.manifest import (
    FrozenExtract,
    FrozenFile,
    FrozenTable,
    Manifest,
    damage,
    read_manifest,
    sha256_of,
    write_manifest,
)
from witnessmark.records.mapping import FILE as MAPPING
from witnessmark.records.mend import write_refused
from witnessmark.records.own_tables import add_extracts, add_neighbours
from witnessmark.records.persons import fingerprint, key_path, load_key
from witnessmark.records.plant import Plant
from witnessmark.records.reconcile import count_one, typed_name
from witnessmark.records.reopen import open_freeze
from witnessmark.records.sql_text import quote
from witnessmark.records.store import Limits, connection
from witnessmark.records.tables import TABLES

__all__ = ["Freeze", "freeze_folder", "open_freeze"]
INTAKE_RULES = "1"
"""Raised whenever the same input would be read differently than before."""
HOME = ".witnessmark"
MEMORY = "1000MB"
"""For DuckDB alone; the whole process stays below one and a half times that."""
IDENTITY_DIGITS = 32
Progress = Callable[[str], None]


@dataclass(frozen=True)
class Freeze:
    """A frozen folder.

    Args:
        path: Its folder: Parquet files, manifest.json, refused rows.
        identity: Hash of what went in.
        manifest: What it says of itself.
    """

    path: Path
    identity: str
    manifest: Manifest


def freeze_folder(
    folder: Path, out: Path | None = None, progress: Callable[[str], None] | None = None
) -> Freeze:
    """Freezes a folder of exports; an unchanged folder gives the freeze that is already there.

    Args:
        folder: Files in canonical names, or with a mapping.toml; plant.toml with the zone.
        out: Where freezes are kept; default `.witnessmark` inside the folder.
        progress: Told what is being done.

    Raises:
        UnusableInputError: Anything that stops the load, all faults of a kind at once.
    """
    tell = progress or (lambda _: None)

    @cache
    def key() -> bytes:
        return load_key(key_path())

    stock = take_stock(folder, key)
    tell("hashing the files")
    files = [_frozen_file(folder, name) for name in stock.inputs]
    mapping_sha256 = sha256_of(folder / MAPPING) if stock.mapping is not None else None
    key_mark = fingerprint(key()) if stock.uses_key else None
    identity = _identity(files, mapping_sha256, stock.plant, key_mark)
    home = out or folder / HOME
    target = home / identity
    known = read_manifest(target)
    if known is not None and known.identity == identity and not damage(target, known):
        return Freeze(target, identity, known)
    home.mkdir(parents=True, exist_ok=True)
    work = Path(tempfile.mkdtemp(prefix="work-", dir=home))
    try:
        manifest = _freeze(work, identity, stock, files, mapping_sha256, tell)
        shutil.rmtree(target, ignore_errors=True)
        (work / "frozen").rename(target)
    finally:
        shutil.rmtree(work, ignore_errors=True)
    return Freeze(target, identity, manifest)


def _frozen_file(folder: Path, name: str) -> FrozenFile:
    path = folder / name
    return FrozenFile(name=name, sha256=sha256_of(path), size=path.stat().st_size)


def _identity(
    files: Sequence[FrozenFile], mapping_sha256: str | None, plant: Plant, key_mark: str | None
) -> str:
    said = {
        "intake_rules": INTAKE_RULES,
        "files": [[file.name, file.sha256] for file in files],
        "mapping": mapping_sha256,
        "zone": plant.zone,
        "person_basis": plant.person_basis,
        "period": [str(plant.period_from), str(plant.period_to)],
        "neighbours": plant.neighbours,
        "key": key_mark,
    }
    text = msgspec.json.encode(said, order="sorted")
    return hashlib.sha256(text).hexdigest()[:IDENTITY_DIGITS]


def _freeze(
    work: Path,
    identity: str,
    stock: Stock,
    files: Sequence[FrozenFile],
    mapping_sha256: str | None,
    tell: Progress,
) -> Manifest:
    frozen = work / "frozen"
    frozen.mkdir()
    plant = stock.plant
    with connection(Limits(memory=MEMORY)) as con:
        con.execute(f"attach {quote(str(work / 'work.duckdb'))} as work")
        con.execute("use work")
        con.execute(f"set temp_directory = {quote(str(work / 'spill'))}")
        taken = take_in(con, stock.extracts, tell)
        extracts = [_frozen_extract(con, number, item) for number, item in enumerate(taken)]
        columns = _columns(taken)
        columns |= add_extracts(con, stock, extracts, {f.name: f.sha256 for f in files}, columns)
        columns |= add_neighbours(con, plant, columns)
        tables = {name: _write_table(con, frozen, name, columns[name], tell) for name in columns}
        tell("writing the refused rows")
        write_refused(con, frozen, [(item.extract, item.raw, item.parts) for item in taken])
    manifest = Manifest(
        identity=identity,
        tool_version=witnessmark.__version__,
        intake_rules=INTAKE_RULES,
        zone=plant.zone,
        person_basis=plant.person_basis,
        period_from=str(plant.period_from) if plant.period_from else None,
        period_to=str(plant.period_to) if plant.period_to else None,
        mapping_sha256=mapping_sha256,
        files=list(files),
        extracts=extracts,
        tables=dict(sorted(tables.items())),
    )
    write_manifest(manifest, frozen)
    return manifest


def _columns(taken: Sequence[Taken]) -> dict[str, frozenset[str]]:
    """Per canonical table the columns that any file gave."""
    columns: dict[str, frozenset[str]] = {}
    for part in (part for item in taken for part in item.parts):
        name = part.table.name
        columns[name] = columns.get(name, frozenset()) | set(part.columns)
    return columns


def _frozen_extract(con: duckdb.DuckDBPyConnection, number: int, item: Taken) -> FrozenExtract:
    notes = [*item.raw.notes, *(note for part in item.parts for note in part.notes)]
    return FrozenExtract(
        extract_id=item.extract.extract_id,
        file=item.extract.name,
        sheet=item.extract.sheet,
        lines=item.raw.lines,
        skipped=dict(item.raw.skipped),
        rows_read=item.counts.read,
        rows_loaded=item.counts.loaded,
        rows_refused=item.counts.refused,
        rows_duplicate=item.counts.duplicate,
        rows_mended=item.mended,
        entries=item.entries,
        controls=compare_controls(con, number, item.extract, item.raw),
        notes=list(dict.fromkeys(notes)),
    )


def _write_table(
    con: duckdb.DuckDBPyConnection, frozen: Path, name: str, columns: frozenset[str], tell: Progress
) -> FrozenTable:
    tell(f"writing {name}")
    table = TABLES[name]
    relation, path = typed_name(name), frozen / f"{name}.parquet"
    names = ", ".join(f'"{column}"' for column in table.stored_columns())
    order = ", ".join(f'"{column}"' for column in table.key)
    con.execute(
        f"copy (select {names} from {relation} order by {order}) to {quote(str(path))} "
        "(format parquet, compression zstd)"
    )
    return FrozenTable(
        rows=count_one(con, f"select count(*) from {relation}"),
        columns=sorted(columns),
        digest=digest_of(con, relation, table),
        file=path.name,
        sha256=sha256_of(path),
        size=path.stat().st_size,
    )
