"""The typeface of the report: where it lies, and which characters it has.

A character that it lacks would stop a tagged PDF from being made, so such a character is printed
as an empty box and the report says so. This module knows no report.
"""

import struct
from functools import cache
from pathlib import Path

import font_source_sans_pro

FOLDER = Path(font_source_sans_pro.font_directory)
"""Source Sans Pro under the SIL Open Font License, from its own package."""
FAMILY = "Source Sans Pro"
REGULAR = FOLDER / "SourceSansPro-Regular.otf"
LACKING = "\u25a1"
"""Printed for a character without a glyph; typst's own fallback font has it."""
ALSO = frozenset("\u25a1\u21c5\u2009\u2610\n\t\u200b")
"""Drawn by the fallback font, or no glyph at all."""
FULL_UNICODE, SEGMENTS = (3, 10), 12


@cache
def characters() -> frozenset[int]:
    """Code points of the typeface, read from its character map (OpenType `cmap`, format 12)."""
    data = REGULAR.read_bytes()
    at = _table(data, b"cmap")
    (count,) = struct.unpack_from(">H", data, at + 2)
    for index in range(count):
        platform, encoding, offset = struct.unpack_from(">HHL", data, at + 4 + 8 * index)
        if (platform, encoding) == FULL_UNICODE:
            return frozenset(_segments(data, at + offset))
    raise ValueError(f"{REGULAR.name} has no map of all Unicode characters")


def _table(data: bytes, tag: bytes) -> int:
    (count,) = struct.unpack_from(">H", data, 4)
    for index in range(count):
        name, _, offset, _ = struct.unpack_from(">4sLLL", data, 12 + 16 * index)
        if name == tag:
            return int(offset)
    raise ValueError(f"{REGULAR.name} has no table {tag!r}")


def _segments(data: bytes, at: int) -> list[int]:
    kind, _, _, _, groups = struct.unpack_from(">HHLLL", data, at)
    if kind != SEGMENTS:
        raise ValueError(f"{REGULAR.name}: a character map of kind {kind}")
    found: list[int] = []
    for index in range(groups):
        first, last, _ = struct.unpack_from(">LLL", data, at + 16 + 12 * index)
        found += range(first, last + 1)
    return found


def printable(text: str) -> str:
    """The text with a box for every character that cannot be drawn."""
    known = characters()
    return "".join(sign if ord(sign) in known or sign in ALSO else LACKING for sign in text)
