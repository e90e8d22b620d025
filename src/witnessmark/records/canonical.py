"""Files that are already in canonical names: `runs.csv`, `checks.xlsx`, `lots.parquet`.

They need no mapping. A header that lacks what its table needs, or holds what it does not know,
stops the load, because every row would be wrong in the same way.
"""

from difflib import get_close_matches
from pathlib import Path
from zoneinfo import ZoneInfo

import duckdb

from witnessmark.errors import Fault, UnusableInputError, Where
from witnessmark.records.extract import Extract, Part
from witnessmark.records.raw import FAULT, ROW, RawTable
from witnessmark.records.readers import sheet_names
from witnessmark.records.sql_text import name_sql, quote
from witnessmark.records.table import ORIGIN, Table
from witnessmark.records.tables import TABLES


def canonical_extract(path: Path, name: str, zone: ZoneInfo) -> Extract:
    """The extract of a file whose name is the name of a canonical table."""
    table = TABLES[path.stem]
    sheet = _sheet(path, name)

    def parts(_: duckdb.DuckDBPyConnection, raw: RawTable) -> tuple[Part, ...]:
        faults = header_faults(raw.headings, table, name)
        if faults:
            raise UnusableInputError(faults)
        given = tuple(column.name for column in table.columns if column.name in raw.headings)
        part = Part(
            table,
            given,
            _select(raw, given, extract.extract_id),
            headings={column: (column,) for column in given},
            is_plain=True,
        )
        return (part,)

    extract = Extract(path, name, zone, parts, sheet)
    return extract


def _sheet(path: Path, name: str) -> str | None:
    """The sheet of a canonical workbook: its only one, or the one named like the table."""
    sheets = sheet_names(path, name)
    if sheets is None:
        return None
    if len(sheets) == 1 or path.stem in sheets:
        return sheets[0] if len(sheets) == 1 else path.stem
    raise UnusableInputError.one(
        Where(name),
        f"the workbook has {len(sheets)} sheets and none is called {path.stem}.",
        mend=f"Sheets are: {', '.join(sheets)}.",
    )


def header_faults(headings: tuple[str, ...], table: Table, name: str) -> list[Fault]:
    """What is wrong with a header in canonical names."""
    known = [column.name for column in table.columns]
    faults = []
    for heading in headings:
        if heading not in known and heading not in ORIGIN:
            near = get_close_matches(heading, known, n=1)
            mend = f"Did you mean {near[0]}?" if near else f"Known: {', '.join(known)}."
            where = Where(name, row=1, column=heading)
            faults.append(Fault(where, f"{table.name} has no such column.", mend=mend))
    faults += [
        Fault(
            Where(name, row=1, column=column.name),
            f"the header lacks this column, and {table.name} needs it.",
            mend="Add it, or write a mapping.toml that says where it comes from.",
        )
        for column in table.columns
        if not column.optional and column.name not in headings
    ]
    return faults


def _select(raw: RawTable, given: tuple[str, ...], extract_id: str) -> str:
    columns = [name_sql(name) for name in given]
    stated = "nullif(trim(extract_id), '')" if "extract_id" in raw.headings else "null"
    row = "try_cast(source_row as bigint)" if "source_row" in raw.headings else "null"
    return (
        f"select {', '.join(columns)}, coalesce({stated}, {quote(extract_id)}) as extract_id, "
        f"coalesce({row}, {name_sql(ROW)}) as source_row, {name_sql(ROW)} as file_row "
        f"from {raw.relation} where {name_sql(FAULT)} is null"
    )
