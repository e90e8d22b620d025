"""A study or a list that somebody brings as one file: its columns as numbers, times or texts.

No mapping and no canonical table: the user names the column. The readers and the proofs of decimal
mark and date order are those of intake; what a column leaves open is refused with its rows, and so
is a blank cell, since a value that is left out silently changes a statistic. Row numbers are those
of the file's own program. This module knows no statistic.
"""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TypeVar

from witnessmark.errors import Fault, UnusableInputError, Where
from witnessmark.records.dates import date_form, date_sql, prove_order
from witnessmark.records.heading_words import TOTAL_WORDS, plain
from witnessmark.records.looks import DATE
from witnessmark.records.numbers import NumberForm, prove_marks, read_number
from witnessmark.records.raw import tell_apart
from witnessmark.records.read_workbook import sheet_grid, workbook_sheets
from witnessmark.records.readers import WORKBOOK_ENDS
from witnessmark.records.samples import MOST_ROWS, Row, Sample, shape_of, take_sample
from witnessmark.records.store import connection

BLANK = "is blank"
Value = TypeVar("Value")
MEND_BLANK = "Fill it, or take the row out of the file and say how many were taken out."


@dataclass(frozen=True)
class StudyTable:
    """The data rows of one file or sheet.

    Args:
        where: The file, and its sheet.
        headings: Its columns.
        rows: Number and cells of each data row, in the file's order.
        totals: Rows of totals that were left out.
        decimal: Decimal mark that was stated; None lets each column prove its own.
        dates: Date format that was stated; None likewise.
        is_workbook: Whether numbers were cells of a workbook, whose decimal mark is a point.
    """

    where: Where
    headings: tuple[str, ...]
    rows: tuple[Row, ...]
    totals: int = 0
    decimal: str | None = None
    dates: str | None = None
    is_workbook: bool = False

    def cells(self, column: str) -> list[tuple[int, str]]:
        """Row numbers and trimmed cells of a column, blank ones as "".

        Raises:
            UnusableInputError: There is no such column.
        """
        place = self.headings.index(self._heading(column))
        return [
            (row, cells[place].strip() if place < len(cells) else "") for row, cells in self.rows
        ]

    def texts(self, column: str) -> list[str]:
        """The cells of a column.

        Raises:
            UnusableInputError: No such column, or blank cells.
        """
        return self._read(column, lambda text: text, "")

    def numbers(self, column: str) -> list[float]:
        """The numbers of a column.

        Raises:
            UnusableInputError: No such column, blank cells, cells that are no number, or a decimal
                mark that cannot be told.
        """
        form = self._number_form(column)
        expected = f'a number with the decimal mark "{form.decimal}"'
        return [
            float(value) for value in self._read(column, lambda t: read_number(t, form), expected)
        ]

    def times(self, column: str, may_be_blank: bool = False) -> list[datetime | None]:
        """The dates or times of a column; with their offset from UTC where it is written.

        Args:
            column: Its heading.
            may_be_blank: Whether a blank cell is None, and not refused.

        Raises:
            UnusableInputError: No such column, blank cells, cells that are no date, or an order of
                day and month that cannot be told.
        """
        cells = self.cells(column)
        form = self._date_form(column, cells)
        read = _canonical_times([text for _, text in cells], form)
        found = dict(zip([text for _, text in cells], read, strict=True))
        expected = f"a date or time written {form} or 2026-03-29 01:45"
        return self._read(column, lambda text: found[text], expected, may_be_blank)

    def only(self, column: str, text: str) -> "StudyTable":
        """The rows whose cell in a column is this text.

        Raises:
            UnusableInputError: No such column, or no such row.
        """
        kept = {row for row, cell in self.cells(column) if cell == text}
        if not kept:
            raise UnusableInputError.one(
                self._at(column), f'no row has the cell "{text}".', _some(self.cells(column))
            )
        return replace(self, rows=tuple(row for row in self.rows if row[0] in kept))

    def _read(
        self,
        column: str,
        reader: Callable[[str], Value | None],
        expected: str,
        may_be_blank: bool = False,
    ) -> list[Value]:
        values: list[Value] = []
        faults = []
        for row, text in self.cells(column):
            value = reader(text) if text else None
            if value is not None or (may_be_blank and not text):
                values.append(value)  # type: ignore[arg-type]  # None only where it may be blank
            elif text:
                faults.append(Fault(self._at(column, row), f'"{text}".', expected))
            else:
                faults.append(Fault(self._at(column, row), f"this cell {BLANK}.", "", MEND_BLANK))
        if faults:
            raise UnusableInputError(faults)
        return values

    def _heading(self, column: str) -> str:
        alike = [name for name in self.headings if name == column] or [
            name for name in self.headings if plain(name) == plain(column)
        ]
        if len(alike) != 1:
            raise UnusableInputError.one(
                self.where,
                f'there is no column "{column}".' if not alike else f'"{column}" names several.',
                ", ".join(f'"{name}"' for name in self.headings),
            )
        return alike[0]

    def _at(self, column: str, row: int | None = None) -> Where:
        return replace(self.where, row=row, column=self._heading(column))

    def _number_form(self, column: str) -> NumberForm:
        if self.decimal is not None:
            return NumberForm(self.decimal, "," if self.decimal == "." else ".")
        texts = [(row, text) for row, text in self.cells(column) if text]
        if self.is_workbook and all(
            read_number(text, NumberForm()) is not None for _, text in texts
        ):
            return NumberForm()
        proof = prove_marks(texts)
        if proof.form is None:
            what = (
                "cells contradict each other about the decimal mark"
                if proof.contradictory
                else "nobody can tell the decimal mark from the thousands mark here"
            )
            raise UnusableInputError(
                [
                    Fault(self._at(column, row), f'"{text}": {what}.', mend="Say --decimal , or .")
                    for row, text in proof.open_rows
                ]
            )
        return proof.form

    def _date_form(self, column: str, cells: Sequence[tuple[int, str]]) -> str:
        if self.dates is not None:
            _check_format(self.dates)
            return self.dates
        tokens = {found.group(): row for row, text in cells if (found := DATE.match(text))}
        proof = prove_order((row, token) for token, row in tokens.items())
        if proof.open_rows:
            forms = " or ".join(proof.forms)
            raise UnusableInputError(
                [
                    Fault(
                        self._at(column, row),
                        f'"{text}": the order may be {forms}, and no row proves it.',
                        mend=f'Say --dates "{proof.forms[0]}".',
                    )
                    for row, text in proof.open_rows
                ]
            )
        return proof.forms[0] if proof.forms else "YYYY-MM-DD"


def read_study(
    path: Path, sheet: str | None = None, decimal: str | None = None, dates: str | None = None
) -> StudyTable:
    """The rows of a file below its header.

    Args:
        path: CSV, XLSX or Parquet.
        sheet: Sheet of a workbook; may be left out where only one holds data.
        decimal: Decimal mark, where it is known.
        dates: Date format, where it is known.

    Raises:
        UnusableInputError: No such file or sheet, several sheets with data, no header, no row.
    """
    is_workbook = path.is_file() and path.suffix.lower() in WORKBOOK_ENDS
    sample = _sheet(path, sheet) if is_workbook else _one_column(take_sample(path))
    where = Where(sample.name, sample.sheet)
    if len(sample.rows) >= MOST_ROWS:
        raise UnusableInputError.one(where, f"{MOST_ROWS:,} rows or more.", "a shorter study")
    header = shape_of(sample).header_row
    names = next([cell.strip() for cell in cells] for row, cells in sample.rows if row == header)
    while names and not names[-1]:
        names.pop()
    below = [
        (row, cells)
        for row, cells in sample.rows
        if row > header
        and any(cell.strip() for cell in cells)
        and [cell.strip() for cell in cells][: len(names)] != names
    ]
    data = tuple(item for item in below if not _is_total(item[1]))
    wide = [row for row, cells in data if any(cell.strip() for cell in cells[len(names) :])]
    if wide:
        raise UnusableInputError(
            [
                Fault(replace(where, row=row), "more cells than the header has.", f"{len(names)}")
                for row in wide
            ]
        )
    if not data:
        raise UnusableInputError.one(where, "there is no row below the header.")
    totals = len(below) - len(data)
    return StudyTable(where, tell_apart(names), data, totals, decimal, dates, is_workbook)


def _one_column(sample: Sample) -> Sample:
    """A single column of numbers with a decimal comma, which looks like two columns, put together.

    Its header holds no comma, and every row at most one between digits.
    """
    filled = [cells for _, cells in sample.rows if any(cells)]
    numbers = [",".join(cells) for cells in filled[1:]]
    if (
        sample.delimiter != ","
        or not filled
        or len(filled[0]) > 1
        or not all(re.fullmatch(r"[+-]?\d+(,\d+)?", text.strip()) for text in numbers)
    ):
        return sample
    return replace(sample, rows=[(row, [",".join(cells)]) for row, cells in sample.rows])


def _sheet(path: Path, sheet: str | None) -> Sample:
    sheets = workbook_sheets(path, path.name)
    grids = {name: sheet_grid(path, path.name, name) for name in ([sheet] if sheet else sheets)}
    filled = [name for name, grid in grids.items() if any(cell for row in grid for cell in row)]
    if len(filled) != 1:
        raise UnusableInputError.one(
            Where(path.name, sheet),
            "several sheets hold data." if filled else "there is no data in it.",
            "one sheet, named by --sheet: " + ", ".join(f'"{name}"' for name in filled or sheets),
        )
    return Sample(path.name, list(enumerate(grids[filled[0]], 1)), sheet=filled[0])


def _is_total(cells: Sequence[str]) -> bool:
    first = next(cell.strip() for cell in cells if cell.strip())
    return first.lower().rstrip(":") in TOTAL_WORDS


def _check_format(written: str) -> None:
    try:
        date_form(written)
    except ValueError as error:
        raise UnusableInputError.one(
            Where("--dates"), f'"{written}" is no date format.', "one such as DD.MM.YYYY HH:MM"
        ) from error


def _canonical_times(texts: Sequence[str], form: str) -> list[datetime | None]:
    with connection() as con:
        rows = con.execute(
            f"select {date_sql('written', form)} from (select unnest(?) as written, "
            "generate_subscripts(?, 1) as place) order by place",
            [list(texts), list(texts)],
        ).fetchall()
    return [_time(row[0]) for row in rows]


def _time(text: str | None) -> datetime | None:
    if text is None:
        return None
    try:
        return datetime.fromisoformat(text.replace(" ", "T", 1).replace(" ", ""))
    except ValueError:
        return None


def _some(cells: Iterable[tuple[int, str]]) -> str:
    """A few different cells of a column."""
    different = sorted({text for _, text in cells if text})
    return ", ".join(f'"{text}"' for text in different[:5])
