"""Workbooks to raw rows: every cell as the text a person would read, nothing rounded away.

Values come from calamine; formulas in error come from the XML and stand as their error text, so
that they are refused and not taken for blanks; fill colours come from openpyxl where a mapping
asks for them. This module knows neither mappings nor canonical tables.
"""

from collections.abc import Iterator, Sequence
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import duckdb
from python_calamine import CalamineError, CalamineSheet, CalamineWorkbook, SheetTypeEnum

from witnessmark.errors import UnusableInputError, Where
from witnessmark.records.fill_colours import add_fill_colours
from witnessmark.records.raw import RawTable
from witnessmark.records.rows import Layout, Record, RowSorter
from witnessmark.records.workbook_xml import faulty_cells

HALF_SECOND = timedelta(microseconds=500_000)


def workbook_sheets(path: Path, name: str) -> list[str]:
    """The worksheets of a workbook, in its order.

    Raises:
        UnusableInputError: It is no workbook, or it asks for a password.
    """
    workbook = _open(path, name)
    return [
        sheet.name for sheet in workbook.sheets_metadata if sheet.typ == SheetTypeEnum.WorkSheet
    ]


def _open(path: Path, name: str) -> CalamineWorkbook:
    try:
        return CalamineWorkbook.from_path(path)
    except (CalamineError, OSError) as error:
        raise UnusableInputError.one(
            Where(name),
            f"this cannot be opened as a workbook: {error}.",
            "a file saved as .xlsx, without a password",
        ) from error


def read_workbook(
    con: duckdb.DuckDBPyConnection,
    path: Path,
    name: str,
    sheet: str,
    relation: str,
    layout: Layout | None = None,
    merged_fill: bool = False,
    fill_colours: Sequence[str] = (),
) -> RawTable:
    """The rows of a sheet, in a DuckDB table.

    Args:
        con: Where the table is made.
        path: The file.
        name: Its name in messages.
        sheet: Name of the sheet.
        relation: Name of the table to make.
        layout: Where the header stands and what is not data; default a header in the first row.
        merged_fill: Whether every cell of a merged range has its value (else its first one).
        fill_colours: Headings whose cell colours are read as "<heading> (fill)".

    Raises:
        UnusableInputError: No workbook, no such sheet, an empty one, no header.
    """
    opened = _sheet(path, name, sheet)
    grid = _whole_grid(opened, path, sheet)
    if not any(cell for row in grid for cell in row):
        raise UnusableInputError.one(Where(name, sheet), "the sheet is empty.")
    if merged_fill:
        _fill_merged(grid, opened)
    layout = layout or Layout()
    if fill_colours:
        add_fill_colours(
            grid, path, sheet, layout.header_row + layout.header_rows - 2, fill_colours
        )
    width = max(len(row) for row in grid)
    records: Iterator[Record] = (
        (number, row + [""] * (width - len(row)), None) for number, row in enumerate(grid, 1)
    )
    return RowSorter(layout, name, sheet).sort(con, relation, records)


def sheet_grid(path: Path, name: str, sheet: str) -> list[list[str]]:
    """All cells of a sheet as text, from its first row and column on.

    Raises:
        UnusableInputError: No workbook, or no such sheet.
    """
    return _whole_grid(_sheet(path, name, sheet), path, sheet)


def _sheet(path: Path, name: str, sheet: str) -> CalamineSheet:
    try:
        return _open(path, name).get_sheet_by_name(sheet)
    except (CalamineError, ValueError) as error:
        raise UnusableInputError.one(Where(name, sheet), f"{error}.") from error


def _whole_grid(opened: CalamineSheet, path: Path, sheet: str) -> list[list[str]]:
    grid = _grid(opened)
    for (row, column), text in faulty_cells(path, sheet).items():
        _put(grid, row, column, text)
    return grid


def _grid(sheet: CalamineSheet) -> list[list[str]]:
    """All cells as text, from the sheet's first row and column on."""
    left = sheet.start[1] if sheet.start is not None else 0
    rows = list(sheet.iter_rows())
    width = max((len(row) for row in rows), default=0)
    # A date and time at midnight comes as a bare date; its column tells the two apart.
    timed = {
        place
        for place in range(width)
        if any(place < len(row) and isinstance(row[place], datetime) for row in rows)
    }
    return [
        [""] * left + [cell_text(cell, place in timed) for place, cell in enumerate(row)]
        for row in rows
    ]


def cell_text(value: Any, is_timed: bool = False) -> str:
    """A cell's value as text: integers without .0, ISO dates, hours beyond 24 in durations.

    Args:
        value: As calamine gives it.
        is_timed: Whether the column holds times of day, so that a bare date is midnight.
    """
    match value:
        case bool():
            return "true" if value else "false"
        case float():
            return format(Decimal(repr(value)).normalize(), "f") if value else "0"
        case datetime():
            rounded = (value + HALF_SECOND).replace(microsecond=0)
            return rounded.strftime("%Y-%m-%d %H:%M" + (":%S" if rounded.second else ""))
        case date():
            return value.isoformat() + (" 00:00" if is_timed else "")
        case time():
            return value.strftime("%H:%M" + (":%S" if value.second else ""))
        case timedelta():
            minutes, seconds = divmod(round(value.total_seconds()), 60)
            text = f"{minutes // 60}:{minutes % 60:02d}"
            return text + (f":{seconds:02d}" if seconds else "")
        case _:
            return str(value)


def _put(grid: list[list[str]], row: int, column: int, text: str) -> None:
    while len(grid) <= row:
        grid.append([])
    grid[row].extend([""] * (column + 1 - len(grid[row])))
    grid[row][column] = text


def _fill_merged(grid: list[list[str]], sheet: CalamineSheet) -> None:
    for (top, left), (bottom, right) in sheet.merged_cell_ranges or []:
        if top >= len(grid) or left >= len(grid[top]):
            continue
        value = grid[top][left]
        for row in range(top, bottom + 1):
            for column in range(left, right + 1):
                _put(grid, row, column, value)
