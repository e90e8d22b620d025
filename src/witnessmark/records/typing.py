"""Canonical text to typed rows: the one place where a written value becomes a value.

Rows come in as text in canonical columns (a canonical CSV folder, a case file, or what a mapping
made of a plant's export) and leave typed, or refused with the column, the value and the reason.
Nothing stops at a bad row. This module knows neither files nor mappings.

Inside one query every column has up to four faces: `w:x` as written (trimmed, empty is null),
`l:x` its local timestamp, `s:x` the offset it states, and `x` the typed value.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import LiteralString
from zoneinfo import ZoneInfo

import duckdb

from witnessmark.records.repeated_hours import SET_ASIDE, settle_repeated_hours
from witnessmark.records.table import ORIGIN, Column, Table
from witnessmark.records.zones import AMBIGUOUS, local_offset_sql

OFFSET: LiteralString = r"(Z|[+-]\d{2}:?\d{2})$"
INSTANT: LiteralString = (
    r"^\d{4}-\d{2}-\d{2}([ T]\d{2}(:\d{2}(:\d{2}(\.\d{1,6})?)?)?( ?(Z|[+-]\d{2}:?\d{2}))?)?$"
)
EXPECTED = {
    "int": "not a whole number",
    "decimal": "not a number with a decimal point",
    "bool": "neither true nor false",
    "date": "not a date written 2026-03-29",
    "instant": "not a time written 2026-03-29 01:45 or 2026-10-25T02:30+02:00",
}
NEVER = "this local time never occurred: the clocks were put forward over it"
FORMULA_ERROR = r"^#(REF!|DIV/0!|VALUE!|NAME\?|N/A|NUM!|NULL!|SPILL!|CALC!|UNCALCULATED!)$"
BROKEN_FORMULA = "a formula in error, or one that was never calculated"
FIRST_YEAR, LAST_YEAR = 1970, 2099
FAR_OFF = f"not between {FIRST_YEAR} and {LAST_YEAR}; leave it empty where it stands for no time"
MISSING = "empty, and this table needs it"
REFUSED_COLUMNS = (
    "table_name varchar, extract_id varchar, source_row bigint, "
    'column_name varchar, "value" varchar, reason varchar'
)


FAULTLESS = '[]::struct(column_name varchar, "value" varchar, reason varchar)[]'
MAY_BE_NEGATIVE = {"", "m", "s", "s/day"}
"""Units in which a number may lie below zero; every other unit measures an amount."""
NEGATIVE = "below zero, and an amount cannot be"


@dataclass(frozen=True)
class Typed:
    """How many rows of a raw table were typed and how many refused."""

    loaded: int
    refused: int


def quote(text: str) -> str:
    """A text as an SQL literal."""
    return "'" + text.replace("'", "''") + "'"


def _scalar_sql(column: Column) -> str:
    """The typed value of a column that is not an instant; null where it cannot be read."""
    raw = f'"w:{column.name}"'
    match column.type:
        case "int":
            shape = r"^[+-]?\d{1,18}$"
            return f"case when regexp_matches({raw}, '{shape}') then cast({raw} as bigint) end"
        case "decimal":
            shape = r"^[+-]?(\d{1,12}(\.\d*)?|\.\d+)$"
            return (
                f"case when regexp_matches({raw}, '{shape}') then cast({raw} as decimal(18, 6)) end"
            )
        case "bool":
            return (
                f"case when lower({raw}) in ('true', 'yes', '1') then true "
                f"when lower({raw}) in ('false', 'no', '0') then false end"
            )
        case "date":
            shape = r"^\d{4}-\d{2}-\d{2}$"
            return f"case when regexp_matches({raw}, '{shape}') then try_cast({raw} as date) end"
        case "list":
            parts = f"list_transform(string_split({raw}, ';'), lambda part: trim(part))"
            return f"nullif(list_filter({parts}, lambda part: part <> ''), [])"
        case _:
            return raw


def _local_sql(name: str) -> str:
    """The timestamp as written, any offset left off; null where it is none."""
    bare = f"replace(regexp_replace(\"w:{name}\", ' ?{OFFSET}', ''), 'T', ' ')"
    full = f"case length({bare}) when 13 then {bare} || ':00' else {bare} end"
    known = f"regexp_matches(\"w:{name}\", '{INSTANT}')"
    return f"case when {known} and not {_far_off_sql(name)} then try_cast({full} as timestamp) end"


def _far_off_sql(name: str) -> str:
    """Whether a time lies where no record can: 9999-12-31 and its like stand for no time."""
    year = f'try_cast("w:{name}"[1:4] as integer)'
    return f"coalesce({year} not between {FIRST_YEAR} and {LAST_YEAR}, false)"


def _stated_sql(name: str) -> str:
    """Minutes ahead of UTC that the written time states; null where it states none."""
    stated = f"replace(regexp_extract(\"w:{name}\", ':\\d{{2}}.*?{OFFSET}', 1), ':', '')"
    hours, minutes = f"try_cast({stated}[2:3] as integer)", f"try_cast({stated}[4:5] as integer)"
    ahead = f"({hours} * 60 + {minutes})"
    return (
        f"case when {stated} = '' then null when {stated} = 'Z' then 0 "
        f"when {stated}[1:1] = '-' then -{ahead} else {ahead} end"
    )


def _grain_sql(name: str) -> str:
    bare = f"length(regexp_replace(\"w:{name}\", ' ?{OFFSET}', ''))"
    return (
        f"case when {bare} >= 19 then 's' when {bare} >= 16 then 'min' "
        f"when {bare} >= 13 then 'h' else 'day' end"
    )


def _fault_sql(column: Column, strict: bool) -> str:
    """A struct (column, value, reason) where the column refuses its row, else null."""
    name, written = column.name, f'"w:{column.name}"'
    tests = []
    if not column.optional and (strict or column.key):
        tests.append((f"{written} is null", MISSING))
    if column.type in ("text", "list"):
        broken = f"regexp_matches({written}, {quote(FORMULA_ERROR)})"
        tests.append((f"starts_with({written}, '#') and {broken}", BROKEN_FORMULA))
    if column.type == "instant":
        far_off = f"regexp_matches({written}, '{INSTANT}') and {_far_off_sql(name)}"
        tests.append((f'"l:{name}" is null and {far_off}', FAR_OFF))
        tests.append((f'{written} is not null and "l:{name}" is null', EXPECTED["instant"]))
        tests.append((f'"l:{name}" is not null and "o:{name}" is null', NEVER))
    elif column.type in EXPECTED:
        tests.append((f'{written} is not null and "{name}" is null', EXPECTED[column.type]))
    if column.type in ("int", "decimal") and column.unit not in MAY_BE_NEGATIVE:
        tests.append((f'"{name}" < 0', NEGATIVE))
    if column.words:
        words = ", ".join(quote(word) for word in column.words)
        known = (
            f'list_has_all([{words}], "{name}")'
            if column.type == "list"
            else f'"{name}" in ({words})'
        )
        tests.append((f"not {known}", "not one of: " + ", ".join(column.words)))
    if not tests:
        return ""
    cases = " ".join(f"when {test} then {quote(reason)}" for test, reason in tests)
    return (
        f"case when {' or '.join(f'({test})' for test, _ in tests)} then "
        f"{{'column_name': {quote(name)}, 'value': {written}, 'reason': case {cases} end}} end"
    )


def _range_sql(start: str, end: str, instants: tuple[str, ...]) -> str:
    """An end before its start; a time known to the day only ends with its day."""
    last = f'"{end}"'
    if end in instants:
        last = f'case when "{end}_quality" = \'day\' then "{end}" + to_days(1) else "{end}" end'
    return (
        f"case when {last} < \"{start}\" then {{'column_name': {quote(end)}, "
        f"'value': \"w:{end}\", 'reason': {quote(f'lies before {start}')}}} end"
    )


def _local_span(
    con: duckdb.DuckDBPyConnection, raw: str, names: list[str]
) -> tuple[datetime, datetime]:
    """Earliest and latest local time written in the given columns (a year's default if none)."""
    asked = ", ".join(f'min("l:{name}"), max("l:{name}")' for name in names)
    faces = ", ".join(f'{_local_sql(name)} as "l:{name}"' for name in names)
    written = ", ".join(f'nullif(trim("{name}"), \'\') as "w:{name}"' for name in names)
    row = con.execute(
        f"select {asked} from (select {faces} from (select {written} from {raw}))"
    ).fetchone()
    found = [value for value in row or () if value is not None]
    if not found:
        return datetime(2026, 1, 1), datetime(2026, 1, 2)  # noqa: DTZ001  # naive UTC throughout
    return min(found), max(found)


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
    staged = _staged_sql(con, raw, table, zone, strict)
    unsure = " or ".join(["faults is not null", *(_unsure_sql(name) for name in table.instants)])
    # Two passes over cheap expressions: writing all rows twice costs three times as much.
    con.execute(
        f"create or replace temp table {SET_ASIDE} as select * from ({staged}) where {unsure}"
    )
    names = ", ".join(f'"{name}"' for name in stored)
    con.execute(f"insert into {into} ({names}) select {names} from ({staged}) where not ({unsure})")
    if _count(con, f"select count(*) from {SET_ASIDE} where faults is null"):
        order = "file_row" if keep_file_row else "source_row"
        settle_repeated_hours(con, into, first, order, table, zone)
        con.execute(
            f"insert into {into} ({names}) select {names} from {SET_ASIDE} where faults is null"
        )
    con.execute(
        f"insert into refused select {quote(table.name)}, extract_id, file_row, fault.* from ("
        f"select extract_id, file_row, unnest(faults) as fault from {SET_ASIDE} "
        "where faults is not null)"
    )
    refused = _count(con, f"select count(*) from {SET_ASIDE} where faults is not null")
    con.execute(f"drop table {SET_ASIDE}")
    return Typed(_count(con, f"select count(*) from {into}") - first, refused)


def _count(con: duckdb.DuckDBPyConnection, sql: str) -> int:
    row = con.execute(sql).fetchone()
    return int(row[0]) if row else 0


def _unsure_sql(name: str) -> str:
    return f"coalesce(\"{name}_quality\" = 'ambiguous', false)"


def _staged_sql(
    con: duckdb.DuckDBPyConnection, raw: str, table: Table, zone: ZoneInfo, strict: bool
) -> str:
    given = {row[0] for row in con.execute(f"describe {raw}").fetchall()}
    written = [
        f"nullif(trim(\"{column.name}\"), '')" if column.name in given else "null::varchar"
        for column in table.columns
    ]
    origin = [
        f'cast("{name}" as {kind}) as "{name}"' if name in given else f'null::{kind} as "{name}"'
        for name, kind in ORIGIN.items()
    ]
    origin.append(
        f"cast({_first_of(('file_row', 'source_row'), given, 'null')} as bigint) as file_row"
    )
    origin.append(f"coalesce({_first_of(('faults',), given, 'null')}, {FAULTLESS}) as found")
    faces = [
        f'{sql} as "w:{column.name}"' for sql, column in zip(written, table.columns, strict=True)
    ]
    scalars = [column for column in table.columns if column.type != "instant"]
    instants = [column.name for column in table.columns if column.type == "instant"]
    present = [name for name in instants if name in given]
    span = _local_span(con, raw, present) if present else None
    typed = [f'{_scalar_sql(column)} as "{column.name}"' for column in scalars]
    typed += [
        f'{_local_sql(name)} as "l:{name}", {_stated_sql(name)} as "s:{name}"' for name in instants
    ]
    offsets = [
        f'coalesce("s:{name}", {local_offset_sql(f"{chr(34)}l:{name}{chr(34)}", zone, *span)})'
        f' as "o:{name}"'
        if span is not None and name in present
        else f'null::smallint as "o:{name}"'
        for name in instants
    ]
    settled = [_settled_sql(name) for name in instants]
    names = ", ".join(f'"{name}"' for name in table.stored_columns())
    names += "".join(f', "l:{name}", {_grain_sql(name)} as "g:{name}"' for name in instants)
    return (
        f"select {names}, file_row, {_faults_sql(table, strict)} as faults "
        f"from (select *{''.join(', ' + sql for sql in settled)} "
        f"from (select *{''.join(', ' + sql for sql in offsets)} "
        f"from (select *, {', '.join(typed)} "
        f"from (select {', '.join(faces + origin)} from {raw}))))"
    )


def _first_of(names: tuple[str, ...], given: set[str], otherwise: str) -> str:
    return next((name for name in names if name in given), otherwise)


def _faults_sql(table: Table, strict: bool) -> str:
    """The list of a row's faults, or null: what the mapping found comes first and silences ours.

    The lists are only built where one of the cheap tests says so, hence the case around them.
    """
    own = [sql for column in table.columns if (sql := _fault_sql(column, strict))]
    own += [_range_sql(start, end, table.instants) for start, end in table.ranges]
    found = "list_transform(found, lambda fault: fault.column_name)"
    listed = (
        f"list_concat(found, list_filter([{', '.join(own)}], lambda fault: fault is not null "
        f"and not list_contains({found}, fault.column_name)))"
    )
    any_fault = " or ".join(["len(found) > 0", *(f"({sql}) is not null" for sql in own)])
    return f"case when {any_fault} then {listed} end"


def _settled_sql(name: str) -> str:
    local, offset = f'"l:{name}"', f'"o:{name}"'
    known = f"{offset} <> {AMBIGUOUS}"
    return (
        f'case when {known} then {local} - to_minutes(cast({offset} as integer)) end as "{name}", '
        f'case when {known} then cast({offset} as smallint) end as "{name}_offset_min", '
        f"case when {local} is null then null when {offset} = {AMBIGUOUS} then 'ambiguous' "
        f'else {_grain_sql(name)} end as "{name}_quality"'
    )
