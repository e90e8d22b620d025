"""The few strokes the pictures are drawn with: layers without axes, which `look.plot` adds.

Points are pairs (x, y). Nothing here knows what a stroke means.
"""

from collections.abc import Iterable, Sequence
from typing import Any

from witnessmark.report.charts.look import DEEP, INK, PAPER, SOFT, Layer

Point = tuple[Any, Any]
X: Layer = {"field": "x"}
Y: Layer = {"field": "y"}


def _data(**columns: Iterable[Any]) -> Layer:
    names = list(columns)
    rows = zip(*columns.values(), strict=True)
    return {"values": [dict(zip(names, row, strict=True)) for row in rows]}


def _points(points: Sequence[Point]) -> Layer:
    return _data(x=[point[0] for point in points], y=[point[1] for point in points])


def _mark(kind: str, **looks: Any) -> Layer:
    return {"type": kind, **{name: look for name, look in looks.items() if look is not None}}


def line(
    points: Sequence[Point],
    *,
    colour: str = DEEP,
    width: float = 2.0,
    dash: Sequence[float] | None = None,
    interpolate: str | None = None,
) -> Layer:
    """A line through points in the order given."""
    mark = _mark("line", color=colour, strokeWidth=width, strokeDash=dash, interpolate=interpolate)
    return {"data": _points(points), "mark": mark, "encoding": {"x": X, "y": Y}}


def dots(
    points: Sequence[Point],
    *,
    shape: str = "circle",
    colour: str = DEEP,
    hollow: bool = False,
    size: float = 44,
) -> Layer:
    """A mark at each point, told by its shape."""
    mark = _mark(
        "point",
        shape=shape,
        filled=True,
        color=PAPER if hollow else colour,
        stroke=colour,
        strokeWidth=1.6,
        size=size,
        opacity=1,
    )
    return {"data": _points(points), "mark": mark, "encoding": {"x": X, "y": Y}}


def band(
    points: Sequence[tuple[Any, float, float]],
    *,
    colour: str,
    opacity: float = 1.0,
    interpolate: str | None = None,
) -> Layer:
    """The space between two lines; points are (x, low, high)."""
    rows = list(zip(*points, strict=True)) or [(), (), ()]
    mark = _mark("area", color=colour, opacity=opacity, interpolate=interpolate)
    encoding = {"x": X, "y": {"field": "low"}, "y2": {"field": "high"}}
    return {"data": _data(x=rows[0], low=rows[1], high=rows[2]), "mark": mark, "encoding": encoding}


def spans(
    rows: Sequence[tuple[Any, float, float]],
    *,
    upright: bool = False,
    colour: str = DEEP,
    width: float = 2.0,
    dash: Sequence[float] | None = None,
) -> Layer:
    """A stretch for each row: (y, from, to) lying, or (x, from, to) upright."""
    across, along = ("x", "y") if upright else ("y", "x")
    columns = list(zip(*rows, strict=True)) or [(), (), ()]
    data = _data(at=columns[0], begin=columns[1], end=columns[2])
    encoding = {across: {"field": "at"}, along: {"field": "begin"}, f"{along}2": {"field": "end"}}
    mark = _mark("rule", color=colour, strokeWidth=width, strokeDash=dash)
    return {"data": data, "mark": mark, "encoding": encoding}


def bars(
    rows: Sequence[tuple[Any, float, float]],
    *,
    upright: bool = False,
    colour: str = DEEP,
    thick: float | None = None,
    outline: str | None = None,
) -> Layer:
    """As `spans`, as thick as bars."""
    layer = spans(rows, upright=upright)
    mark = _mark("bar", color=colour, size=thick, stroke=outline, strokeWidth=outline and 1)
    return layer | {"mark": mark}


def columns(
    edges: Sequence[float], heights: Sequence[float], *, colour: str, outline: str | None = None
) -> Layer:
    """Columns between neighbouring edges."""
    encoding = {"x": X, "x2": {"field": "until"}, "y": Y, "y2": {"field": "foot"}}
    data = _data(x=edges[:-1], until=edges[1:], y=heights, foot=[0] * len(heights))
    mark = _mark("rect", color=colour, stroke=outline, strokeWidth=outline and 1)
    return {"data": data, "mark": mark, "encoding": encoding}


def upright(
    at: float,
    *,
    colour: str = INK,
    width: float = 1.4,
    dash: Sequence[float] | None = (6, 3),
) -> Layer:
    """A line from top to bottom at one place."""
    mark = _mark("rule", color=colour, strokeWidth=width, strokeDash=dash)
    return {"data": {"values": [{}]}, "mark": mark, "encoding": {"x": {"datum": at}}}


def level(
    at: float,
    *,
    colour: str = INK,
    width: float = 1.4,
    dash: Sequence[float] | None = (6, 3),
) -> Layer:
    """A line from left to right at one height."""
    mark = _mark("rule", color=colour, strokeWidth=width, strokeDash=dash)
    return {"data": {"values": [{}]}, "mark": mark, "encoding": {"y": {"datum": at}}}


def words(
    rows: Sequence[tuple[Any, Any, str]],
    *,
    align: str = "left",
    dx: float = 6,
    dy: float = 0,
    colour: str = INK,
    size: float | None = None,
    bold: bool = False,
) -> Layer:
    """Words at places (x, y, words); "right", "left", "top" or "bottom" mean an edge."""
    edges: dict[Any, Any] = {"left": 0, "right": "width", "top": 0, "bottom": "height"}
    mark = _mark(
        "text",
        align=align,
        baseline="middle",
        dx=dx,
        dy=dy,
        color=colour,
        fontSize=size,
        fontWeight="bold" if bold else None,
    )
    x, y = rows[0][0], rows[0][1]
    encoding = {
        "x": {"value": edges[x]} if isinstance(x, str) and x in edges else X,
        "y": {"value": edges[y]} if isinstance(y, str) and y in edges else Y,
        "text": {"field": "words"},
    }
    listed = list(zip(*rows, strict=True))
    data = _data(x=listed[0], y=listed[1], words=listed[2])
    return {"data": data, "mark": mark, "encoding": encoding}


def note(x: Any, y: Any, said: str, **looks: Any) -> Layer:
    """One note in the softer colour."""
    return words([(x, y, said)], **({"colour": SOFT} | looks))


def ticks(points: Sequence[Point], *, size: float = 11, colour: str = DEEP) -> Layer:
    """A short upright stroke at each point: the end of a line, a limit of one row."""
    mark = _mark("tick", orient="vertical", size=size, thickness=2, color=colour)
    return {"data": _points(points), "mark": mark, "encoding": {"x": X, "y": Y}}


def shifted(layer: Layer, pixels: float) -> Layer:
    """The same layer a little to the right, so that neighbours at one name stay apart."""
    return layer | {"mark": layer["mark"] | {"xOffset": pixels}}


def dashes(points: Sequence[Point], *, size: float, colour: str = DEEP) -> Layer:
    """A lying stroke at each point, as wide as a column: what the column is held against."""
    layer = ticks(points, size=size, colour=colour)
    return layer | {"mark": layer["mark"] | {"orient": "horizontal"}}
