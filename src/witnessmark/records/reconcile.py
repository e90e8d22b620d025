"""Nothing is lost between a file and the tables: rows and entries counted twice and compared.

A row of a file has one fate: refused if any part of it was, else loaded, else a repeat. An entry
is a row of a canonical table; one row may make several. This module reads work tables only.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import duckdb

from witnessmark.errors import WitnessmarkError
from witnessmark.records.extract import Part
from witnessmark.records.raw import ROW, RawTable
from witnessmark.records.sql_text import name_sql, quote

ROWS_AT_ONCE = 4_000_000
"""Rows whose fates are compared at a time, so that memory stays the same for files of any size."""


@dataclass(frozen=True)
class Counts:
    """What became of the rows of one extract."""

    read: int
    loaded: int
    refused: int
    duplicate: int


def typed_name(table: str) -> str:
    """Name of a table's typed rows in the work database."""
    return f"typed_{table}"


def count_one(con: duckdb.DuckDBPyConnection, sql: str) -> int:
    """The single number that a query gives."""
    row = con.execute(sql).fetchone()
    return int(row[0]) if row else 0


def count_rows(
    con: duckdb.DuckDBPyConnection, number: int, raw: RawTable, parts: Sequence[Part]
) -> Counts:
    """The fates of an extract's rows, each fate counted on its own.

    Args:
        con: Connection of the work database.
        number: The extract's feed number.
        raw: Its raw rows.
        parts: What they fed.
    """
    tables = sorted({part.table.name for part in parts})
    stand = " union all ".join(_standing_sql(con, name, number) for name in tables)
    repeat = " union all ".join(
        f"select file_row from repeats_{name} where feed = {number}" for name in tables
    )
    refused = f"select file_row from turned_away where feed = {number}"
    loaded = duplicate = 0
    wide = [f"({part.claims})" for part in parts if part.may_make_nothing]
    last = count_one(con, f"select coalesce(max({name_sql(ROW)}), 0) from {raw.relation}")
    for start in range(0, last + 1, ROWS_AT_ONCE):
        here = f"between {start} and {start + ROWS_AT_ONCE - 1}"
        standing = f"select file_row from ({stand}) where file_row {here}"
        repeated = f"select file_row from ({repeat}) where file_row {here}"
        loaded += count_one(
            con,
            f"select count(distinct file_row) from ({standing}) where file_row not in ({refused})",
        )
        duplicate += count_one(
            con,
            f"select count(distinct file_row) from ({repeated}) "
            f"where file_row not in ({refused}) and file_row not in ({standing})",
        )
        if wide:
            # A row of a wide table in which nothing was entered makes nothing, and is no loss.
            row = name_sql(ROW)
            loaded += count_one(
                con,
                f"select count(*) from {raw.relation} where {row} {here} "
                f"and ({' or '.join(wide)}) and {row} not in ({refused}) "
                f"and {row} not in ({standing}) and {row} not in ({repeated})",
            )
    counted = count_one(con, f"select count(distinct file_row) from ({refused})")
    return Counts(raw.rows, loaded, counted, duplicate)


def _standing_sql(con: duckdb.DuckDBPyConnection, name: str, number: int) -> str:
    row = con.execute(
        "select min(first_position), max(last_position) from feeds "
        "where feed = ? and table_name = ?",
        [number, name],
    ).fetchone()
    first, last = row or (0, -1)
    return f"select file_row from {typed_name(name)} where rowid between {first} and {last}"


def count_entries(
    con: duckdb.DuckDBPyConnection, number: int, made: dict[str, int]
) -> dict[str, dict[str, int]]:
    """Per canonical table the rows that an extract made, and what became of them.

    Args:
        con: Connection of the work database.
        number: The extract's feed number.
        made: Rows made per table, as counted before typing.
    """
    found = {}
    for name in sorted(made):
        found[name] = {
            "made": made[name],
            "loaded": count_one(con, f"select count(*) from ({_standing_sql(con, name, number)})"),
            "refused": count_one(
                con,
                "select coalesce(sum(entries), 0) from turned_away_entries "
                f"where feed = {number} and table_name = {quote(name)}",
            ),
            "duplicate": count_one(
                con, f"select count(*) from repeats_{name} where feed = {number}"
            ),
        }
    return found


def check_nothing_lost(extract_id: str, counts: Counts, entries: dict[str, dict[str, int]]) -> None:
    """Stops where rows and fates do not add up: that is a fault of this program, never of a file.

    Raises:
        WitnessmarkError: Rows or entries were lost or counted twice.
    """
    if counts.read != counts.loaded + counts.refused + counts.duplicate:
        raise WitnessmarkError(f"{extract_id}: rows were lost on the way: {counts}.")
    for name, entry in entries.items():
        if entry["made"] != entry["loaded"] + entry["refused"] + entry["duplicate"]:
            raise WitnessmarkError(f"{extract_id}: rows of {name} were lost: {entry}.")
