"""The few strokes all pictures share: elements, patterns, text and a frame that can be read aloud.

Colours are custom properties of the page with a fallback, so a picture follows dark mode and
print, and still shows itself when it is saved alone. Nothing here knows what a picture means.
"""

from collections.abc import Callable, Iterable, Sequence
from hashlib import blake2s
from html import escape

INK = "var(--ink, #1f1e1b)"
SOFT = "var(--soft, #66635b)"
HAIR = "var(--hair, #cfcabd)"
PAPER = "var(--paper, #fcfbf7)"
TINT = "var(--tint, #e9e5da)"
DEEP = "var(--deep, #2f4a52)"
MID = "var(--mid, #7d99a0)"
RUST = "var(--rust, #9a3b1f)"

GROWTH = 1.1
"""How far a picture may grow beyond its natural size; more would only make its text large."""

SMALL = 11.0
PLAIN = 12.5


def number(value: float) -> str:
    """A coordinate without needless digits."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def element(name: str, *inside: str, **attributes: str | float | None) -> str:
    """An SVG element; `inside` is markup already, attributes of value None are left out."""
    given = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{_attribute(value)}"'
        for key, value in attributes.items()
        if value is not None
    )
    return f"<{name}{given}>{''.join(inside)}</{name}>" if inside else f"<{name}{given}/>"


def _attribute(value: str | float | None) -> str:
    return number(value) if isinstance(value, int | float) else escape(str(value))


def said(text: str) -> str:
    """What a pointer or a screen reader is told about an element."""
    return element("title", escape(text)) if text else ""


def text(
    x: float,
    y: float,
    words: str,
    *,
    size: float = PLAIN,
    anchor: str = "start",
    fill: str = INK,
    weight: str | None = None,
    style: str | None = None,
) -> str:
    """A line of text with its baseline at y; no words draw nothing."""
    if not words:
        return ""
    return element(
        "text",
        escape(words),
        x=x,
        y=y,
        font_size=size,
        text_anchor=None if anchor == "start" else anchor,
        fill=fill,
        font_weight=weight,
        font_style=style,
    )


def width_of(words: str, size: float = PLAIN) -> float:
    """About how wide a line of text is; a little generous, since fonts differ."""
    return len(words) * size * 0.56


def rect(x: float, y: float, width: float, height: float, fill: str, *inside: str) -> str:
    """A filled rectangle without an outline."""
    return element("rect", *inside, x=x, y=y, width=max(width, 0.0), height=height, fill=fill)


def box(
    x: float,
    y: float,
    width: float,
    height: float,
    *inside: str,
    fill: str = "none",
    stroke: str = INK,
    stroke_width: float = 1.0,
    dash: str | None = None,
) -> str:
    """An outlined rectangle."""
    return element(
        "rect",
        *inside,
        x=x,
        y=y,
        width=max(width, 0.0),
        height=height,
        fill=fill,
        stroke=stroke,
        stroke_width=stroke_width,
        stroke_dasharray=dash,
    )


def line(
    x1: float,
    y1: float,
    x2: float,
    y2: float,
    *,
    stroke: str = INK,
    stroke_width: float = 1.0,
    dash: str | None = None,
) -> str:
    """A straight line."""
    return element(
        "line",
        x1=x1,
        y1=y1,
        x2=x2,
        y2=y2,
        stroke=stroke,
        stroke_width=stroke_width,
        stroke_dasharray=dash,
    )


def path(
    d: str,
    *inside: str,
    fill: str = "none",
    stroke: str | None = INK,
    stroke_width: float = 1.2,
    dash: str | None = None,
) -> str:
    """A path from its drawing commands."""
    return element(
        "path",
        *inside,
        d=d,
        fill=fill,
        stroke=stroke,
        stroke_width=stroke_width,
        stroke_dasharray=dash,
    )


def group(*inside: str, **attributes: str | float | None) -> str:
    """Elements that belong together."""
    return element("g", *inside, **attributes) if inside else ""


def _lines(colour: str, turn: float, gap: float, thick: float, ground: str) -> Callable[[str], str]:
    def pattern(key: str) -> str:
        return element(
            "pattern",
            rect(0, 0, gap, gap, ground),
            line(0, gap / 2, gap, gap / 2, stroke=colour, stroke_width=thick),
            id=key,
            width=gap,
            height=gap,
            patternUnits="userSpaceOnUse",
            patternTransform=f"rotate({number(turn)})",
        )

    return pattern


def _dots(colour: str, gap: float, radius: float, ground: str) -> Callable[[str], str]:
    def pattern(key: str) -> str:
        return element(
            "pattern",
            rect(0, 0, gap, gap, ground),
            element("circle", cx=gap / 2, cy=gap / 2, r=radius, fill=colour),
            id=key,
            width=gap,
            height=gap,
            patternUnits="userSpaceOnUse",
        )

    return pattern


PATTERNS: dict[str, Callable[[str], str]] = {
    "level": _lines(DEEP, 0, 5, 1.6, PAPER),
    "upright": _lines(DEEP, 90, 5, 1.6, PAPER),
    "rising": _lines(RUST, -45, 6, 2.6, PAPER),
    "falling": _lines(RUST, 45, 7, 1.1, "transparent"),
    "dotted": _dots(DEEP, 6, 1.5, PAPER),
    "faint": _dots(SOFT, 7, 0.8, PAPER),
    "checked": _lines(MID, 45, 4, 1.6, PAPER),
}
"""Fills that stay apart in greyscale, by name: a hatch, a rule or a dot instead of a colour."""


class Canvas:
    """Collects the marks of one picture and closes it into an SVG that can be read aloud.

    Args:
        title: What the picture is, in a few words.
        description: What it shows, for a reader who cannot see it.
        seed: Text that tells this picture from others on the page; ids are made from it.
    """

    def __init__(self, title: str, description: str, seed: str) -> None:
        self._title = title
        self._description = description
        self._prefix = "p" + blake2s(seed.encode(), digest_size=5).hexdigest()
        self._patterns: dict[str, None] = {}
        self._marks: list[str] = []

    def add(self, *marks: str) -> None:
        """Draw marks above all earlier ones."""
        self._marks.extend(marks)

    def pattern(self, name: str) -> str:
        """The fill of a named pattern, defined once in this picture."""
        self._patterns[name] = None
        return f"url(#{self._prefix}-{name})"

    def close(self, width: float, height: float) -> str:
        """The finished picture, as large as it may grow; no inline style, which pages forbid."""
        heading, words = f"{self._prefix}-title", f"{self._prefix}-desc"
        defs = [PATTERNS[name](f"{self._prefix}-{name}") for name in sorted(self._patterns)]
        return element(
            "svg",
            element("title", escape(self._title), id=heading),
            element("desc", escape(self._description), id=words),
            *([element("defs", *defs)] if defs else []),
            *self._marks,
            xmlns="http://www.w3.org/2000/svg",
            viewBox=f"0 0 {number(width)} {number(height)}",
            width=width * GROWTH,
            height=height * GROWTH,
            role="img",
            aria_labelledby=f"{heading} {words}",
            font_family="var(--sans, system-ui, sans-serif)",
        )


def spread(values: Sequence[float], least_gap: float) -> list[float]:
    """The same ascending values, pushed apart just enough that labels do not overlap."""
    placed: list[float] = []
    for value in values:
        placed.append(max(value, placed[-1] + least_gap) if placed else value)
    return placed


def legend(
    canvas: Canvas, x: float, y: float, right: float, entries: Iterable[tuple[str, str, float]]
) -> float:
    """Draw swatches with their words, wrapping at the right edge.

    Args:
        canvas: Where to draw.
        x: Left edge.
        y: Baseline of the first line.
        right: Right edge at which a new line begins.
        entries: Words, markup of the swatch drawn around (0, 0), and the swatch's width.

    Returns:
        The baseline of the last line.
    """
    at, row = x, y
    for words, swatch, wide in entries:
        needed = wide + 6 + width_of(words, SMALL) + 16
        if at + needed > right and at > x:
            at, row = x, row + 20
        canvas.add(group(swatch, transform=f"translate({number(at)} {number(row - 4)})"))
        canvas.add(text(at + wide + 6, row, words, size=SMALL, fill=SOFT))
        at += needed
    return row
