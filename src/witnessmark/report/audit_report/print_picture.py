"""A picture of the screen made ready for paper: its colours fixed, its letters larger.

On paper a picture of a thousand units is as wide as the text, so that letters made for a screen
would be too small to read; the shipped typeface is narrow enough to let them grow in their place.
"""

import re

from witnessmark.report.audit_report.fonts import FAMILY

COLOUR = re.compile(r"var\(--[a-z]+, (#[0-9a-f]{6})\)")
SIZE = re.compile(r'font-size="([0-9.]+)"')
FONT = re.compile(r'font-family="[^"]*"')
LARGER = 1.28


def for_paper(svg: str) -> str:
    """The same picture for print."""
    fixed = COLOUR.sub(r"\1", svg)
    named = FONT.sub(f'font-family="{FAMILY}"', fixed)
    return SIZE.sub(lambda size: f'font-size="{float(size[1]) * LARGER:.2f}"', named)
