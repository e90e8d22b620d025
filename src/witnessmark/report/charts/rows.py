"""Values with their limits, one row each over a shared scale: what most results look like.

Knows no statistic: a row is a name, a value, two limits and the words beside it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from witnessmark.report.charts import strokes
from witnessmark.report.charts.look import INK, Axis, Layer, Spec, plot

STEP = 32.0
ROOM = 1.08
"""How far the scale goes beyond the widest limit."""


@dataclass(frozen=True)
class Row:
    """One value with its limits.

    Args:
        name: What it is of; every row of a picture has another name.
        value: The value; None where nothing is known.
        lower: Lower limit; None where there is none.
        upper: Upper limit; None where there is none, and the line ends in an arrow.
        words: What stands beside it.
        hollow: Drawn as an outline: a part of the rest, or what only serves to compare.
    """

    name: str
    value: float | None
    lower: float | None
    upper: float | None
    words: str = ""
    hollow: bool = False


@dataclass(frozen=True)
class Mark:
    """A value that the rows are held against, with its words."""

    at: float
    words: str


def rows_plot(
    rows: Sequence[Row],
    x: Axis,
    marks: Sequence[Mark] = (),
    *,
    width: float = 420,
    least: float | None = None,
) -> Spec:
    """The rows from top to bottom in the order given, with the marks drawn through all of them."""
    begin, end = _reach(rows, marks, x, least)
    axis = Axis(x.title, domain=(begin, end), percent=x.percent, log=x.log, values=x.values)
    names = Axis(None, "nominal", names=[row.name for row in rows])
    layers = [_through(mark) for mark in marks]
    layers += _lines(rows, begin, end)
    layers.append(strokes.words([("right", row.name, row.words) for row in rows], dx=14))
    layers += [
        strokes.note(mark.at, "top", mark.words, dy=-9, dx=0, align="center", colour=INK)
        for mark in marks
    ]
    return plot(layers, axis, names, width=width, height=STEP * len(rows) + 6)


def _through(mark: Mark) -> Layer:
    return strokes.upright(mark.at, colour=INK, width=1.3)


def _reach(
    rows: Sequence[Row], marks: Sequence[Mark], x: Axis, least: float | None
) -> tuple[float, float]:
    """From and to of the scale: those asked for, else what holds every value and mark."""
    if x.domain is not None:
        return x.domain
    known = [one for row in rows for one in (row.value, row.lower, row.upper) if one is not None]
    known += [mark.at for mark in marks]
    low, high = min(known, default=0.0), max(known, default=1.0)
    if x.log:
        low = min((one for one in known if one > 0), default=0.1)
        return low / 1.4, high * 1.4
    begin = least if least is not None else low - (high - low) * (ROOM - 1)
    end = high + (high - begin) * (ROOM - 1)
    return begin, min(end, 1.0) if x.percent else end if end > begin else begin + 1.0


def _lines(rows: Sequence[Row], begin: float, end: float) -> list[Layer]:
    spans, caps, arrows = [], [], []
    for row in rows:
        if row.lower is None and row.upper is None:
            continue
        low = begin if row.lower is None else max(row.lower, begin)
        high = end if row.upper is None else min(row.upper, end)
        spans.append((row.name, low, high))
        caps += [(one, row.name) for one in (row.lower, row.upper) if one is not None]
        arrows += [(high, row.name)] if row.upper is None else []
    caps = [cap for cap in caps if begin <= cap[0] <= end]
    solid = [(row.value, row.name) for row in rows if row.value is not None and not row.hollow]
    hollow = [(row.value, row.name) for row in rows if row.value is not None and row.hollow]
    layers = [strokes.spans(spans)]
    layers += [strokes.ticks(caps)] if caps else []
    layers += [strokes.dots(arrows, shape="triangle-right", size=50)] if arrows else []
    layers += [strokes.dots(solid, shape="square", size=62)] if solid else []
    layers += [strokes.dots(hollow, hollow=True, size=62)] if hollow else []
    return layers
