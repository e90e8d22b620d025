"""Refused rows out and mended rows in: the same file, corrected by a person.

Beside the manifest stand `refused.csv` (every fault: file, sheet, row, column, value, reason, the
raw row) and `to_mend/<file>`: the refused rows in the file's own columns. Corrected and saved as
`mended/<file>` in the folder of exports, its cells take the place of the refused ones at the next
freeze, row by row; a row keeps its number. Columns that may name a person, and columns that no
mapping takes, are not written out; the original's cells stand for them.
"""

from dataclasses import replace
from pathlib import Path

import duckdb

from witnessmark.errors import Fault, UnusableInputError, Where
from witnessmark.records.extract import Extract, Part
from witnessmark.records.raw import FAULT, ROW, RawTable
from witnessmark.records.read_csv import read_csv
from witnessmark.records.sql_text import name_sql, quote

FOLDER = "mended"
OUT = "to_mend"
REFUSED = "refused.csv"
MEND_ROW = "mend: row"
MEND_REASON = "mend: reason"


def mend(
    con: duckdb.DuckDBPyConnection, raw: RawTable, path: Path, relation: str
) -> tuple[RawTable, int]:
    """The raw rows with mended cells in the place of the refused ones.

    Args:
        con: Connection that holds the raw rows.
        raw: The raw rows of the file.
        path: The file of mended rows.
        relation: Name for the mended raw rows.

    Returns:
        The raw rows, and how many of them are mended.

    Raises:
        UnusableInputError: Columns that the file lacks, row numbers that are none.
    """
    name = f"{FOLDER}/{path.name}"
    mended = read_csv(con, path, name, f"{relation}_cells")
    faults = _faults(con, raw, mended, name)
    if faults:
        raise UnusableInputError(faults)
    row, fault = name_sql(ROW), name_sql(FAULT)
    cells = ", ".join(
        f"case when m.mended_row is not null then m.{name_sql(heading)} "
        f"else r.{name_sql(heading)} end as {name_sql(heading)}"
        if heading in mended.headings
        else f"r.{name_sql(heading)}"
        for heading in raw.headings
    )
    con.execute(
        f"create or replace view {relation} as select r.{row}, {cells}, "
        f"case when m.mended_row is null then r.{fault} end as {fault} "
        f"from {raw.relation} as r left join "
        f"(select *, cast({name_sql(MEND_ROW)} as bigint) as mended_row from {mended.relation}) "
        f"as m on m.mended_row = r.{row}"
    )
    return replace(raw, relation=relation), mended.rows


def _faults(
    con: duckdb.DuckDBPyConnection, raw: RawTable, mended: RawTable, name: str
) -> list[Fault]:
    if MEND_ROW not in mended.headings:
        return [Fault(Where(name), f'the column "{MEND_ROW}" is missing.')]
    faults = [
        Fault(Where(name, column=heading), "the file that is mended has no such column.")
        for heading in mended.headings
        if heading not in raw.headings and heading not in (MEND_ROW, MEND_REASON)
    ]
    number = f"try_cast({name_sql(MEND_ROW)} as bigint)"
    wrong = con.execute(
        f"select {name_sql(ROW)}, {name_sql(MEND_ROW)} from {mended.relation} "
        f"where {name_sql(FAULT)} is not null or {number} is null "
        f"or {number} not in (select {name_sql(ROW)} from {raw.relation}) order by 1 limit 20"
    ).fetchall()
    faults += [
        Fault(Where(name, row=row), f'"{text}" is no data row of the file that is mended.')
        for row, text in wrong
    ]
    twice = con.execute(
        f"select max({name_sql(ROW)}), {number} from {mended.relation} group by 2 "
        "having count(*) > 1 order by 1 limit 20"
    ).fetchall()
    faults += [Fault(Where(name, row=row), f"row {text} stands twice.") for row, text in twice]
    return faults


def visible_headings(extract: Extract, raw: RawTable, parts: tuple[Part, ...]) -> list[str]:
    """The columns of a file that may be written out beside a freeze."""
    if extract.shows_all:
        return list(raw.headings)
    mapped = {h for part in parts for several in part.headings.values() for h in several}
    personal = {h for part in parts for name in part.personal for h in part.headings[name]}
    return [heading for heading in raw.headings if heading in mapped - personal]


def write_refused(
    con: duckdb.DuckDBPyConnection,
    folder: Path,
    read: list[tuple[Extract, RawTable, tuple[Part, ...]]],
) -> None:
    """Writes refused.csv and the files to mend, where any row was refused.

    Args:
        con: Connection of the work database.
        folder: Folder of the freeze.
        read: What was read, in order of feed numbers.
    """
    queries = []
    for number, (extract, raw, parts) in enumerate(read):
        row = con.execute("select 1 from turned_away where feed = ? limit 1", [number]).fetchone()
        if row is None:
            continue
        shown = visible_headings(extract, raw, parts)
        queries.append(_refused_sql(number, extract, raw, parts, shown))
        _write_to_mend(con, folder / OUT, number, extract, raw, shown)
    if queries:
        con.execute(
            f"copy (select * from ({' union all '.join(queries)}) "
            'order by file, sheet nulls first, "row", canonical_column nulls first, reason) '
            f"to {quote(str(folder / REFUSED))} (format csv, header)"
        )


def _cells_sql(extract: Extract, shown: list[str]) -> list[str]:
    """Cells that may be shown; a row that cannot be cut into cells shows none of a mapped file."""
    guard = "true" if extract.shows_all else f"{name_sql(FAULT)} is null"
    return [f"case when {guard} then {name_sql(heading)} end" for heading in shown]


def _refused_sql(
    number: int, extract: Extract, raw: RawTable, parts: tuple[Part, ...], shown: list[str]
) -> str:
    headings = {
        f"{part.table.name}.{name}": " + ".join(several)
        for part in parts
        for name, several in part.headings.items()
    }
    branches = " ".join(
        f"when {quote(name)} then {quote(heading)}" for name, heading in headings.items() if heading
    )
    key = "t.table_name || '.' || t.column_name"
    heading = f"case {key} {branches} else t.column_name end" if branches else "t.column_name"
    cells = ", ".join(f"coalesce({cell}, '')" for cell in _cells_sql(extract, shown)) or "''"
    sheet = quote(extract.sheet) if extract.sheet else "null::varchar"
    return (
        f'select {quote(extract.name)} as file, {sheet} as sheet, t.file_row as "row", '
        f'{heading} as "column", t."value", t.reason, t.table_name as canonical_table, '
        f"t.column_name as canonical_column, concat_ws(' | ', {cells}) as raw_row "
        f"from turned_away as t left join {raw.relation} as r on r.{name_sql(ROW)} = t.file_row "
        f"where t.feed = {number}"
    )


def _write_to_mend(
    con: duckdb.DuckDBPyConnection,
    folder: Path,
    number: int,
    extract: Extract,
    raw: RawTable,
    shown: list[str],
) -> None:
    folder.mkdir(exist_ok=True)
    cells = "".join(
        f", {cell} as {name_sql(heading)}"
        for cell, heading in zip(_cells_sql(extract, shown), shown, strict=True)
    )
    con.execute(
        f"copy (select t.file_row as {name_sql(MEND_ROW)}, t.reasons as {name_sql(MEND_REASON)}"
        f"{cells} from (select file_row, string_agg(distinct coalesce(column_name || ': ', '') "
        "|| reason, '; ' order by coalesce(column_name || ': ', '') || reason) as reasons "
        f"from turned_away where feed = {number} group by file_row) as t "
        f"inner join {raw.relation} as r on r.{name_sql(ROW)} = t.file_row order by t.file_row) "
        f"to {quote(str(folder / extract.mend_name))} (format csv, header)"
    )
