"""Workbooks as plants keep them: staffing grid, check sheet, gauge list, daily board.

Grids with a legend, merged cells, tolerance texts with decimal commas, serial dates, a colour that
is nothing but the fill of a cell. Each function writes its workbook and returns the part of
mapping.toml that leads it back.
"""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font, PatternFill

from witnessmark.practice.plant_files import german_date, german_instant
from witnessmark.practice.shift_calendar import ZONE

Row = Mapping[str, object]
GRID_AREA, SHEET_MACHINE = "T1", "D1-01"
ARROW = "→"
COLOURS = {"green": "#00B050", "red": "#FF0000"}
SHEET_HEAD = ("Merkmal", "Nr", "Grenzen", "Einheit", "Prüfmittel", "Stück")
SHEET_FIRST_ROW = 4
EPOCH = date(1899, 12, 30)
"""Day 0 of serial dates that count from 1900, as spreadsheets do."""


def month_of(value: object) -> str:
    """The month of an instant at the plant, as a sheet is named."""
    return f"{value.astimezone(ZONE):%m.%Y}" if isinstance(value, datetime) else ""


def comma(value: object) -> str:
    """A number with a decimal comma."""
    return format(value, "f").replace(".", ",") if isinstance(value, Decimal) else ""


def heading_of_shift(start: object, end: object) -> str:
    """The heading of a shift's column in the staffing grid."""
    return f"{german_instant(start)} bis {german_instant(end)}"


def in_grid(row: Row, shifts: set[tuple[object, object]]) -> bool:
    """Whether an allocation stands in the staffing grid: a whole shift of the grid's area."""
    place, role = str(row["machine_or_group"]), row["role"]
    whole = (row["start_at"], row["end_at"]) in shifts
    return place.startswith(f"{GRID_AREA}-") and role in {"operator", "watcher"} and whole


def write_staffing_grid(rows: Sequence[Row], folder: Path) -> str:
    """The staffing grid: machines down, shifts across, a sheet per month, a legend.

    Args:
        rows: Allocations of whole shifts of the grid's area.
        folder: Where the workbook is put.
    """
    book = Workbook()
    months: dict[str, list[Row]] = {}
    for row in sorted(rows, key=lambda one: str(one["start_at"])):
        months.setdefault(month_of(row["start_at"]), []).append(row)
    legend = book.active
    legend.title = "Legende"
    for line in (("Zeichen", "Bedeutung"), ("p-…", "bedient die Maschine"),
                 (f"{ARROW} p-…", "schaut von nebenan"), ("+", "mehrere"),
                 ("leer", "niemand")):  # fmt: skip
        legend.append(line)
    for month, inside in months.items():
        _write_grid(book.create_sheet(month), month, inside)
    book.save(folder / "Besetzung T1.xlsx")
    return f"""
[[source]]
file = "Besetzung T1.xlsx"
sheet = "??.2026"
system = "staffing terminal"
header_row = 3
dates = "DD.MM.YYYY HH:MM"

[[source.feed]]
table = "allocations"
unpivot = {{ columns_match = "^[0-9.]+ [0-9:]+ bis ", split = " *[+] *" }}

[source.feed.columns]
person_key = {{ from = "<cell>", pattern = "(p-[0-9a-f]+)", is_role = true }}
machine_or_group = "Maschine"
start_at = {{ from = "<heading>", pattern = "^(.+) bis " }}
end_at = {{ from = "<heading>", pattern = " bis (.+)$" }}
role = {{ from = "<cell>", pattern = "^({ARROW}|p)", values = {{ "{ARROW}" = "watcher", p = "operator" }} }}
basis = {{ constant = "actual" }}
recorded_at = {{ from = "<heading>", pattern = "^(.+) bis " }}
"""  # noqa: E501  # one line of TOML


def _write_grid(sheet: Any, month: str, rows: Sequence[Row]) -> None:
    headings = list(dict.fromkeys(heading_of_shift(r["start_at"], r["end_at"]) for r in rows))
    machines = sorted({str(row["machine_or_group"]) for row in rows})
    cells: dict[tuple[str, str], list[str]] = {}
    for row in rows:
        sign = f"{ARROW} " if row["role"] == "watcher" else ""
        key = (str(row["machine_or_group"]), heading_of_shift(row["start_at"], row["end_at"]))
        cells.setdefault(key, []).append(f"{sign}{row['person_key']}")
    sheet.append([f"Besetzung {GRID_AREA}, {month}"])
    sheet.append([])
    sheet.append(["Maschine", *headings])
    for machine in machines:
        sheet.append([machine, *(" + ".join(cells.get((machine, h), [])) for h in headings)])


def write_check_sheet(
    measured: Sequence[Row], checks: Mapping[object, Row], names: Mapping[str, str], folder: Path
) -> str:
    """The check sheet of one machine: characteristics down, checks across, a sheet per month.

    Args:
        measured: Measurements of the machine.
        checks: Its checks by id.
        names: Characteristic by line.
        folder: Where the workbook is put.
    """
    months: dict[str, list[Row]] = {}
    for row in measured:
        done = checks[row["check_id"]]["done_at"]
        months.setdefault(month_of(done), []).append(row)
    book = Workbook()
    book.remove(book.active)
    for month, rows in months.items():
        _write_month(book.create_sheet(month), rows, checks, names)
    book.save(folder / f"Prüfblatt {SHEET_MACHINE}.xlsx")
    return f"""
[[source]]
file = "Prüfblatt {SHEET_MACHINE}.xlsx"
sheet = "??.2026"
system = "check terminal"
header_row = 3
merged = "fill"
decimal = ","

[[source.feed]]
table = "measurements"
unpivot = {{ columns_match = "^[0-9]+[.][0-9]+[.] [0-9:]+ C-" }}

[source.feed.columns]
check_id = {{ from = "<heading>", pattern = "(C-[0-9]+)$" }}
line = "Nr"
piece_no = "Stück"
value = {{ from = "<cell>", pattern = "^[0-9]+,[0-9]+$", no_match = "empty" }}
attribute = {{ from = "<cell>", values = {{ "i.O." = "good" }}, other = "empty" }}
unit = "Einheit"
gauge_id = "Prüfmittel"
lower_used = {{ from = "Grenzen", tolerance = "lower" }}
upper_used = {{ from = "Grenzen", tolerance = "upper" }}
"""


def _write_month(
    sheet: Any, rows: Sequence[Row], checks: Mapping[object, Row], names: Mapping[str, str]
) -> None:
    lines: dict[tuple[str, str], list[Row]] = {}
    columns: dict[object, str] = {}
    for row in sorted(rows, key=lambda one: str(checks[one["check_id"]]["done_at"])):
        lines.setdefault((str(row["line"]), str(row["piece_no"])), []).append(row)
        done = checks[row["check_id"]]["done_at"]
        if isinstance(done, datetime):
            stamp = f"{done.astimezone(ZONE):%d.%m. %H:%M}"
            columns.setdefault(row["check_id"], f"{stamp} {row['check_id']}")
    sheet.append([f"Prüfblatt {SHEET_MACHINE}"])
    sheet["A1"].font = Font(bold=True)
    sheet.append([])
    sheet.append([*SHEET_HEAD, *columns.values()])
    place = {check: 1 + len(SHEET_HEAD) + number for number, check in enumerate(columns)}
    ordered = sorted(lines)
    for number, key in enumerate(ordered, SHEET_FIRST_ROW):
        row = lines[key][0]
        limits = _limits(row["lower_used"], row["upper_used"])
        fixed = [key[0], limits, str(row["unit"] or ""), str(row["gauge_id"]), key[1]]
        for column, text in enumerate(fixed, 2):
            sheet.cell(number, column, text)
        for other in lines[key]:
            shown = comma(other["value"]) or "i.O."
            sheet.cell(number, place[other["check_id"]], shown)
    _merge_names(sheet, [key[0] for key in ordered], names)


def _merge_names(sheet: Any, lines: Sequence[str], names: Mapping[str, str]) -> None:
    """Writes each characteristic once, over all of its pieces."""
    for line in dict.fromkeys(lines):
        first = SHEET_FIRST_ROW + lines.index(line)
        sheet.cell(first, 1, names[line])
        if lines.count(line) > 1:
            sheet.merge_cells(start_row=first, end_row=first + lines.count(line) - 1,
                              start_column=1, end_column=1)  # fmt: skip


def _limits(lower: object, upper: object) -> str:
    """Limits as a drawing writes them."""
    if not isinstance(lower, Decimal) or not isinstance(upper, Decimal):
        return ""
    middle, half = (lower + upper) / 2, (upper - lower) / 2
    return f"{comma(middle)} ±{comma(half)}"


def write_gauge_list(rows: Sequence[Row], folder: Path) -> str:
    """The gauge list: one merged cell per gauge, days as serial numbers."""
    by_gauge: dict[str, list[Row]] = {}
    for row in sorted(rows, key=lambda one: (str(one["gauge_id"]), str(one["done_on"]))):
        by_gauge.setdefault(str(row["gauge_id"]), []).append(row)
    book = Workbook()
    sheet = book.active
    sheet.title = "Liste"
    sheet.append(["Prüfmittel", "kalibriert am", "Abweichung", "nach Justage", "Grenze",
                  "Ergebnis", "fällig"])  # fmt: skip
    for gauge, done in by_gauge.items():
        first = sheet.max_row + 1
        for row in done:
            verdict = "i.O." if row["verdict"] == "in" else "n.i.O."
            values = [float(str(row[n])) for n in ("as_found", "as_left", "error_limit")]
            days = (_serial(row["done_on"]), _serial(row["next_due"]))
            sheet.append([gauge, days[0], *values, verdict, days[1]])
        if len(done) > 1:
            sheet.merge_cells(start_row=first, end_row=sheet.max_row, start_column=1,
                              end_column=1)  # fmt: skip
    book.save(folder / "Prüfmittel.xlsx")
    return """
[[source]]
file = "Prüfmittel.xlsx"
sheet = "Liste"
system = "quality files"
merged = "fill"
dates = "serial"
epoch = 1900

[[source.feed]]
table = "calibrations"

[source.feed.columns]
gauge_id = "Prüfmittel"
done_on = "kalibriert am"
as_found = "Abweichung"
as_left = "nach Justage"
error_limit = "Grenze"
verdict = { from = "Ergebnis", values = { "i.O." = "in", "n.i.O." = "out" } }
next_due = "fällig"
"""


def _serial(value: object) -> int:
    return (value - EPOCH).days if isinstance(value, date) else 0


def write_board(rows: Sequence[Row], folder: Path) -> str:
    """The daily board: a sheet per area, letters down, days across, the colour as a cell's fill."""
    areas: dict[str, list[Row]] = {}
    for row in sorted(rows, key=lambda one: str(one["production_date"])):
        areas.setdefault(str(row["area"]), []).append(row)
    headings = list(dict.fromkeys(_day_heading(row) for row in rows))
    book = Workbook()
    book.remove(book.active)
    for area, inside in areas.items():
        _write_area(book.create_sheet(area), inside)
    book.save(folder / "Tagestafel.xlsx")
    listed = ", ".join(f'"{heading}"' for heading in headings)
    colours = ", ".join(f'"{fill}" = "{colour}"' for colour, fill in COLOURS.items())
    return f"""
[[source]]
file = "Tagestafel.xlsx"
sheet = "*"
system = "daily board"
dates = "DD.MM.YYYY HH:MM"
decimal = ","
fill_colours = [{listed}]

[[source.feed]]
table = "board_statuses"
unpivot = {{ columns_match = "^[0-9.]+ [(]erfasst " }}

[source.feed.columns]
area = "<sheet>"
letter = "Feld"
production_date = {{ from = "<heading>", pattern = "^([0-9.]+) ", format = "DD.MM.YYYY" }}
colour = {{ from = "<fill>", values = {{ {colours} }} }}
target = "Ziel"
actual = {{ from = "<cell>", pattern = "^([0-9,]+)" }}
reason = {{ from = "<cell>", pattern = "Grund: ([^|]+[^| ])", no_match = "empty" }}
declared_at = {{ from = "<heading>", pattern = "erfasst ([0-9.]+ [0-9:]+)" }}
by_role = {{ constant = "leader" }}
action_ref = {{ from = "<cell>", pattern = "(A-[0-9]+)", no_match = "empty" }}
no_action_reason = {{ from = "<cell>", pattern = "keine Maßnahme: ([^|]+)", no_match = "empty" }}
"""


def _write_area(sheet: Any, rows: Sequence[Row]) -> None:
    days = list(dict.fromkeys(_day_heading(row) for row in rows))
    letters = sorted({str(row["letter"]) for row in rows})
    sheet.append(["Feld", "Ziel", *days])
    for row in rows:
        line = 2 + letters.index(str(row["letter"]))
        sheet.cell(line, 1, str(row["letter"]))
        sheet.cell(line, 2, comma(row["target"]))
        square = sheet.cell(line, 3 + days.index(_day_heading(row)), _square(row))
        square.fill = PatternFill("solid", fgColor="FF" + COLOURS[str(row["colour"])][1:])
        square.alignment = Alignment(wrap_text=True)


def _day_heading(row: Row) -> str:
    return f"{german_date(row['production_date'])} (erfasst {german_instant(row['declared_at'])})"


def _square(row: Row) -> str:
    parts = [comma(row["actual"])]
    parts += [f"Grund: {row['reason']}"] if row["reason"] else []
    parts += [str(row["action_ref"])] if row["action_ref"] else []
    parts += [f"keine Maßnahme: {row['no_action_reason']}"] if row["no_action_reason"] else []
    return " | ".join(parts)
