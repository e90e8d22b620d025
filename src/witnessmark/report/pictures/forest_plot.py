"""The forest plot: the rate of exceptions of each test with its exact bounds, and its strata.

The count stands beside every rate, so that a short bar of many units is not mistaken for a long bar
of few. A test without an assessed unit is listed and says so. Nothing is summed up.
"""

from witnessmark.report.figures import ForestPlot, ForestRow
from witnessmark.report.pictures import svg
from witnessmark.report.pictures.axis import Scale, grid, steps
from witnessmark.report.words import bounds, share, x_of_n

WIDTH = 1000.0
LEFT, RIGHT = 300.0, 730.0
ROW = 23.0
TOP = 30.0


def draw(figure: ForestPlot) -> str:
    """One line per test and per stratum, over one axis."""
    canvas = svg.Canvas("Rates of exceptions with exact bounds", figure.caption, repr(figure))
    top = _top(figure.rows)
    scale = Scale(LEFT, RIGHT, top)
    bottom = TOP + ROW * len(figure.rows) + 6
    ticks = [(value, share(value)) for value in steps(top, (0.005, 0.01, 0.02, 0.05, 0.1, 0.2))]
    canvas.add(*grid(scale, ticks, TOP - 4, bottom))
    for words, x in (("exceptions", RIGHT + 22), ("rate, exact 95 % bounds", 850.0)):
        canvas.add(svg.text(x, 16, words, size=svg.SMALL, fill=svg.SOFT))
    for index, row in enumerate(figure.rows):
        y = TOP + ROW * index + ROW / 2 + 3
        if index and not row.stratum:
            canvas.add(svg.line(12, y - 12, WIDTH - 12, y - 12, stroke=svg.HAIR, stroke_width=0.8))
        canvas.add(_words(row, y), *_bar(row, scale, y))
    return canvas.close(WIDTH, bottom + 26)


def _top(rows: tuple[ForestRow, ...]) -> float:
    """The axis ends a little beyond the widest bound, at most at one."""
    widest = max((row.upper for row in rows if row.upper is not None), default=1.0)
    return min(1.0, max(widest * 1.05, 0.02))


def _words(row: ForestRow, y: float) -> str:
    indent = 34.0 if row.stratum else 12.0
    weight = None if row.stratum else "600"
    fill = svg.SOFT if row.stratum else svg.INK
    counted = x_of_n(row.exceptions, row.assessed) if row.assessed else "none assessed"
    rate = (
        f"{share(row.rate)} ({bounds(row.lower, row.upper).removesuffix(' %')})"
        if row.assessed
        else ""
    )
    size = svg.SMALL if row.stratum else svg.PLAIN
    return svg.group(
        svg.text(indent, y + 4, row.label, size=size, weight=weight, fill=fill),
        svg.text(RIGHT + 22, y + 4, counted, size=svg.SMALL, fill=svg.INK),
        svg.text(850.0, y + 4, rate, size=svg.SMALL, fill=svg.INK),
    )


def _bar(row: ForestRow, scale: Scale, y: float) -> list[str]:
    if row.rate is None or row.lower is None or row.upper is None:
        return []
    low, high, at = scale(row.lower), scale(row.upper), scale(row.rate)
    thick, half = (1.4, 3.2) if row.stratum else (2.0, 4.4)
    marks = [svg.line(low, y, high, y, stroke=svg.DEEP, stroke_width=thick)]
    marks += [
        svg.line(x, y - 4, x, y + 4, stroke=svg.DEEP, stroke_width=thick) for x in (low, high)
    ]
    if row.stratum:
        hollow = svg.element(
            "circle", cx=at, cy=y, r=half, fill=svg.PAPER, stroke=svg.DEEP, stroke_width=1.6
        )
        return [*marks, hollow]
    return [*marks, svg.rect(at - half, y - half, half * 2, half * 2, svg.DEEP)]
