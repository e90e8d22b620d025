"""Text files with cells and delimiters, to raw rows: what is data, what is not, nothing lost.

A plain file (header in its first line, every line a row) goes through DuckDB's reader, whose count
is held against the file's line ends: quotes that are never closed otherwise swallow rows without a
word. Every other file is read line by line here, where a bad line becomes a row with a fault. This
module knows neither mappings nor canonical tables.
"""

import csv
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

import duckdb

from witnessmark.errors import UnusableInputError, Where
from witnessmark.records.raw import FAULT, ROW, RawTable, tell_apart
from witnessmark.records.rows import Layout, RowSorter
from witnessmark.records.sql_text import name_sql, quote
from witnessmark.records.text_file import (
    CHUNK,
    check_encoding,
    check_is_text,
    delimiter_of,
    encoding_of,
    lines_of,
)

BULK_BYTES = 8 << 20
LONGEST_CELL_LINES = 50
UNCLOSED = "a quotation mark is opened and never closed"


@dataclass(frozen=True)
class CsvForm:
    """How a text file is written; what is not stated is found out.

    Args:
        encoding: Such as utf-8, cp1252 or utf-16.
        delimiter: The character between cells.
    """

    encoding: str | None = None
    delimiter: str | None = None


def read_csv(
    con: duckdb.DuckDBPyConnection,
    path: Path,
    name: str,
    relation: str,
    form: CsvForm | None = None,
    layout: Layout | None = None,
    bulk_bytes: int = BULK_BYTES,
) -> RawTable:
    """The rows of a text file, in a DuckDB table.

    Args:
        con: Where the table is made.
        path: The file.
        name: Its name in messages.
        relation: Name of the table to make.
        form: Encoding and delimiter, where known.
        layout: Where the header stands and what is not data; default a header in the first line.
        bulk_bytes: From this size on a plain file goes through DuckDB's reader.

    Raises:
        UnusableInputError: Not a text file, empty, mixed encodings, no delimiter to be told.
    """
    form, layout = form or CsvForm(), layout or Layout()
    check_is_text(path, name)
    encoding = form.encoding or encoding_of(path, name)
    if form.encoding:
        check_encoding(path, name, form.encoding)
    delimiter = form.delimiter or delimiter_of(path, name, encoding)
    notes = (f"encoding {encoding}", f"delimiter {delimiter!r}")
    if layout.plain and path.stat().st_size >= bulk_bytes and encoding.startswith("utf-8"):
        raw = _bulk(con, path, relation, delimiter, notes)
        if raw is not None:
            return raw
    records = csv_records(lines_of(path, encoding), delimiter)
    return RowSorter(layout, name).sort(con, relation, records, notes)


def csv_records(
    lines: Iterable[str], delimiter: str
) -> Iterator[tuple[int, list[str], str | None]]:
    """Number, cells and fault of every record; a cell may run over lines when its quote closes."""
    waiting = iter(lines)
    pushed: list[str] = []
    number = 0
    while True:
        line = pushed.pop() if pushed else next(waiting, None)
        if line is None:
            return
        number += 1
        if '"' not in line:
            yield number, line.split(delimiter), None
            continue
        taken = [line]
        while True:
            cells, is_open = _cells("\n".join(taken), delimiter)
            if not is_open or len(taken) > LONGEST_CELL_LINES:
                break
            more = pushed.pop() if pushed else next(waiting, None)
            if more is None:
                break
            taken.append(more)
        if cells is not None:
            yield number, cells, None
            continue
        pushed.extend(reversed(taken[1:]))
        yield number, line.split(delimiter), UNCLOSED


def _cells(text: str, delimiter: str) -> tuple[list[str] | None, bool]:
    """Cells of one record, or none and whether a quote is still open at its end."""
    try:
        rows = list(csv.reader([text], delimiter=delimiter, strict=True))
    except csv.Error as error:
        return None, "unexpected end" in str(error)
    return rows[0] if rows else [""], False


def _bulk(
    con: duckdb.DuckDBPyConnection,
    path: Path,
    relation: str,
    delimiter: str,
    notes: tuple[str, ...],
) -> RawTable | None:
    """The rows through DuckDB's reader, or nothing where its count and the line ends disagree."""
    with path.open(encoding="utf-8-sig", newline="") as file:
        first = file.readline()
    cells, is_open = _cells(first.rstrip("\r\n"), delimiter)
    if cells is None or is_open or not all(cell.strip() for cell in cells):
        return None
    headings = tell_apart(cells)
    columns = ", ".join(f"{quote(heading)}: 'varchar'" for heading in headings)
    store = f"{relation}_read"
    try:
        con.execute(
            f"create or replace table {store} as select * from read_csv({quote(str(path))}, "
            f"auto_detect = false, header = true, delim = {quote(delimiter)}, quote = '\"', "
            f"escape = '\"', strict_mode = true, null_padding = false, columns = {{{columns}}})"
        )
    except duckdb.Error:
        return None
    count = con.execute(f"select count(*) from {store}").fetchone()
    rows = int(count[0]) if count else 0
    lines = _line_count(path)
    if rows + 1 != lines or _is_repeated(con, store, headings):
        return None
    con.execute(
        f"create or replace view {relation} as select rowid + 2 as {name_sql(ROW)}, *, "
        f"null::varchar as {name_sql(FAULT)} from {store}"
    )
    return RawTable(relation, headings, rows, lines, {"header": 1}, (*notes, "read in bulk"))


def _is_repeated(con: duckdb.DuckDBPyConnection, store: str, headings: tuple[str, ...]) -> bool:
    """Whether a row repeats the header or is blank: such a file is not plain."""
    equal = " and ".join(f"{name_sql(heading)} = {quote(heading)}" for heading in headings)
    blank = " and ".join(f"coalesce({name_sql(heading)}, '') = ''" for heading in headings)
    row = con.execute(f"select 1 from {store} where ({equal}) or ({blank}) limit 1").fetchone()
    return row is not None


def _line_count(path: Path) -> int:
    """Lines of a file; the last one counts whether or not it is ended."""
    ends, last = 0, b""
    with path.open("rb") as file:
        while block := file.read(CHUNK):
            ends += block.count(b"\n")
            last = block[-1:]
    return ends + (last != b"\n")


def unreadable(name: str, error: Exception) -> UnusableInputError:
    """The refusal of a file that a reader broke on."""
    return UnusableInputError.one(Where(name), f"this file cannot be read: {error}.")
