"""Files to typed rows: every file read, typed, held against the others, and counted.

The tables stay in a work database until they are frozen: `turned_away` holds every fault of every
refused row. For every file rows read = loaded + refused + duplicate (reconcile.py). This module
knows no mapping and writes no result.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import duckdb

from witnessmark.errors import Fault, UnusableInputError, Where
from witnessmark.records.contradictions import FEEDS, REFUSED, REMOVED, REPEAT, find_contradictions
from witnessmark.records.extract import EVERY_ROW, Extract, Part
from witnessmark.records.mend import mend
from witnessmark.records.raw import FAULT, ROW, RawTable
from witnessmark.records.readers import read_extract
from witnessmark.records.reconcile import (
    Counts,
    check_nothing_lost,
    count_entries,
    count_one,
    count_rows,
    typed_name,
)
from witnessmark.records.spans import REVISIONS, SPANS, find_overlaps, find_rival_revisions
from witnessmark.records.sql_text import name_sql, quote
from witnessmark.records.tables import TABLES
from witnessmark.records.typing import type_rows

TURNED_AWAY = (
    'feed integer, file_row bigint, table_name varchar, column_name varchar, "value" varchar, '
    "reason varchar"
)
Progress = Callable[[str], None]
UNCLAIMED = "no feed of the mapping takes this row (only_where)"


@dataclass(frozen=True)
class Taken:
    """One extract after intake.

    Args:
        extract: What was read.
        raw: Its raw rows.
        parts: What they fed.
        counts: What became of them.
        entries: Per canonical table the rows made, loaded, refused and repeated.
        mended: How many of its rows were replaced by mended ones.
    """

    extract: Extract
    raw: RawTable
    parts: tuple[Part, ...]
    counts: Counts
    entries: dict[str, dict[str, int]]
    mended: int


def take_in(
    con: duckdb.DuckDBPyConnection, extracts: Sequence[Extract], progress: Progress
) -> list[Taken]:
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
    con.execute(
        "create table turned_away_entries (feed integer, table_name varchar, entries bigint)"
    )
    con.execute(f"create table removed ({REMOVED})")
    read = _read_all(con, extracts, progress)
    made: list[dict[str, int]] = []
    for number, (extract, raw, parts, _) in enumerate(read):
        _turn_away_unusable(con, number, raw, parts)
        made.append({part.table.name: 0 for part in parts})
        for part in parts:
            progress(f"typing {extract.extract_id} into {part.table.name}")
            made[number][part.table.name] += _type_part(con, number, extract, part)
    overlapping = _settle_all(con, [parts for _, _, parts, _ in read], progress)
    taken = []
    for number, (extract, raw, parts, mended) in enumerate(read):
        counts = count_rows(con, number, raw, parts)
        entries = count_entries(con, number, made[number])
        check_nothing_lost(extract.extract_id, counts, entries)
        for name in entries:
            if overlapping[name][number]:
                entries[name]["overlapping, kept"] = overlapping[name][number]
        taken.append(Taken(extract, raw, parts, counts, entries, mended))
    return taken


Read = tuple[Extract, RawTable, tuple[Part, ...], int]


def _read_all(
    con: duckdb.DuckDBPyConnection, extracts: Sequence[Extract], progress: Progress
) -> list[Read]:
    faults: list[Fault] = []
    read: list[Read] = []
    for number, extract in enumerate(extracts):
        progress(f"reading {extract.extract_id}")
        try:
            raw = read_extract(con, extract, f"raw_{number}")
            mended = 0
            if extract.mended is not None:
                raw, mended = mend(con, raw, extract.mended, f"mended_{number}")
            read.append((extract, raw, extract.parts(con, raw), mended))
        except UnusableInputError as error:
            faults += error.faults
        except duckdb.Error as error:
            faults += _cannot_be_mapped(extract, error).faults
    if faults:
        raise UnusableInputError(faults)
    return read


def _cannot_be_mapped(extract: Extract, error: duckdb.Error) -> UnusableInputError:
    """The refusal of a mapping that only fails when it meets the cells (a pattern, mostly)."""
    return UnusableInputError.one(
        Where(extract.name, extract.sheet),
        f"the mapping cannot be carried out on this file: {str(error).splitlines()[0]}",
    )


def _turn_away_unusable(
    con: duckdb.DuckDBPyConnection, number: int, raw: RawTable, parts: tuple[Part, ...]
) -> None:
    """Refuses rows whose cells cannot be told apart, and rows that no feed takes."""
    fault = name_sql(FAULT)
    con.execute(
        f"insert into turned_away select {number}, {name_sql(ROW)}, null, null, null, {fault} "
        f"from {raw.relation} where {fault} is not null"
    )
    claims = {part.claims for part in parts}
    if EVERY_ROW in claims:
        return
    taken = " or ".join(f"({claim})" for claim in sorted(claims))
    con.execute(
        f"insert into turned_away select {number}, {name_sql(ROW)}, null, null, null, "
        f"{quote(UNCLAIMED)} from {raw.relation} where {fault} is null and not ({taken})"
    )


def _type_part(con: duckdb.DuckDBPyConnection, number: int, extract: Extract, part: Part) -> int:
    """Types the rows of a part and gives how many there were."""
    into = typed_name(part.table.name)
    kind = "view" if part.is_plain else "table"
    # Joins may have shuffled the rows; the order of the file decides which of two is the repeat.
    rows = part.select if part.is_plain else f"select * from ({part.select}) order by file_row"
    try:
        con.execute(f"create or replace {kind} mapped as {rows}")
    except duckdb.Error as error:
        raise _cannot_be_mapped(extract, error) from error
    made = count_one(con, "select count(*) from mapped")
    typed = type_rows(con, "mapped", part.table, extract.zone, into, keep_file_row=True)
    total = count_one(con, f"select count(*) from {into}")
    con.execute(
        "insert into feeds values (?, ?, ?, ?, ?)",
        [part.table.name, number, extract.extract_id, total - typed.loaded, total - 1],
    )
    con.execute(
        f"insert into turned_away select {number}, source_row, table_name, column_name, "
        '"value", reason from refused'
    )
    con.execute("delete from refused")
    con.execute(f"drop {kind} mapped")
    con.execute(
        "insert into turned_away_entries values (?, ?, ?)", [number, part.table.name, typed.refused]
    )
    return made


def _settle_all(
    con: duckdb.DuckDBPyConnection, parts: Sequence[tuple[Part, ...]], progress: Progress
) -> dict[str, Counter[int]]:
    """Settles every table that was fed; gives the overlapping rows kept, by table and feed."""
    overlapping = {}
    for name in sorted({part.table.name for several in parts for part in several}):
        progress(f"looking for repeats and contradictions in {name}")
        kept = tuple(
            number
            for number, several in enumerate(parts)
            if any(part.table.name == name and part.keep_overlaps for part in several)
        )
        overlapping[name] = _settle(con, name, kept)
    return overlapping


def _settle(con: duckdb.DuckDBPyConnection, name: str, kept_feeds: tuple[int, ...]) -> Counter[int]:
    relation, table = typed_name(name), TABLES[name]
    find_contradictions(con, relation, table)
    overlapping: Counter[int] = Counter()
    if name in SPANS:
        overlapping = find_overlaps(con, relation, table, kept_feeds)
    if name == REVISIONS:
        find_rival_revisions(con, relation)
    placed = (
        f"from removed as r inner join {relation} as t on t.rowid = r.position "
        f"inner join feeds as f on f.table_name = {quote(name)} "
        "and r.position between f.first_position and f.last_position"
    )
    con.execute(
        f"insert into turned_away select f.feed, t.file_row, {quote(name)}, r.column_name, "
        f"r.\"value\", r.reason {placed} where r.kind = '{REFUSED}'"
    )
    con.execute(
        f"insert into turned_away_entries select f.feed, {quote(name)}, count(*) {placed} "
        f"where r.kind = '{REFUSED}' group by f.feed"
    )
    con.execute(
        f"create table repeats_{name} as select f.feed, t.file_row {placed} "
        f"where r.kind = '{REPEAT}'"
    )
    con.execute(f"delete from {relation} where rowid in (select position from removed)")
    con.execute("delete from removed")
    return overlapping
