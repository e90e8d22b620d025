"""A look at an unknown export: its rows, how it is written, where its header stands.

Nothing is refused here but what is no export at all; what cannot be told is said. This module
knows no canonical table.
"""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from witnessmark.errors import UnusableInputError, Where
from witnessmark.records.heading_words import TOTAL_WORDS
from witnessmark.records.raw import ROW, tell_apart
from witnessmark.records.read_csv import csv_records
from witnessmark.records.read_parquet import read_parquet
from witnessmark.records.read_workbook import sheet_grid, workbook_sheets
from witnessmark.records.readers import PARQUET_ENDS, TEXT_ENDS, WORKBOOK_ENDS
from witnessmark.records.sql_text import name_sql
from witnessmark.records.store import connection
from witnessmark.records.text_file import check_is_text, delimiter_of, encoding_of, lines_of

MOST_ROWS = 200_000
HEADER_WITHIN = 40
MOSTLY = 0.6
Row = tuple[int, Sequence[str]]


@dataclass(frozen=True)
class Sample:
    """An export as it was found.

    Args:
        name: The file.
        sheet: The sheet that was looked at, if it is a workbook.
        sheets: All its sheets.
        rows: Rows with their numbers, the first many of them.
        encoding: Of a text file.
        delimiter: Of a text file.
        remarks: What could not be told, or was cut short.
    """

    name: str
    rows: Sequence[Row]
    sheet: str | None = None
    sheets: Sequence[str] = ()
    encoding: str | None = None
    delimiter: str | None = None
    remarks: Sequence[str] = ()


@dataclass(frozen=True)
class Shape:
    """Where the header stands and which rows are no data.

    Args:
        header_row: Its number.
        headings: Its cells, told apart.
        data: Rows below it that look like data.
        skipped: Kind, pattern and an example row of rows that do not.
        doubtful: Rows with few cells that may be data or not.
        repeats: How often the header comes again.
    """

    header_row: int
    headings: tuple[str, ...]
    data: Sequence[Row]
    skipped: Sequence[tuple[str, str, int]] = field(default_factory=tuple)
    doubtful: Sequence[int] = ()
    repeats: int = 0


def take_sample(path: Path) -> Sample:
    """The rows of an export, and how it is written.

    Raises:
        UnusableInputError: It is no export that can be read.
    """
    end = path.suffix.lower()
    if not path.is_file():
        raise UnusableInputError.one(Where(str(path)), "there is no such file.")
    if end in WORKBOOK_ENDS:
        return _workbook(path)
    if end in PARQUET_ENDS:
        return _parquet(path)
    if end in TEXT_ENDS:
        return _text(path)
    raise UnusableInputError.one(
        Where(path.name),
        f'there is no reader for files ending in "{end}".',
        ", ".join((*TEXT_ENDS, *WORKBOOK_ENDS, *PARQUET_ENDS)),
    )


def _text(path: Path) -> Sample:
    check_is_text(path, path.name)
    encoding = encoding_of(path, path.name)
    remarks = []
    try:
        delimiter = delimiter_of(path, path.name, encoding)
    except UnusableInputError as error:
        delimiter = ";"
        remarks.append(str(error))
    rows: list[Row] = []
    for number, cells, _ in csv_records(lines_of(path, encoding), delimiter):
        rows.append((number, cells))
        if len(rows) >= MOST_ROWS:
            remarks.append(f"only the first {MOST_ROWS} rows were looked at")
            break
    return Sample(path.name, rows, encoding=encoding, delimiter=delimiter, remarks=remarks)


def _workbook(path: Path) -> Sample:
    sheets = workbook_sheets(path, path.name)
    grids = {sheet: sheet_grid(path, path.name, sheet) for sheet in sheets}
    if not any(cell for grid in grids.values() for row in grid for cell in row):
        raise UnusableInputError.one(Where(path.name), "every sheet of the workbook is empty.")
    sheet = max(grids, key=lambda name: sum(1 for row in grids[name] for cell in row if cell))
    rows = list(enumerate(grids[sheet], 1))[:MOST_ROWS]
    return Sample(path.name, rows, sheet=sheet, sheets=sheets)


def _parquet(path: Path) -> Sample:
    with connection() as con:
        raw = read_parquet(con, path, path.name, "raw_sample")
        columns = ", ".join(f"coalesce({name_sql(name)}, '')" for name in raw.headings)
        found = con.execute(
            f"select {columns} from {raw.relation} order by {name_sql(ROW)} limit {MOST_ROWS}"
        ).fetchall()
    rows = [(0, list(raw.headings)), *((number, list(row)) for number, row in enumerate(found, 1))]
    return Sample(path.name, rows)


def shape_of(sample: Sample) -> Shape:
    """Where the header stands: the first row that names most columns in words.

    Raises:
        UnusableInputError: No row looks like a header.
    """
    width = _usual_width(sample.rows)
    for place, (number, cells) in enumerate(sample.rows[:HEADER_WITHIN]):
        if _is_header(cells, width):
            return _below(sample.rows[place + 1 :], number, cells)
    raise UnusableInputError.one(
        Where(sample.name, sample.sheet),
        f"no row among the first {HEADER_WITHIN} looks like a header.",
        "a row that names the columns",
    )


def _filled(cells: Sequence[str]) -> list[str]:
    return [cell.strip() for cell in cells if cell.strip()]


def _usual_width(rows: Sequence[Row]) -> int:
    counts = Counter(len(_filled(cells)) for _, cells in rows if _filled(cells))
    return max(counts, key=lambda width: (counts[width], width), default=1)


def _is_header(cells: Sequence[str], width: int) -> bool:
    filled = _filled(cells)
    worded = [cell for cell in filled if re.search(r"[^\W\d_]", cell)]
    return (
        len(filled) >= max(1, MOSTLY * width)
        and len(worded) >= MOSTLY * len(filled)
        and len(set(filled)) >= MOSTLY * len(filled)
    )


def _below(rows: Sequence[Row], number: int, header: Sequence[str]) -> Shape:
    names = [cell.strip() for cell in header]
    while names and not names[-1]:
        names.pop()
    headings = tell_apart(names)
    least = max(2, round(len(headings) / 4)) if len(headings) > 1 else 1
    data: list[Row] = []
    skipped: dict[str, tuple[str, str, int]] = {}
    repeats = 0
    for row, cells in rows:
        filled = _filled(cells)
        if not filled:
            continue
        if [cell.strip() for cell in cells][: len(names)] == names:
            repeats += 1
        elif filled[0].lower().rstrip(":") in TOTAL_WORDS:
            skipped.setdefault("total", ("total", _pattern(filled[0]), row))
        elif len(filled) < least:
            pattern = _pattern(filled[0])
            skipped.setdefault(pattern, ("page line or trailer", pattern, row))
        else:
            data.append((row, cells))
    firsts = {_filled(cells)[0] for _, cells in data}
    clear = [rule for rule in skipped.values() if _is_clear(rule[1], firsts)]
    doubtful = [row for kind, pattern, row in skipped.values() if not _is_clear(pattern, firsts)]
    return Shape(number, headings, data, tuple(clear), tuple(doubtful), repeats)


def _is_clear(pattern: str, firsts: set[str]) -> bool:
    """Whether a pattern is worded and takes no row that looks like data."""
    worded = re.search(r"[^\W\d_]{3}", pattern.replace("\\d+", "")) is not None
    return worded and not any(re.match(pattern, first) for first in firsts)


def _pattern(cell: str) -> str:
    return re.sub(r"\d+", r"\\d+", re.escape(cell).replace(r"\ ", " ")) + "$"
