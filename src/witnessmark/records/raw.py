"""Raw rows: the text of a file's cells, row by row with its number, in one DuckDB table.

Every reader ends here and every mapping begins here. Nothing is interpreted: an empty cell is
empty, a number is the characters that were written. This module knows no file format.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import duckdb
import numpy as np

from witnessmark.records.sql_text import name_sql

BATCH = 50_000
ROW = "#row"
FAULT = "#fault"


@dataclass(frozen=True)
class RawTable:
    """The data rows of one file or sheet.

    Args:
        relation: What stands after `from`: `#row` (its number), one text column per heading,
            `#fault` (why the row as a whole cannot be read, or null).
        headings: The columns, as the file names them; told apart where two are equal.
        rows: Number of data rows, unreadable ones included.
        lines: Number of all rows of the file, as its own program counts them.
        skipped: How many rows were not data, by kind (preamble, header, blank, ...).
        notes: What a reader of the manifest should know of how the file was read.
        preamble: The text above the header, one line per row.
        last_skipped: Per kind the cells of the last row that was not data (totals rows).
    """

    relation: str
    headings: tuple[str, ...]
    rows: int
    lines: int
    skipped: Mapping[str, int] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    preamble: str = ""
    last_skipped: Mapping[str, Sequence[str]] = field(default_factory=dict)


def tell_apart(headings: Sequence[str]) -> tuple[str, ...]:
    """Headings made unique: trimmed, an empty one by its position, a second one by its number.

    DuckDB compares names without regard to case, so this does too.
    """
    seen = {ROW: 1, FAULT: 1}
    told = []
    for position, heading in enumerate(headings, 1):
        name = " ".join(heading.split()) or f"column {position}"
        seen[name.lower()] = seen.get(name.lower(), 0) + 1
        count = seen[name.lower()]
        told.append(name if count == 1 else f"{name} ({count})")
    return tuple(told) if len({n.lower() for n in told}) == len(told) else _numbered(told)


def _numbered(headings: Sequence[str]) -> tuple[str, ...]:
    """Last resort for headings such as "a", "a", "a (2)": every one carries its position."""
    return tuple(f"{heading} [{position}]" for position, heading in enumerate(headings, 1))


class RawWriter:
    """Writes raw rows into a table, in batches."""

    def __init__(
        self, con: duckdb.DuckDBPyConnection, relation: str, headings: Sequence[str]
    ) -> None:
        self._con = con
        self._relation = relation
        self._width = len(headings)
        self._numbers: list[int] = []
        self._cells: list[Sequence[str | None]] = []
        self._faults: list[str | None] = []
        self.count = 0
        columns = "".join(f", {name_sql(heading)} varchar" for heading in headings)
        con.execute(
            f"create or replace table {relation} "
            f"({name_sql(ROW)} bigint{columns}, {name_sql(FAULT)} varchar)"
        )

    def add(self, row: int, cells: Sequence[str | None], fault: str | None = None) -> None:
        """Adds one row; missing cells are empty, cells beyond the headings are left off."""
        if len(cells) != self._width:
            cells = [*cells, *([None] * self._width)][: self._width]
        self._numbers.append(row)
        self._cells.append(cells)
        self._faults.append(fault)
        self.count += 1
        if len(self._numbers) >= BATCH:
            self.flush()

    def flush(self) -> None:
        """Hands the batch over."""
        if not self._numbers:
            return
        turned = zip(*self._cells, strict=True)
        columns = {f"c{place}": _objects(cells) for place, cells in enumerate(turned)}
        columns["fault"] = _objects(self._faults)
        numbers = np.array(self._numbers, dtype=np.int64)
        self._con.register("raw_batch", {"n": numbers, **columns})
        picked = ", ".join(f"cast({name} as varchar)" for name in columns)
        self._con.execute(f"insert into {self._relation} select n, {picked} from raw_batch")
        self._con.unregister("raw_batch")
        self._numbers.clear()
        self._cells.clear()
        self._faults.clear()


def _objects(values: Sequence[str | None]) -> "np.ndarray[tuple[int], np.dtype[np.object_]]":
    """Values as an array that DuckDB reads without looking at each for its type."""
    array = np.empty(len(values), dtype=object)
    array[:] = values
    return array
