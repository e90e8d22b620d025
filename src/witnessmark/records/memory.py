"""A store in memory from small tables of canonical text: case files, tests, worked examples.

It goes through the same typing as every import. This module knows no file format.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

import duckdb

from witnessmark.errors import Fault, UnusableInputError, Where
from witnessmark.records.store import Holding, Store, connect, expose
from witnessmark.records.tables import TABLES
from witnessmark.records.typing import type_rows


@dataclass(frozen=True)
class TextTable:
    """A small table as text.

    Args:
        header: Canonical column names (any, but the required key must be among them).
        rows: Cells in the order of the header; an empty cell is empty.
        line: Line of the first row in its file, for messages.
    """

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    line: int = 1


def load_memory(tables: Mapping[str, TextTable], zone: ZoneInfo, file: str = "tables") -> Store:
    """A store that holds exactly these tables; a table with a header and no rows is present.

    Args:
        tables: Canonical name to text.
        zone: Zone of times written without an offset.
        file: Name used in messages.

    Raises:
        UnusableInputError: Unknown tables or columns, a missing key column, cells that cannot be
            read, rows longer or shorter than their header, a key that stands twice; all at once.
    """
    con = connect()
    faults = [fault for name, table in tables.items() for fault in _shape_faults(name, table, file)]
    if faults:
        raise UnusableInputError(faults)
    for name, text in tables.items():
        faults += _load(con, name, text, zone, file)
    if faults:
        con.close()
        raise UnusableInputError(faults)
    holdings = {
        name: Holding(frozenset(text.header), len(text.rows)) for name, text in tables.items()
    }
    return expose(con, zone, holdings)


def _shape_faults(name: str, text: TextTable, file: str) -> list[Fault]:
    where = Where(file, row=text.line, column=name)
    if name not in TABLES:
        return [Fault(where, f'there is no table "{name}".', mend="See docs/reference/records.md.")]
    table = TABLES[name]
    known = {column.name for column in table.columns} | {"extract_id", "source_row"}
    faults = [
        Fault(Where(file, row=text.line, column=column), f"{name} has no such column.")
        for column in text.header
        if column not in known
    ]
    if len(set(text.header)) < len(text.header):
        faults.append(Fault(where, "a column stands twice in the header."))
    missing = [
        column.name
        for column in table.columns
        if column.key and not column.optional and column.name not in text.header
    ]
    if missing:
        faults.append(Fault(where, f"the key column {', '.join(missing)} is missing."))
    faults += [
        Fault(Where(file, row=text.line + number), f"{len(row)} cells, not {len(text.header)}.")
        for number, row in enumerate(text.rows)
        if len(row) != len(text.header)
    ]
    return faults


def _load(
    con: duckdb.DuckDBPyConnection, name: str, text: TextTable, zone: ZoneInfo, file: str
) -> list[Fault]:
    table = TABLES[name]
    origin = [] if "source_row" in text.header else ["source_row"]
    columns = ", ".join(f'"{column}" varchar' for column in (*text.header, *origin))
    con.execute(f"create or replace temp table raw ({columns})")
    rows: list[Sequence[str]] = [
        (*row, *([str(text.line + number)] if origin else []))
        for number, row in enumerate(text.rows)
    ]
    if rows:
        marks = ", ".join("?" for _ in rows[0])
        con.executemany(f"insert into raw values ({marks})", rows)
    type_rows(con, "raw", table, zone, f"frozen.{name}", strict=False)
    refused = con.execute(
        'select source_row, column_name, "value", reason from refused where table_name = ?', [name]
    ).fetchall()
    faults = [
        Fault(Where(file, row=row, column=column), f'"{value or ""}": {reason}.')
        for row, column, value, reason in refused
    ]
    key = ", ".join(f'"{column}"' for column in table.key)
    twice = con.execute(
        f"select max(source_row) from frozen.{name} group by {key} having count(*) > 1"
    ).fetchall()
    faults += [Fault(Where(file, row=row), f"this key of {name} stands twice.") for (row,) in twice]
    return faults
