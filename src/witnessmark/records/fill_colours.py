"""Cell fill colours of a sheet, as text: boards often say red by nothing but colour.

A colour is written #RRGGBB; one that is taken from the workbook's theme is written as the theme's
number with its tint, because what it looks like depends on the theme. No fill is nothing.
"""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from openpyxl import load_workbook
from openpyxl.styles.colors import COLOR_INDEX

SUFFIX = " (fill)"
RGB_DIGITS = 6


def add_fill_colours(
    grid: list[list[str]], path: Path, sheet: str, header: int, headings: Sequence[str]
) -> None:
    """Adds one column per heading to the grid: the fill colour of each of its cells.

    Args:
        grid: All cells as text; changed in place.
        path: The workbook.
        sheet: Name of the sheet.
        header: Position of the (last) header row in the grid.
        headings: Headings whose colours are wanted; others are left alone.
    """
    names = [cell.strip() for cell in grid[header]] if header < len(grid) else []
    places = [(name, names.index(name)) for name in headings if name in names]
    opened = load_workbook(path)[sheet]
    # A row may hold nothing but colours, and then no values reader knows of it.
    grid.extend([] for _ in range(opened.max_row - len(grid)))
    width = max(len(row) for row in grid)
    for row in grid:
        row.extend([""] * (width - len(row)))
    for position, row in enumerate(grid):
        for name, place in places:
            if position == header:
                row.append(name + SUFFIX)
            elif position < header:
                row.append("")
            else:
                row.append(colour_text(opened.cell(position + 1, place + 1).fill))


def colour_text(fill: Any) -> str:
    """The colour of a fill, "" where there is none."""
    if fill is None or fill.fill_type != "solid":
        return ""
    colour = fill.fgColor
    if colour.type == "rgb":
        return "#" + str(colour.rgb)[-RGB_DIGITS:].upper()
    if colour.type == "indexed" and colour.indexed < len(COLOR_INDEX):
        return "#" + str(COLOR_INDEX[colour.indexed])[-RGB_DIGITS:].upper()
    if colour.type == "theme":
        tint = f" {colour.tint:+.2f}" if colour.tint else ""
        return f"theme {colour.theme}{tint}"
    return ""
