"""How one canonical column is typed from its text, as SQL, and what refuses a row because of it.

Inside one query a column has several faces: `w:x` as written (trimmed, empty is null), `t:x` the
time it writes, `l:x` that time if it can be one of a record, `s:x` the offset it states, `o:x` the
offset in force, and `x` the typed value.
This module builds expressions; typing.py runs them.
"""

from collections.abc import Iterator
from typing import LiteralString

from witnessmark.records.sql_text import quote
from witnessmark.records.table import Column, Table
from witnessmark.records.zones import AMBIGUOUS

OFFSET: LiteralString = r"(Z|[+-]\d{2}:?\d{2})$"
INSTANT: LiteralString = (
    r"^\d{4}-\d{2}-\d{2}([ T]\d{2}(:\d{2}(:\d{2}(\.\d{1,6})?)?)?( ?(Z|[+-]\d{2}:?\d{2}))?)?$"
)
PLAIN_INSTANT: LiteralString = r"^\d{4}-\d{2}-\d{2}[ T]\d{2}:\d{2}(:\d{2})?$"
EXPECTED = {
    "int": "not a whole number",
    "decimal": "not a number with a decimal point",
    "bool": "neither true nor false",
    "date": "not a date written 2026-03-29",
    "instant": "not a time written 2026-03-29 01:45 or 2026-10-25T02:30+02:00",
}
NEVER = "this local time never occurred: the clocks were put forward over it"
MISSING = "empty, and this table needs it"
EARLIEST, LATEST = "timestamp '1970-01-01'", "timestamp '2099-12-31 23:59:59'"
FAR_OFF = "not between 1970 and 2099; leave it empty where it stands for no time"
FORMULA_ERROR = r"^#(REF!|DIV/0!|VALUE!|NAME\?|N/A|NUM!|NULL!|SPILL!|CALC!|UNCALCULATED!)$"
BROKEN_FORMULA = "a formula in error, or one that was never calculated"
LOST_DIGITS = r"^[0-9](\.[0-9]+)?[eE]\+[0-9]+$"
NO_ID = "an id that lost its digits in a spreadsheet"
MAY_BE_NEGATIVE = {"", "m", "s", "s/day"}
"""Units in which a number may lie below zero; every other unit measures an amount."""
NEGATIVE = "below zero, and an amount cannot be"
Test = tuple[str, str]


def scalar_sql(column: Column) -> str:
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


def written_time_sql(name: str) -> str:
    """The timestamp as written, any offset left off; null where it is none.

    Nearly all times are plain, and a plain one costs one look; the rest take the long way.
    """
    written = f'"w:{name}"'
    bare = f"replace(regexp_replace({written}, ' ?{OFFSET}', ''), 'T', ' ')"
    full = f"case length({bare}) when 13 then {bare} || ':00' else {bare} end"
    return (
        f"case when regexp_matches({written}, '{PLAIN_INSTANT}') then "
        f"try_cast({written} as timestamp) "
        f"when regexp_matches({written}, '{INSTANT}') then try_cast({full} as timestamp) end"
    )


def local_sql(name: str) -> str:
    """The written time if a record can hold it: 9999-12-31 and its like stand for no time."""
    return f'case when "t:{name}" between {EARLIEST} and {LATEST} then "t:{name}" end'


def stated_sql(name: str) -> str:
    """Minutes ahead of UTC that the written time states; null where it states none."""
    written = f'"w:{name}"'
    stated = f"replace(regexp_extract({written}, ':\\d{{2}}.*?{OFFSET}', 1), ':', '')"
    hours, minutes = f"try_cast({stated}[2:3] as integer)", f"try_cast({stated}[4:5] as integer)"
    ahead = f"({hours} * 60 + {minutes})"
    return (
        f"case when length({written}) in (10, 16) then null "
        f"when {stated} = '' then null when {stated} = 'Z' then 0 "
        f"when {stated}[1:1] = '-' then -{ahead} else {ahead} end"
    )


def grain_sql(name: str) -> str:
    """How exactly the time was written: s, min, h or day."""
    written = f'"w:{name}"'
    bare = f"length(regexp_replace({written}, ' ?{OFFSET}', ''))"
    return (
        f"case when length({written}) = 16 then 'min' when length({written}) = 10 then 'day' "
        f"when {bare} >= 19 then 's' when {bare} >= 16 then 'min' "
        f"when {bare} >= 13 then 'h' else 'day' end"
    )


def settled_sql(name: str) -> str:
    """The instant in UTC with its companions; a repeated hour is null and "ambiguous"."""
    local, offset = f'"l:{name}"', f'"o:{name}"'
    known = f"{offset} <> {AMBIGUOUS}"
    return (
        f'case when {known} then {local} - to_minutes(cast({offset} as integer)) end as "{name}", '
        f'case when {known} then cast({offset} as smallint) end as "{name}_offset_min", '
        f"case when {local} is null then null when {offset} = {AMBIGUOUS} then 'ambiguous' "
        f'else {grain_sql(name)} end as "{name}_quality"'
    )


def is_id(column: Column) -> bool:
    """Whether a column holds ids, in which every digit counts."""
    return column.type == "text" and (column.key or column.name.endswith(("_id", "_no", "_key")))


def column_tests(column: Column, needed: bool) -> Iterator[Test]:
    """Every condition under which a given column refuses its row, with the reason.

    Args:
        column: The declaration.
        needed: Whether it must be filled.
    """
    name, written = column.name, f'"w:{column.name}"'
    if needed:
        yield f"{written} is null", MISSING
    if column.type in ("text", "list"):
        broken = f"regexp_matches({written}, {quote(FORMULA_ERROR)})"
        yield f"starts_with({written}, '#') and {broken}", BROKEN_FORMULA
        if is_id(column):
            lost = f"regexp_matches({written}, '{LOST_DIGITS}')"
            yield f"contains({written}, '+') and {lost}", NO_ID
    elif column.type == "instant":
        yield f'"t:{name}" is not null and "l:{name}" is null', FAR_OFF
        yield f'{written} is not null and "t:{name}" is null', EXPECTED["instant"]
        yield f'"l:{name}" is not null and "o:{name}" is null', NEVER
    else:
        yield f'{written} is not null and "{name}" is null', EXPECTED[column.type]
    if column.type in ("int", "decimal") and column.unit not in MAY_BE_NEGATIVE:
        yield f'"{name}" < 0', NEGATIVE
    if column.words:
        words = ", ".join(quote(word) for word in column.words)
        is_known = f'"{name}" in ({words})'
        if column.type == "list":
            is_known = f'list_has_all([{words}], "{name}")'
        yield f"not {is_known}", "not one of: " + ", ".join(column.words)


def range_tests(table: Table, given: set[str]) -> Iterator[tuple[str, Test]]:
    """The end column and the test of every pair whose end lies before its start.

    A time known to the day only ends with its day.
    """
    for start, end in table.ranges:
        if start in given and end in given:
            last = f'"{end}"'
            if end in table.instants:
                day_end = f'"{end}" + to_days(1)'
                last = f"case when \"{end}_quality\" = 'day' then {day_end} else {last} end"
            yield end, (f'{last} < "{start}"', f"lies before {start}")


def fault_sql(name: str, tests: list[Test]) -> str:
    """A struct (column, value, reason) for the first test that holds, else null."""
    cases = " ".join(
        f"when {test} then {{'column_name': {quote(name)}, 'value': \"w:{name}\", "
        f"'reason': {quote(reason)}}}"
        for test, reason in tests
    )
    return f"case {cases} end"
