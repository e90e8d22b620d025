"""A sample list as it is printed and carried to the floor: header, rows, space for what is found.

The same list gives the same bytes in every form. This module knows no population.
"""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import xlsxwriter  # type: ignore[import-untyped]  # it ships no types

from witnessmark.errors import UnusableInputError, Where

TITLE = "Sample list"
TO_FILL = ("Found", "Remark")
MADE = datetime(2000, 1, 1)  # noqa: DTZ001  # any fixed time: the file must not carry the clock's
WIDEST = 40


@dataclass(frozen=True)
class SampleList:
    """A list to look at, item by item.

    Args:
        header: Label and text of each line above the list.
        columns: Headings of the list, without the space to fill in.
        rows: Cells as text, in the order in which they are looked at.
    """

    header: tuple[tuple[str, str], ...]
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    @property
    def headings(self) -> tuple[str, ...]:
        """All headings."""
        return (*self.columns, *TO_FILL)

    def as_markdown(self) -> str:
        """The list as Markdown."""
        blank = ("",) * len(TO_FILL)
        return "\n".join(
            [
                f"# {TITLE}",
                "",
                *(f"- **{label}**: {_one_line(text)}" for label, text in self.header),
                "",
                _table_row(self.headings),
                _table_row(["---"] * len(self.headings)),
                *(_table_row([*row, *blank]) for row in self.rows),
                "",
            ]
        )

    def as_csv(self) -> str:
        """The list as CSV: the header in two columns, a blank line, the list."""
        text = io.StringIO()
        writer = csv.writer(text, lineterminator="\n")
        writer.writerow([TITLE])
        writer.writerows(self.header)
        writer.writerow([])
        writer.writerow(self.headings)
        blank = ("",) * len(TO_FILL)
        writer.writerows([*map(_as_text, row), *blank] for row in self.rows)
        return text.getvalue()

    def write(self, file: Path) -> None:
        """Writes the list; the end of the name says how.

        Raises:
            UnusableInputError: Another end of the name, or a folder that is not there.
        """
        end = file.suffix.lower()
        if end not in {".csv", ".md", ".xlsx"}:
            raise UnusableInputError.one(
                Where(file.name), "its ending names no kind of list.", ".csv, .xlsx or .md"
            )
        if not file.parent.is_dir():
            raise UnusableInputError.one(Where(str(file.parent)), "there is no such folder.")
        if end == ".xlsx":
            _write_workbook(self, file)
        else:
            text = self.as_csv() if end == ".csv" else self.as_markdown()
            file.write_text(text, encoding="utf-8")


def _one_line(text: str) -> str:
    return " ".join(text.split())


def _table_row(cells: Sequence[str]) -> str:
    return "| " + " | ".join(_one_line(cell).replace("|", "\\|") for cell in cells) + " |"


def _as_text(cell: str) -> str:
    """A cell that no program that opens the file takes for a formula."""
    is_formula = cell[:1] in {"=", "+", "@"} or (cell[:1] == "-" and not cell[1:2].isdigit())
    return f"'{cell}" if is_formula else cell


def _write_workbook(sample: SampleList, file: Path) -> None:
    with xlsxwriter.Workbook(str(file), {"strings_to_formulas": False}) as book:
        book.set_properties({"title": TITLE, "created": MADE})
        sheet = book.add_worksheet(TITLE)
        bold = book.add_format({"bold": True, "valign": "top"})
        wrapped = book.add_format({"text_wrap": True, "valign": "top", "border": 1})
        heading = book.add_format({"bold": True, "text_wrap": True, "border": 1, "bottom": 2})
        for place, (label, text) in enumerate(sample.header):
            sheet.write_string(place, 0, label, bold)
            sheet.write_string(place, 2, text)
        top = len(sample.header) + 1
        for column, name in enumerate(sample.headings):
            sheet.write_string(top, column, name, heading)
            cells = [row[column] if column < len(row) else " " * 12 for row in sample.rows]
            longest = max([len(name), *map(len, cells)])
            sheet.set_column(column, column, min(WIDEST, longest + 2))
        for place, row in enumerate(sample.rows, top + 1):
            for column, cell in enumerate((*row, *("",) * len(TO_FILL))):
                sheet.write_string(place, column, cell, wrapped)
        sheet.repeat_rows(top)
        sheet.set_landscape()
        sheet.set_paper(9)  # A4
        sheet.fit_to_pages(1, 0)
        sheet.set_footer("&L" + TITLE + "&RPage &P of &N")
