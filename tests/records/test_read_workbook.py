"""Workbooks: exact text of every cell, both epochs, formulas in error, merged cells, colours."""

import datetime as dt
from functools import partial

import pytest
import xlsxwriter
from openpyxl import Workbook
from openpyxl.styles import PatternFill
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from witnessmark.errors import UnusableInputError
from witnessmark.records.read_workbook import read_workbook, workbook_sheets
from witnessmark.records.rows import Layout
from witnessmark.records.store import connection

# A workbook knows no zones.
moment = partial(dt.datetime, tzinfo=None)


def read(path, sheet="S", layout=None, merged_fill=False, fill_colours=()):
    with connection() as con:
        raw = read_workbook(con, path, path.name, sheet, "raw", layout, merged_fill, fill_colours)
        rows = con.execute('select * exclude ("#fault") from raw order by "#row"').fetchall()
    assert raw.lines == raw.rows + sum(raw.skipped.values())
    return raw, rows


@pytest.fixture
def book(tmp_path):
    workbook = Workbook()
    workbook.active.title = "S"
    workbook.save_as = tmp_path / "x.xlsx"
    return workbook


def saved(workbook):
    path = workbook.__dict__.pop("save_as")
    workbook.save(path)
    return path


@pytest.mark.parametrize("epoch", [None, CALENDAR_MAC_1904])
def test_cells_come_as_a_person_reads_them(book, epoch):
    if epoch is not None:
        book.epoch = epoch
    book.active.append(["id", "n", "x", "day", "at", "clock", "length", "big", "yes"])
    book.active.append(
        [
            "0042",
            12,
            0.1,
            dt.date(2026, 3, 29),
            moment(2026, 3, 29, 1, 45),
            dt.time(6, 30),
            dt.timedelta(hours=30, minutes=5),
            1.2e12,
            True,
        ]
    )
    book.active.append([None, -3.0, 1e-7, None, moment(2026, 3, 30), dt.time(0, 0, 9)])
    _, rows = read(saved(book))
    assert rows == [
        (
            2,
            "0042",
            "12",
            "0.1",
            "2026-03-29",
            "2026-03-29 01:45",
            "06:30",
            "30:05",
            "1200000000000",
            "true",
        ),
        (3, "", "-3", "0.0000001", "", "2026-03-30 00:00", "00:00:09", "", "", ""),
    ]


def test_rows_are_numbered_as_the_program_counts_them(book):
    book.active["C4"], book.active["D4"] = "a", "b"
    book.active["C6"], book.active["D6"] = "1", "2"
    raw, rows = read(saved(book), layout=Layout(header_row=4))
    assert raw.headings == ("column 1", "column 2", "a", "b")
    assert rows == [(6, "", "", "1", "2")]
    assert raw.skipped == {"preamble": 3, "header": 1, "blank": 1}


def test_formulas_in_error_and_never_calculated_are_not_blanks(tmp_path):
    path = tmp_path / "f.xlsx"
    with xlsxwriter.Workbook(path) as workbook:
        sheet = workbook.add_worksheet("S")
        for row, values in enumerate([["a", "b"], ["x", 1], ["y", 2], ["z", 3]]):
            sheet.write_row(row, 0, values)
        sheet.write_formula("B2", "=1/0", None, "#DIV/0!")
        sheet.write_formula("B3", "=1+1", None, 2)
        sheet.write_formula("B4", "=1+1", None, "")
        sheet.write_formula("A5", "=NA()", None, "#N/A")
    _, rows = read(path)
    assert rows[0] == (2, "x", "#DIV/0!")
    assert rows[1] == (3, "y", "2")
    assert rows[3] == (5, "#N/A", "")


def test_a_formula_without_a_value(book):
    book.active.append(["a", "b"])
    book.active.append(["x", "=1+1"])
    book.active["A4"] = "=B2"
    _, rows = read(saved(book))
    assert rows == [(2, "x", "#UNCALCULATED!"), (4, "#UNCALCULATED!", "")]


def test_merged_cells(book):
    book.active.append(["machine", "piece"])
    for value in (1, 2, 3):
        book.active.append(["M1" if value == 1 else None, value])
    book.active.merge_cells("A2:A3")
    path = saved(book)
    assert [row[1] for row in read(path)[1]] == ["M1", "", ""]
    assert [row[1] for row in read(path, merged_fill=True)[1]] == ["M1", "M1", ""]
    assert [row[1] for row in read(path, layout=Layout(carried=("machine",)))[1]] == ["M1"] * 3


def test_fill_colours_are_columns_of_their_own(book):
    book.active.append(["letter", "1", "2"])
    book.active.append(["Q", None, "x"])
    book.active["B2"].fill = PatternFill("solid", fgColor="FF00B050")
    book.active["C2"].fill = PatternFill("solid", fgColor="FFFF0000")
    raw, rows = read(saved(book), fill_colours=("1", "2", "3"))
    assert raw.headings == ("letter", "1", "2", "1 (fill)", "2 (fill)")
    assert rows == [(2, "Q", "", "x", "#00B050", "#FF0000")]


def test_a_row_with_nothing_but_colour_is_a_row(book):
    book.active.append(["1", "2"])
    book.active["B2"].fill = PatternFill("solid", fgColor="FF00B050")
    _, rows = read(saved(book), fill_colours=("1", "2"))
    assert rows == [(2, "", "", "", "#00B050")]


def test_sheets(book):
    book.create_sheet("empty")
    path = saved(book)
    assert workbook_sheets(path, "x.xlsx") == ["S", "empty"]
    with pytest.raises(UnusableInputError, match=r'x.xlsx, sheet "empty": the sheet is empty'):
        read(path, "empty")
    with pytest.raises(UnusableInputError, match='sheet "March"'):
        read(path, "March")


def test_a_canonical_workbook(exports):
    workbook = Workbook()
    workbook.active.append(["run_id", "machine_id", "part_no", "start_at", "good"])
    workbook.active.append(["r1", "M1", "007", moment(2026, 1, 5, 6, 0), 5])
    workbook.active.append(["r2", "M1", "=1/0", moment(2026, 1, 6, 6, 0), 5])
    workbook.active.append(["r3", "M1", "007", moment(2026, 1, 7, 6, 0), 5.5])
    workbook.create_sheet("notes")
    workbook.active.title = "runs"
    workbook.save(exports.folder / "runs.xlsx")
    freeze = exports.freeze()
    assert exports.counts(freeze) == (3, 1, 2, 0)
    assert [
        (r["file"], r["sheet"], r["row"], r["column"], r["value"]) for r in exports.refused()
    ] == [
        ("runs.xlsx", "runs", "3", "part_no", "#UNCALCULATED!"),
        ("runs.xlsx", "runs", "4", "good", "5.5"),
    ]
    assert exports.query("select part_no, extract_id from runs") == [("007", "runs.xlsx/runs")]


def test_a_canonical_workbook_of_several_unnamed_sheets(exports):
    workbook = Workbook()
    workbook.create_sheet("two")
    workbook.save(exports.folder / "runs.xlsx")
    with pytest.raises(UnusableInputError, match=r"2 sheets and none is called runs"):
        exports.freeze()
