"""Canonical text to typed rows: the one place where a written value becomes a value.

Rows come in as text in canonical columns (a canonical CSV folder, a case file, or what a mapping
made of a plant's export) and leave typed, or refused with the column, the value and the reason.
Nothing stops at a bad row. This module knows neither files nor mappings; typed_columns.py says how
each column is read.
"""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

import duckdb

from witnessmark.records.repeated_hours import SET_ASIDE, settle_repeated_hours
from witnessmark.records.sql_text import quote
from witnessmark.records.table import ORIGIN, Table
from witnessmark.records.typed_columns import (
    MISSING,
    column_tests,
    fault_sql,
    grain_sql,
    local_sql,
    range_tests,
    scalar_sql,
    settled_sql,
    stated_sql,
    written_time_sql,
)
from witnessmark.records.zones import local_offset_sql

__all__ = ["FAULTLESS", "REFUSED_COLUMNS", "Typed", "quote", "type_rows"]
REFUSED_COLUMNS = (
    "table_name varchar, extract_id varchar, source_row bigint, "
    'column_name varchar, "value" varchar, reason varchar'
)
SMALL = 10_000
"""Rows up to which a table's typed rows are written before they are parted."""
FAULTLESS = '[]::struct(column_name varchar, "value" varchar, reason varchar)[]'


@dataclass(frozen=True)
class Typed:
    """How many rows of a raw table were typed and how many refused."""

    loaded: int
    refused: int


def type_rows(
    con: duckdb.DuckDBPyConnection,
    raw: str,
    table: Table,
    zone: ZoneInfo,
    into: str,
    strict: bool = True,
    keep_file_row: bool = False,
) -> Typed:
    """Types the rows of a raw table into `into`, and the refused ones into table `refused`.

    A row with a fault is refused whole, once per fault. An instant whose local time occurred twice
    and that states no offset is settled by its neighbours in file order where they decide it
    (repeated_hours.py); else it is stored empty with quality "ambiguous": no test can use it by
    mistake.

    Args:
        con: Connection that holds `raw`; the tables `into` and `refused` are made if missing.
        raw: Table of text columns in canonical names; may lack optional ones and the origin. May
            also hold `file_row` (the row that was read, where a row states another origin) and
            `faults` (what a mapping already found: list of struct(column_name, value, reason)).
        table: The declaration.
        zone: Zone of times written without an offset.
        into: Name of the typed table.
        strict: Whether every required column must be filled (else the key alone, as case files).
        keep_file_row: Whether `into` holds `file_row` too, for intake's own use.

    Returns:
        Rows loaded and rows refused.
    """
    con.execute(f"create table if not exists refused ({REFUSED_COLUMNS})")
    stored = table.stored_columns() | ({"file_row": "bigint"} if keep_file_row else {})
    definition = ", ".join(f'"{name}" {kind}' for name, kind in stored.items())
    con.execute(f"create table if not exists {into} ({definition})")
    first = _count(con, f"select count(*) from {into}")
    staged, present = _staged_sql(con, raw, table, zone, strict)
    unsure = " or ".join(["faults is not null", *(_unsure_sql(name) for name in present)])
    # Of a large table, two passes over cheap expressions: writing all rows twice costs three times
    # as much. Of a small one it is planning the expressions that costs, so they are planned once.
    if _count(con, f"select count(*) from {raw}") <= SMALL:
        con.execute(f"create or replace temp table staged as {staged}")
        staged = "from staged"
    con.execute(
        f"create or replace temp table {SET_ASIDE} as select * from ({staged}) where {unsure}"
    )
    names = ", ".join(f'"{name}"' for name in stored)
    con.execute(f"insert into {into} ({names}) select {names} from ({staged}) where not ({unsure})")
    if _count(con, f"select count(*) from {SET_ASIDE} where faults is null"):
        order = "file_row" if keep_file_row else "source_row"
        settle_repeated_hours(con, into, first, order, table, present, zone)
        con.execute(
            f"insert into {into} ({names}) select {names} from {SET_ASIDE} where faults is null"
        )
    con.execute(
        f"insert into refused select {quote(table.name)}, extract_id, file_row, fault.* from ("
        f"select extract_id, file_row, unnest(faults) as fault from {SET_ASIDE} "
        "where faults is not null)"
    )
    refused = _count(con, f"select count(*) from {SET_ASIDE} where faults is not null")
    con.execute(f"drop table {SET_ASIDE}; drop table if exists staged")
    return Typed(_count(con, f"select count(*) from {into}") - first, refused)


def _count(con: duckdb.DuckDBPyConnection, sql: str) -> int:
    row = con.execute(sql).fetchone()
    return int(row[0]) if row else 0


def _unsure_sql(name: str) -> str:
    return f"coalesce(\"{name}_quality\" = 'ambiguous', false)"


def _staged_sql(
    con: duckdb.DuckDBPyConnection, raw: str, table: Table, zone: ZoneInfo, strict: bool
) -> tuple[str, tuple[str, ...]]:
    """The query of typed rows with their faults, and the instants that it types.

    Columns that the raw table lacks are empty and cost nothing.
    """
    given = {row[0] for row in con.execute(f"describe {raw}").fetchall()}
    columns = [column for column in table.columns if column.name in given]
    instants = tuple(column.name for column in columns if column.type == "instant")
    scalars = [column for column in columns if column.type != "instant"]
    written = [f'nullif(trim("{c.name}"), \'\') as "w:{c.name}"' for c in columns]
    typed = [f'{scalar_sql(column)} as "{column.name}"' for column in scalars]
    typed += [
        f'{written_time_sql(name)} as "t:{name}", {stated_sql(name)} as "s:{name}"'
        for name in instants
    ]
    local = [f'{local_sql(name)} as "l:{name}"' for name in instants]
    span = _local_span(con, raw, instants) if instants else None
    offsets = [
        f'coalesce("s:{name}", {local_offset_sql(f"{chr(34)}l:{name}{chr(34)}", zone, *span)})'
        f' as "o:{name}"'
        for name in instants
        if span is not None
    ]
    settled = [settled_sql(name) for name in instants]
    filled = {name for name in table.stored_columns() if _base(name, instants) in given}
    names = [
        f'"{name}"' if name in filled or name in ORIGIN else f'null::{kind} as "{name}"'
        for name, kind in table.stored_columns().items()
    ]
    names += [f'"l:{name}", {grain_sql(name)} as "g:{name}"' for name in instants]
    levels = [", ".join(level) for level in (typed, local, offsets, settled)]
    source = f"(select {', '.join([*written, *_origin_sql(given)])} from {raw})"
    for level in levels:
        source = f"(select *{', ' + level if level else ''} from {source})"
    faults = _faults_sql(table, given, strict)
    return f"select {', '.join(names)}, file_row, {faults} as faults from {source}", instants


def _base(name: str, instants: tuple[str, ...]) -> str:
    """The canonical column that a stored column belongs to."""
    for suffix in ("_offset_min", "_quality"):
        if name.removesuffix(suffix) in instants:
            return name.removesuffix(suffix)
    return name


def _origin_sql(given: set[str]) -> list[str]:
    """Where a row comes from and what a mapping already found, as far as the raw table says."""
    origin = [
        f'cast("{name}" as {kind}) as "{name}"' if name in given else f'null::{kind} as "{name}"'
        for name, kind in ORIGIN.items()
    ]
    row = next((name for name in ("file_row", "source_row") if name in given), "null")
    found = "faults" if "faults" in given else "null"
    return [
        *origin,
        f"cast({row} as bigint) as file_row",
        f"coalesce({found}, {FAULTLESS}) as found",
    ]


def _faults_sql(table: Table, given: set[str], strict: bool) -> str:
    """The list of a row's faults, or null: what the mapping found comes first and silences ours.

    The lists are only built where one of the cheap tests says so, hence the case around them.
    """
    tests, own = ["len(found) > 0"], []
    for column in table.columns:
        needed = not column.optional and (strict or column.key)
        if column.name in given:
            several = list(column_tests(column, needed))
            own.append(fault_sql(column.name, several))
            tests += [f"({test})" for test, _ in several]
        elif needed:
            missing = f"{{'column_name': {quote(column.name)}, 'value': null::varchar, "
            own.append(f"{missing}'reason': {quote(MISSING)}}}")
            tests.append("true")
    for end, test in range_tests(table, given):
        own.append(fault_sql(end, [test]))
        tests.append(f"({test[0]})")
    found = "list_transform(found, lambda fault: fault.column_name)"
    listed = (
        f"list_concat(found, list_filter([{', '.join(own)}], lambda fault: fault is not null "
        f"and not list_contains({found}, fault.column_name)))"
    )
    return f"case when {' or '.join(tests)} then {listed} end"


def _local_span(
    con: duckdb.DuckDBPyConnection, raw: str, names: tuple[str, ...]
) -> tuple[datetime, datetime]:
    """Earliest and latest local time written in the given columns (a year's default if none)."""
    asked = ", ".join(f'min("l:{name}"), max("l:{name}")' for name in names)
    local = ", ".join(f'{local_sql(name)} as "l:{name}"' for name in names)
    times = ", ".join(f'{written_time_sql(name)} as "t:{name}"' for name in names)
    written = ", ".join(f'nullif(trim("{name}"), \'\') as "w:{name}"' for name in names)
    row = con.execute(
        f"select {asked} from (select {local} from (select {times} from "
        f"(select {written} from {raw})))"
    ).fetchone()
    found = [value for value in row or () if value is not None]
    if not found:
        return datetime(2026, 1, 1), datetime(2026, 1, 2)  # noqa: DTZ001  # naive UTC throughout
    return min(found), max(found)
