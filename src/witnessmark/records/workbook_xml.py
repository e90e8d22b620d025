"""What a workbook's own XML knows and a values reader does not tell: formulas without a value.

A values reader gives "" for a blank cell, for a formula in error and for a formula that was never
calculated. The first is nothing; the other two must be said. This module reads no values.
"""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import IO
from xml.etree.ElementTree import Element, ParseError, iterparse
from zipfile import BadZipFile, ZipFile

# S405, S314: expat opens no external entities and limits how far internal ones grow.

UNCALCULATED = "#UNCALCULATED!"
CHUNK = 1 << 20
MARKS = (b't="e"', b"<f>", b"<f ", b"<f/")
REL = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"


def faulty_cells(path: Path, sheet: str) -> dict[tuple[int, int], str]:
    """The cells of a sheet that hold an error or a formula without a value, and what to show.

    Args:
        path: The workbook.
        sheet: Name of the sheet.

    Returns:
        Row and column (from 0) to the error's text, or a mark for a formula never calculated.
    """
    try:
        with ZipFile(path) as archive:
            part = _part_of(archive, sheet)
            if part is None or not _may_hold_faults(archive, part):
                return {}
            with archive.open(part) as file:
                return dict(_scan(file))
    except (BadZipFile, ParseError, KeyError):
        # The values reader has opened it, or will say in its own words why it cannot.
        return {}


def _part_of(archive: ZipFile, sheet: str) -> str | None:
    """The part of the archive that holds a sheet."""
    targets = {}
    with archive.open("xl/_rels/workbook.xml.rels") as file:
        for _, element in iterparse(file):  # noqa: S314 - expat bounds what entities expand to
            if _tag(element) == "Relationship":
                targets[element.get("Id")] = element.get("Target", "")
    with archive.open("xl/workbook.xml") as file:
        for _, element in iterparse(file):  # noqa: S314 - expat bounds what entities expand to
            if _tag(element) == "sheet" and element.get("name") == sheet:
                target = targets.get(element.get(REL), "")
                return target.lstrip("/") if target.startswith("/") else f"xl/{target}"
    return None


def _may_hold_faults(archive: ZipFile, part: str) -> bool:
    before = b""
    with archive.open(part) as file:
        while block := file.read(CHUNK):
            if any(mark in before + block for mark in MARKS):
                return True
            before = block[-8:]
    return False


def _scan(file: IO[bytes]) -> Iterator[tuple[tuple[int, int], str]]:
    for _, element in iterparse(file):  # noqa: S314 - expat bounds what entities expand to
        if _tag(element) == "row":
            element.clear()
        if _tag(element) != "c":
            continue
        children = {_tag(child): child for child in element}
        value = children["v"].text if "v" in children else None
        place = _place(element.get("r", ""))
        if place is not None and element.get("t") == "e":
            yield place, value or "#VALUE!"
        elif place is not None and "f" in children and not value and element.get("t") != "str":
            yield place, UNCALCULATED


def _tag(element: Element) -> str:
    return element.tag.rsplit("}", 1)[-1]


def _place(reference: str) -> tuple[int, int] | None:
    found = re.fullmatch(r"([A-Z]{1,3})(\d+)", reference)
    if found is None:
        return None
    column = 0
    for letter in found.group(1):
        column = column * 26 + ord(letter) - ord("A") + 1
    return int(found.group(2)) - 1, column - 1
