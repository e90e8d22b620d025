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
from pathlib import Path

import duckdb
import msgspec

import witnessmark
from witnessmark.errors import Fault, UnusableInputError, Where
from witnessmark.records.canonical import canonical_extract
from witnessmark.records.digest import digest_of
from witnessmark.records.extract import Extract
from witnessmark.records.intake import Intake, take_in, typed_name
from witnessmark.records.manifest import (
    NAME,
    FrozenExtract,
    FrozenFile,
    FrozenTable,
    Manifest,
    read_manifest,
    write_manifest,
)
from witnessmark.records.plant import Plant, load_plant
from witnessmark.records.readers import is_readable
from witnessmark.records.store import Holding, Store, connect, connection, expose, lock_down
from witnessmark.records.tables import TABLES
from witnessmark.records.typing import quote, type_rows
from witnessmark.records.zones import zone_of

INTAKE_RULES = "1"
"""Raised whenever the same input would be read differently than before."""
HOME = ".witnessmark"
CHUNK = 1 << 22
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
    if not folder.is_dir():
        raise UnusableInputError.one(Where(str(folder)), "there is no such folder.")
    plant = load_plant(folder)
    extracts = _extracts(folder, plant)
    tell("hashing the files")
    files = _hash_files(extracts)
    identity = _identity(files, plant)
    home = out or folder / HOME
    target = home / identity
    known = read_manifest(target)
    if known is not None and known.identity == identity and not _damage(target, known):
        return Freeze(target, identity, known)
    home.mkdir(parents=True, exist_ok=True)
    work = Path(tempfile.mkdtemp(prefix="work-", dir=home))
    try:
        manifest = _freeze(work, identity, plant, extracts, files, tell)
        shutil.rmtree(target, ignore_errors=True)
        (work / "frozen").rename(target)
    finally:
        shutil.rmtree(work, ignore_errors=True)
    return Freeze(target, identity, manifest)


def _extracts(folder: Path, plant: Plant) -> list[Extract]:
    files = [path for path in sorted(folder.iterdir()) if path.is_file() and is_readable(path)]
    faults = [
        Fault(
            Where(path.name),
            f'"{path.stem}" is no canonical table.',
            mend="Rename the file, or say in a mapping.toml what it feeds.",
        )
        for path in files
        if path.stem not in TABLES
    ]
    if faults:
        raise UnusableInputError(faults)
    if not files:
        raise UnusableInputError.one(
            Where(folder.name), "there is nothing to read.", "files such as runs.csv, checks.csv"
        )
    return [canonical_extract(path, path.name, plant.zone_info) for path in files]


def _hash_files(extracts: Sequence[Extract]) -> list[FrozenFile]:
    paths = {extract.name: extract.path for extract in extracts}
    return [
        FrozenFile(name=name, sha256=sha256_of(path), size=path.stat().st_size)
        for name, path in sorted(paths.items())
    ]


def sha256_of(path: Path) -> str:
    """SHA-256 of a file's bytes, in hexadecimal."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _identity(files: Sequence[FrozenFile], plant: Plant) -> str:
    said = {
        "intake_rules": INTAKE_RULES,
        "files": [[file.name, file.sha256] for file in files],
        "zone": plant.zone,
        "person_basis": plant.person_basis,
        "neighbours": plant.neighbours,
    }
    return hashlib.sha256(msgspec.json.encode(said, order="sorted")).hexdigest()[:32]


def _freeze(
    work: Path,
    identity: str,
    plant: Plant,
    extracts: Sequence[Extract],
    files: Sequence[FrozenFile],
    tell: Progress,
) -> Manifest:
    frozen = work / "frozen"
    frozen.mkdir()
    with connection() as con:
        con.execute(f"attach {quote(str(work / 'work.duckdb'))} as work")
        con.execute("use work")
        con.execute(f"set temp_directory = {quote(str(work / 'spill'))}")
        intake = take_in(con, extracts, tell)
        tables = _write_tables(con, frozen, plant, intake, files, tell)
    manifest = Manifest(
        identity=identity,
        tool_version=witnessmark.__version__,
        intake_rules=INTAKE_RULES,
        zone=plant.zone,
        person_basis=plant.person_basis,
        period_from=str(plant.period_from) if plant.period_from else None,
        period_to=str(plant.period_to) if plant.period_to else None,
        mapping_sha256=None,
        files=list(files),
        extracts=_frozen_extracts(intake),
        tables=tables,
    )
    write_manifest(manifest, frozen)
    return manifest


def _frozen_extracts(intake: Intake) -> list[FrozenExtract]:
    return [
        FrozenExtract(
            extract_id=extract.extract_id,
            file=extract.name,
            sheet=extract.sheet,
            lines=raw.lines,
            skipped=dict(raw.skipped),
            rows_read=count.read,
            rows_loaded=count.loaded,
            rows_refused=count.refused,
            rows_duplicate=count.duplicate,
            entries=entries,
            notes=list(raw.notes),
        )
        for extract, raw, count, entries in zip(
            intake.extracts, intake.raws, intake.counts, intake.entries, strict=True
        )
    ]


def _write_tables(
    con: duckdb.DuckDBPyConnection,
    frozen: Path,
    plant: Plant,
    intake: Intake,
    files: Sequence[FrozenFile],
    tell: Progress,
) -> dict[str, FrozenTable]:
    columns = dict(intake.columns)
    columns["extracts"] = columns.get("extracts", frozenset()) | _add_extracts(
        con, plant, intake, files
    )
    written = {}
    for name in sorted(columns):
        tell(f"writing {name}")
        table = TABLES[name]
        relation, path = typed_name(name), frozen / f"{name}.parquet"
        names = ", ".join(f'"{column}"' for column in table.stored_columns())
        order = ", ".join(f'"{column}"' for column in table.key)
        con.execute(
            f"copy (select {names} from {relation} order by {order}) to {quote(str(path))} "
            "(format parquet, compression zstd, row_group_size 122880)"
        )
        rows = con.execute(f"select count(*) from {relation}").fetchone()
        written[name] = FrozenTable(
            rows=rows[0] if rows else 0,
            columns=sorted(columns[name]),
            digest=digest_of(con, relation, table),
            file=path.name,
            sha256=sha256_of(path),
            size=path.stat().st_size,
        )
    return written


def _add_extracts(
    con: duckdb.DuckDBPyConnection, plant: Plant, intake: Intake, files: Sequence[FrozenFile]
) -> set[str]:
    """One row of `extracts` per file or sheet that was read, unless the plant's note gives it."""
    table = TABLES["extracts"]
    hashes = {file.name: file.sha256 for file in files}
    relation = typed_name("extracts")
    type_rows_definition = ", ".join(
        f'"{name}" {kind}' for name, kind in table.stored_columns().items()
    )
    con.execute(f"create table if not exists {relation} ({type_rows_definition}, file_row bigint)")
    given = {row[0] for row in con.execute(f"select extract_id from {relation}").fetchall()}
    rows = []
    for extract, count in zip(intake.extracts, intake.counts, strict=True):
        if extract.extract_id in given:
            continue
        start, end = extract.period
        rows.append(
            {
                "extract_id": extract.extract_id,
                "file_name": extract.name,
                "sha256": hashes[extract.name],
                "zone": extract.zone.key,
                "period_from": str(start or plant.period_from or ""),
                "period_to": str(end or plant.period_to or ""),
                "rows_read": str(count.read),
                "rows_loaded": str(count.loaded),
                "rows_refused": str(count.refused),
                "rows_duplicate": str(count.duplicate),
                **extract.about,
            }
        )
    columns = sorted({name for row in rows for name in row})
    if not rows:
        return set()
    definition = ", ".join(f'"{name}" varchar' for name in columns)
    con.execute(f"create or replace table own_extracts ({definition})")
    marks = ", ".join("?" for _ in columns)
    con.executemany(
        f"insert into own_extracts values ({marks})",
        [[row.get(name) for name in columns] for row in rows],
    )
    type_rows(con, "own_extracts", table, plant.zone_info, relation)
    return set(columns)


def open_freeze(path: Path, cache: Path | None = None) -> Store:
    """Opens a freeze for queries, locked down to its own folder and the cache.

    Args:
        path: The freeze's folder.
        cache: A folder that queries may also read and write.

    Raises:
        UnusableInputError: No freeze, or one whose files are not as they were written.
    """
    manifest = read_manifest(path)
    if manifest is None:
        raise UnusableInputError.one(Where(str(path)), f"this is no freeze: no {NAME} in it.")
    faults = _damage(path, manifest)
    if faults:
        raise UnusableInputError(faults)
    con = connect()
    sources = {
        name: f"read_parquet({quote(str(path / table.file))}, file_row_number => true)"
        for name, table in manifest.tables.items()
    }
    holdings = {
        name: Holding(frozenset(table.columns), table.rows, table.digest)
        for name, table in manifest.tables.items()
    }
    zone = zone_of(manifest.zone, Where(NAME))
    store = expose(con, zone, holdings, sources, manifest.identity)
    lock_down(con, [path, *([cache] if cache else [])])
    return store


def _damage(path: Path, manifest: Manifest) -> list[Fault]:
    """What is not as it was written."""
    faults = []
    for table in manifest.tables.values():
        file = path / table.file
        where = Where(table.file)
        if not file.is_file():
            faults.append(Fault(where, "this file of the freeze is missing.", mend="Freeze again."))
        elif file.stat().st_size != table.size or sha256_of(file) != table.sha256:
            what = "this file of the freeze was changed after it was written."
            faults.append(Fault(where, what, mend="Delete the freeze and freeze again."))
    return faults
