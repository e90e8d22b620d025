"""The small shapes on a day ribbon: a check due, made or late, a release, a restart.

Each is told by its shape, not its colour; a record typed later than the plant allows wears a broken
ring. Knows the kinds of marks and nothing of the ribbon around them.
"""

from collections.abc import Callable
from datetime import datetime

from witnessmark.report.figures import Mark, MarkKind
from witnessmark.report.pictures import svg

WORDS: dict[MarkKind, str] = {
    "due": "check due, not made by then",
    "made": "check made",
    "late": "check late (line from when it was due)",
    "failed": "check failed",
    "first-off": "first-off",
    "last-off": "last-off",
    "challenge": "challenge with a known bad part",
    "release": "release",
    "restart": "restart",
    "material-change": "material change",
}
EVENTS: frozenset[MarkKind] = frozenset({"release", "restart", "material-change"})
R = 4.8


def draw(mark: Mark, place: Callable[[datetime], float], checks: float, events: float) -> str:
    """One mark at its place in the lane it belongs to."""
    x = place(mark.at)
    y = events if mark.kind in EVENTS else checks
    parts = []
    if mark.kind == "late" and mark.due_at is not None:
        due = place(mark.due_at)
        parts += [
            svg.line(due, y, x, y, stroke=svg.RUST, stroke_width=2),
            svg.group(
                _circle(svg.PAPER), transform=f"translate({svg.number(due)} {svg.number(y)})"
            ),
        ]
    at = f"translate({svg.number(x)} {svg.number(y)})"
    parts.append(svg.group(svg.said(mark.says), SHAPES[mark.kind](), transform=at))
    if mark.entered_later:
        parts.append(svg.group(_ring(), transform=at))
    return svg.group(*parts)


def legend(marks: tuple[Mark, ...], *, events: bool) -> list[tuple[str, str, float]]:
    """Words, shape and width for each kind that is there, of the one lane or the other."""
    kinds = {mark.kind for mark in marks if (mark.kind in EVENTS) == events}
    entries = [
        (words, svg.group(SHAPES[kind](), transform="translate(6 0)"), 12.0)
        for kind, words in WORDS.items()
        if kind in kinds
    ]
    if any(mark.entered_later for mark in marks if (mark.kind in EVENTS) == events):
        ring = svg.group(_circle(svg.INK), _ring(), transform="translate(8 0)")
        entries.append(("entered later than allowed", ring, 16.0))
    return entries


def _circle(fill: str) -> str:
    return svg.element("circle", r=R, fill=fill, stroke=svg.INK, stroke_width=1.4)


def _ring() -> str:
    return svg.element(
        "circle", r=R + 3.4, fill="none", stroke=svg.INK, stroke_width=1.2, stroke_dasharray="2.5 2"
    )


def _outline(d: str, fill: str = svg.INK) -> str:
    return svg.path(d, fill=fill, stroke=svg.INK, stroke_width=1.2)


def _failed() -> str:
    cross = svg.path("M-2.6 -2.6L2.6 2.6M-2.6 2.6L2.6 -2.6", stroke=svg.INK, stroke_width=1.6)
    return _circle(svg.PAPER) + cross


SHAPES: dict[MarkKind, Callable[[], str]] = {
    "due": lambda: _circle(svg.PAPER),
    "made": lambda: _circle(svg.INK),
    "late": lambda: _circle(svg.RUST),
    "failed": _failed,
    "first-off": lambda: _outline("M0 -6L6 5H-6Z"),
    "last-off": lambda: _outline("M0 6L6 -5H-6Z"),
    "challenge": lambda: _outline("M-4.5 -4.5H4.5V4.5H-4.5Z", svg.PAPER),
    "release": lambda: _outline("M-4 7V-7L6 -3.5L-4 0"),
    "restart": lambda: _outline("M0 -6.5L6 0L0 6.5L-6 0Z", svg.PAPER),
    "material-change": lambda: _outline("M-2 -7H2V7H-2Z"),
}
"""The shape of each kind, drawn around (0, 0)."""
