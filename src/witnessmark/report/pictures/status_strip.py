"""The status strip: what a board declared, what the plant's own rule gives, what followed.

One column per day, seven weeks to a line. Weekends stand in a frame, a day on which the two rows
differ wears a ring, and a day without data has a pattern of its own, so that it is never read as
green. It compares nothing itself: the figure carries both colours.
"""

from collections.abc import Sequence

from witnessmark.report.figures import Colour, StatusStrip, StripDay
from witnessmark.report.pictures import svg
from witnessmark.report.words import day

LEFT = 104.0
CELL = 17.0
STEP = 18.0
DAYS = 49
BLOCK = 92.0
MARK = 4.2

FILLS: dict[Colour | None, str] = {
    "green": svg.TINT,
    "amber": "checked",
    "red": svg.RUST,
    "none": svg.PAPER,
    None: "faint",
}
WORDS: dict[Colour | None, str] = {
    "green": "green",
    "amber": "amber",
    "red": "red",
    "none": "no colour given",
    None: "no data",
}
LETTERS: dict[Colour | None, str] = {"amber": "A", "red": "R"}
ACTIONS = {
    "opened": "action opened",
    "linked": "linked to an open action",
    "reasoned": "reason given, no action",
    "none": "no action recorded",
}


def draw(figure: StatusStrip) -> str:
    """The strip of one letter of one area."""
    title = f"Letter {figure.letter} of {figure.area}: declared and recomputed"
    canvas = svg.Canvas(title, figure.caption, repr(figure))
    lines = [figure.days[at : at + DAYS] for at in range(0, len(figure.days), DAYS)]
    for index, days in enumerate(lines):
        _block(canvas, days, 20 + index * BLOCK)
    right = LEFT + DAYS * STEP
    foot = svg.legend(canvas, LEFT, 24 + len(lines) * BLOCK, right, _key(canvas, figure))
    return canvas.close(right + 12, foot + 12)


def _block(canvas: svg.Canvas, days: Sequence[StripDay], top: float) -> None:
    for words, row in (("declared", 0), ("recomputed", 1), ("action", 2)):
        canvas.add(svg.text(LEFT - 10, top + row * STEP + 13, words, anchor="end"))
    for index, one in enumerate(days):
        x = LEFT + index * STEP
        if one.day.weekday() == 0 or index == 0:
            canvas.add(
                svg.text(x, top - 6, f"{one.day.day} {one.day:%b}", size=svg.SMALL, fill=svg.SOFT)
                if one.day.weekday() == 0 or days[0].day.weekday() < 5  # noqa: PLR2004 - no clash
                else ""
            )
        _cell(canvas, x, top, one.declared)
        _cell(canvas, x, top + STEP, one.recomputed)
        canvas.add(_action(one, x + CELL / 2, top + 2 * STEP + CELL / 2))
    _frames(canvas, days, top)
    for index, one in enumerate(days):
        if one.disagrees:
            said = f"{day(one.day)}: declared {one.declared}, recomputed {one.recomputed}"
            canvas.add(_ring(LEFT + index * STEP, top, svg.said(said)))


def _cell(canvas: svg.Canvas, x: float, y: float, colour: Colour | None) -> None:
    fill = FILLS[colour]
    if fill in svg.PATTERNS:
        fill = canvas.pattern(fill)
    canvas.add(svg.box(x, y, CELL, CELL, fill=fill, stroke=svg.HAIR, stroke_width=0.8))
    if letter := LETTERS.get(colour):
        if colour == "amber":
            canvas.add(svg.rect(x + 4, y + 3, CELL - 8, CELL - 6, svg.PAPER))
        ink = svg.PAPER if colour == "red" else svg.INK
        canvas.add(
            svg.text(x + CELL / 2, y + 12.5, letter, size=svg.SMALL, anchor="middle", fill=ink,
                     weight="600")
        )  # fmt: skip


def _action(one: StripDay, x: float, y: float) -> str:
    said = svg.said(f"{day(one.day)}: {ACTIONS.get(one.action, 'no action needed or known')}")
    return svg.group(said, _sign(one.action), transform=f"translate({svg.number(x)} {y:g})")


def _sign(action: str) -> str:
    match action:
        case "opened":
            return svg.element("circle", r=MARK, fill=svg.INK)
        case "linked":
            half = svg.path(f"M0 {-MARK}A{MARK} {MARK} 0 0 1 0 {MARK}Z", fill=svg.INK, stroke=None)
            return _circle() + half
        case "reasoned":
            return _circle()
        case "none":
            return svg.path("M-4 -4L4 4M-4 4L4 -4", stroke=svg.RUST, stroke_width=2.2)
    return ""


def _circle() -> str:
    return svg.element("circle", r=MARK, fill=svg.PAPER, stroke=svg.INK, stroke_width=1.3)


def _ring(x: float, y: float, *inside: str) -> str:
    return svg.element(
        "rect",
        *inside,
        x=x - 2.5,
        y=y - 2.5,
        width=CELL + 5,
        height=STEP + CELL + 5,
        rx=8,
        fill="none",
        stroke=svg.INK,
        stroke_width=2.2,
    )


def _frames(canvas: svg.Canvas, days: Sequence[StripDay], top: float) -> None:
    """One frame around each run of days off."""
    start: int | None = None
    for index in range(len(days) + 1):
        off = index < len(days) and days[index].off
        if off and start is None:
            start = index
        elif not off and start is not None:
            canvas.add(
                svg.box(
                    LEFT + start * STEP - 1, top - 1, (index - start) * STEP + 1, 3 * STEP + 1,
                    stroke=svg.SOFT, stroke_width=1.3,
                )
            )  # fmt: skip
            start = None


def _key(canvas: svg.Canvas, figure: StatusStrip) -> list[tuple[str, str, float]]:
    colours = {one.declared for one in figure.days} | {one.recomputed for one in figure.days}
    entries = []
    for colour, words in WORDS.items():
        if colour in colours:
            fill = FILLS[colour]
            fill = canvas.pattern(fill) if fill in svg.PATTERNS else fill
            swatch = svg.box(0, -6, 14, 13, fill=fill, stroke=svg.SOFT, stroke_width=0.8)
            entries.append((words, swatch, 14.0))
    if any(one.disagrees for one in figure.days):
        ring = svg.element(
            "rect", x=0, y=-8, width=14, height=17, rx=6, fill="none", stroke=svg.INK,
            stroke_width=2.2,
        )  # fmt: skip
        entries.append(("the two rows differ", ring, 14.0))
    used = {one.action for one in figure.days}
    entries += [
        (words, svg.group(_sign(kind), transform="translate(6 0)"), 12.0)
        for kind, words in ACTIONS.items()
        if kind in used
    ]
    if any(one.off for one in figure.days):
        entries.append(("weekend", svg.box(0, -6, 20, 13, stroke=svg.SOFT, stroke_width=1.3), 20.0))
    return entries
