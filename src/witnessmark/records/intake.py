"""Files to typed rows: every file read, typed, held against the others, and counted.

The tables stay in a work database until they are frozen. For every file rows read = loaded +
refused + duplicate, from counts that are made independently; anything else is a fault of this
program and stops it. This module knows no mapping and writes no result.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import duckdb

from witnessmark.errors import Fault, UnusableInputError, WitnessmarkError
from witnessmark.records.contradictions import FEEDS, REFUSED, REMOVED, REPEAT, find_contradictions
from witnessmark.records.extract import Extract, Part
from witnessmark.records.raw import FAULT, ROW, RawTable, name_sql
from witnessmark.records.readers import read_extract
from witnessmark.records.tables import TABLES
from witnessmark.records.typing import quote, type_rows

TURNED_AWAY = (
    'feed integer, file_row bigint, table_name varchar, column_name varchar, "value" varchar, '
    "reason varchar"
)
Progress = Callable[[str], None]


@dataclass(frozen=True)
class Counts:
    """What became of the rows of one extract."""

    read: int
    loaded: int
    refused: int
    duplicate: int


@dataclass(frozen=True)
class Intake:
    """All files of a folder, typed.

    Args:
        extracts: What was read, in order; the position is the feed number.
        raws: The raw rows of each.
        counts: What became of them.
        entries: Per extract and table: rows of the table read, refused and repeated.
        columns: Per canonical table the columns that any file gave.
    """

    extracts: tuple[Extract, ...]
    raws: tuple[RawTable, ...]
    counts: tuple[Counts, ...]
    entries: tuple[dict[str, dict[str, int]], ...]
    columns: dict[str, frozenset[str]]


def typed_name(table: str) -> str:
    """Name of a table's typed rows in the work database."""
    return f"typed_{table}"


def take_in(
    con: duckdb.DuckDBPyConnection, extracts: Sequence[Extract], progress: Progress
) -> Intake:
    """Reads, types and settles all extracts.

    Args:
        con: Connection whose current database is the work database.
        extracts: In the order in which rows count as earlier or later.
        progress: Told what is being done.

    Raises:
        UnusableInputError: Files that cannot be used at all; all of them at once.
    """
    con.execute(f"create table feeds ({FEEDS})")
    con.execute(f"create table turned_away ({TURNED_AWAY})")
    con.execute(f"create table removed ({REMOVED})")
    raws, parts = _read_all(con, extracts, progress)
    for number, (extract, raw) in enumerate(zip(extracts, raws, strict=True)):
        _turn_away_unreadable(con, number, raw)
        for part in parts[number]:
            progress(f"typing {extract.extract_id} into {part.table.name}")
            _type_part(con, number, extract, raw, part)
    columns: dict[str, frozenset[str]] = {}
    for part in (part for several in parts for part in several):
        name = part.table.name
        columns[name] = columns.get(name, frozenset()) | set(part.columns)
    for name in sorted(columns):
        progress(f"looking for repeats and contradictions in {name}")
        _settle(con, name)
    counts = tuple(_count(con, number, raw) for number, raw in enumerate(raws))
    for extract, count in zip(extracts, counts, strict=True):
        if count.read != count.loaded + count.refused + count.duplicate:
            raise WitnessmarkError(f"{extract.extract_id}: rows were lost on the way: {count}.")
    entries = tuple(_entries(con, number) for number in range(len(extracts)))
    return Intake(tuple(extracts), raws, counts, entries, columns)


def _read_all(
    con: duckdb.DuckDBPyConnection, extracts: Sequence[Extract], progress: Progress
) -> tuple[tuple[RawTable, ...], list[tuple[Part, ...]]]:
    faults: list[Fault] = []
    raws: list[RawTable] = []
    parts: list[tuple[Part, ...]] = []
    for number, extract in enumerate(extracts):
        progress(f"reading {extract.extract_id}")
        try:
            raw = read_extract(con, extract, f"raw_{number}")
            raws.append(raw)
            parts.append(extract.parts(raw))
        except UnusableInputError as error:
            faults += error.faults
    if faults:
        raise UnusableInputError(faults)
    return tuple(raws), parts


def _turn_away_unreadable(con: duckdb.DuckDBPyConnection, number: int, raw: RawTable) -> None:
    """Rows whose cells cannot be told apart feed nothing and are refused once."""
    con.execute(
        f"insert into turned_away select {number}, {name_sql(ROW)}, null, null, null, "
        f"{name_sql(FAULT)} from {raw.relation} where {name_sql(FAULT)} is not null"
    )


def _type_part(
    con: duckdb.DuckDBPyConnection, number: int, extract: Extract, raw: RawTable, part: Part
) -> None:
    into = typed_name(part.table.name)
    con.execute(f"create or replace view mapped as {part.select(raw)}")
    typed = type_rows(con, "mapped", part.table, extract.zone, into, keep_file_row=True)
    total = _one(con, f"select count(*) from {into}")
    con.execute(
        "insert into feeds values (?, ?, ?, ?, ?)",
        [part.table.name, number, extract.extract_id, total - typed.loaded, total - 1],
    )
    con.execute(
        f"insert into turned_away select {number}, source_row, table_name, column_name, "
        '"value", reason from refused'
    )
    con.execute("delete from refused")
    con.execute("drop view mapped")


def _settle(con: duckdb.DuckDBPyConnection, name: str) -> None:
    relation = typed_name(name)
    find_contradictions(con, relation, TABLES[name])
    con.execute(
        f"insert into turned_away select f.feed, t.file_row, {quote(name)}, r.column_name, "
        f'r."value", r.reason from removed as r inner join {relation} as t on t.rowid = r.position '
        f"inner join feeds as f on f.table_name = {quote(name)} "
        f"and r.position between f.first_position and f.last_position where r.kind = '{REFUSED}'"
    )
    con.execute(
        f"create table repeats_{name} as select f.feed, t.file_row from removed as r "
        f"inner join {relation} as t on t.rowid = r.position "
        f"inner join feeds as f on f.table_name = {quote(name)} "
        f"and r.position between f.first_position and f.last_position where r.kind = '{REPEAT}'"
    )
    con.execute(f"delete from {relation} where rowid in (select position from removed)")
    con.execute("delete from removed")


def _count(con: duckdb.DuckDBPyConnection, number: int, raw: RawTable) -> Counts:
    """Each row of a file has one fate: refused if any part of it was, else loaded, else repeat."""
    fed = con.execute(
        "select table_name, first_position, last_position from feeds where feed = ?", [number]
    ).fetchall()
    loaded_rows = " union all ".join(
        [f"select file_row from {typed_name(t)} where rowid between {a} and {b}" for t, a, b in fed]
    )
    repeated_rows = " union all ".join(
        [f"select file_row from repeats_{t} where feed = {number}" for t, _, _ in fed]
    )
    refused_rows = f"select distinct file_row from turned_away where feed = {number}"
    refused = _one(con, f"select count(*) from ({refused_rows})")
    loaded = _one(
        con,
        f"select count(distinct file_row) from ({loaded_rows}) "
        f"where file_row not in ({refused_rows})",
    )
    duplicate = _one(
        con,
        f"select count(distinct file_row) from ({repeated_rows}) where file_row not in "
        f"({refused_rows}) and file_row not in (select file_row from ({loaded_rows}))",
    )
    return Counts(raw.rows, loaded, refused, duplicate)


def _entries(con: duckdb.DuckDBPyConnection, number: int) -> dict[str, dict[str, int]]:
    """Rows of each canonical table that one extract gave."""
    found = {}
    for name, first, last in con.execute(
        "select table_name, min(first_position), max(last_position) from feeds where feed = ? "
        "group by table_name order by table_name",
        [number],
    ).fetchall():
        found[name] = {
            "loaded": _one(
                con,
                f"select count(*) from {typed_name(name)} where rowid between {first} and {last}",
            ),
            "refused": _one(
                con,
                "select count(distinct file_row) from turned_away "
                f"where feed = {number} and table_name = {quote(name)}",
            ),
            "duplicate": _one(con, f"select count(*) from repeats_{name} where feed = {number}"),
        }
    return found


def _one(con: duckdb.DuckDBPyConnection, sql: str) -> int:
    row = con.execute(sql).fetchone()
    return int(row[0]) if row else 0
