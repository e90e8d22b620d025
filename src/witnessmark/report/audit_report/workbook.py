"""The working papers as a workbook: one sheet each, texts as texts, the same bytes each time.

A text that looks like a formula or an address stays a text. This module words nothing.
"""

from datetime import datetime
from io import BytesIO
from typing import Any

import xlsxwriter  # type: ignore[import-untyped]  # it ships no types

from witnessmark.report.audit_report.wording import Wording
from witnessmark.report.audit_report.working_papers import Sheet
from witnessmark.report.words import count

LONGEST = 32_000
"""Signs in a cell; the format allows 32,767."""
OPTIONS = {
    "in_memory": True,
    "strings_to_formulas": False,
    "strings_to_urls": False,
    "strings_to_numbers": False,
}
HEAD_ROW = 3
NARROW, WIDE = 10, 60


def workbook_bytes(sheets: tuple[Sheet, ...], say: Wording, made_at: datetime) -> bytes:
    """The file.

    Args:
        sheets: The working papers.
        say: Words of the language.
        made_at: Time of the last entry of the journal; the file says it was made then.
    """
    held = BytesIO()
    with xlsxwriter.Workbook(held, OPTIONS) as book:
        book.set_properties({"created": made_at.replace(tzinfo=None), "title": say("sheets.title")})
        head = book.add_format({"bold": True, "bottom": 1, "valign": "top", "text_wrap": True})
        cell = book.add_format({"valign": "top", "text_wrap": True})
        title = book.add_format({"bold": True, "font_size": 14})
        for sheet in sheets:
            _write(book.add_worksheet(sheet.title[:31]), sheet, say, (title, head, cell))
    return held.getvalue()


def _write(page: Any, sheet: Sheet, say: Wording, formats: tuple[Any, Any, Any]) -> None:
    title, head, cell = formats
    page.write_string(0, 0, sheet.title, title)
    page.write_string(1, 0, sheet.about)
    if sheet.total > len(sheet.rows):
        shown = say("sheets.capped", shown=count(len(sheet.rows)), total=count(sheet.total))
        page.write_string(2, 0, shown)
    for column, name in enumerate(sheet.columns):
        page.write_string(HEAD_ROW, column, name, head)
        page.set_column(column, column, _width(sheet, column))
    for number, row in enumerate(sheet.rows, HEAD_ROW + 1):
        for column, value in enumerate(row):
            if isinstance(value, str):
                page.write_string(number, column, value[:LONGEST], cell)
            elif value is not None:
                page.write_number(number, column, value, cell)
    page.freeze_panes(HEAD_ROW + 1, 0)
    if sheet.rows:
        page.autofilter(HEAD_ROW, 0, HEAD_ROW + len(sheet.rows), len(sheet.columns) - 1)
    page.set_landscape()
    page.fit_to_pages(1, 0)
    page.repeat_rows(HEAD_ROW)


def _width(sheet: Sheet, column: int) -> int:
    longest = max((len(str(row[column])) for row in sheet.rows[:200]), default=0)
    return min(max(NARROW, longest, len(sheet.columns[column])) + 2, WIDE)
