"""A store in memory from small tables of canonical text: case files, tests, worked examples.

It goes through the same typing as every import. This module knows no file format.
"""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

import duckdb

from witnessmark.errors import Fault, UnusableInputError, Where
from witnessmark.records.store import Holding, Limits, Store, connect, expose
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


class Shelf:
    """Stores in memory, one after the other on one connection: equal tables are typed once.

    A store holds until the next one is asked for. What was derived from equal tables stays too, so
    that examples that differ in one table cost what that table costs.
    """

    def __init__(self) -> None:
        # Small tables gain nothing from a second thread.
        self._con = connect(Limits(threads=1))
        self._typed: set[str] = set()
        self._standing: dict[str, str] = {}

    def store(self, tables: Mapping[str, TextTable], zone: ZoneInfo, file: str = "tables") -> Store:
        """The store that holds exactly these tables; see `load_memory`."""
        faults = [
            fault for name, text in tables.items() for fault in _shape_faults(name, text, file)
        ]
        if faults:
            raise UnusableInputError(faults)
        digests = {name: _digest(text, zone) for name, text in tables.items()}
        places = {name: f"frozen.{name}_{digest[:32]}" for name, digest in digests.items()}
        for name, text in tables.items():
            if places[name] not in self._typed:
                found = _load(self._con, name, places[name], text, zone, file)
                if not found:
                    self._typed.add(places[name])
                faults += found
        if faults:
            raise UnusableInputError(faults)
        self._forget_derived_names()
        holdings = {
            name: Holding(frozenset(text.header), len(text.rows), digests[name])
            for name, text in tables.items()
        }
        return expose(self._con, zone, holdings, places, standing=self._standing)

    def close(self) -> None:
        """Ends the connection and with it the last store."""
        self._con.close()

    def _forget_derived_names(self) -> None:
        """What the last store derived keeps its place, but must be asked for anew."""
        views = self._con.execute("select view_name from duckdb_views() where not internal")
        names = [name for (name,) in views.fetchall() if name not in TABLES]
        if names:
            self._con.execute(";".join(f"drop view {name}" for name in names))


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
    shelf = Shelf()
    try:
        return shelf.store(tables, zone, file)
    except UnusableInputError:
        shelf.close()
        raise


def _digest(text: TextTable, zone: ZoneInfo) -> str:
    return hashlib.sha256(repr((text, zone.key)).encode()).hexdigest()


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
    con: duckdb.DuckDBPyConnection,
    name: str,
    into: str,
    text: TextTable,
    zone: ZoneInfo,
    file: str,
) -> list[Fault]:
    """Types a table into `into`; leaves nothing of it where it has a fault."""
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
    type_rows(con, "raw", table, zone, into, strict=False)
    refused = con.execute('select source_row, column_name, "value", reason from refused').fetchall()
    faults = [
        Fault(Where(file, row=row, column=column), f'"{value or ""}": {reason}.')
        for row, column, value, reason in refused
    ]
    key = ", ".join(f'"{column}"' for column in table.key)
    twice = con.execute(
        f"select max(source_row) from {into} group by {key} having count(*) > 1"
    ).fetchall()
    faults += [Fault(Where(file, row=row), f"this key of {name} stands twice.") for (row,) in twice]
    if faults:
        con.execute(f"drop table {into}; drop table refused")
    return faults
