"""The interval plot: running time between checks, one strip per attendance class, with the limit.

Every gap is a dot; above two thousand dots the strip becomes columns of counts, and every column
stays comparable within its class. Where plan lines have several limits, the axis is the share of
each gap's own limit. The side of the limit is the figure's mark, never recomputed here.
"""

from collections.abc import Sequence
from typing import NamedTuple

from witnessmark.report.figures import Interval, IntervalGroup, IntervalPlot
from witnessmark.report.pictures import svg
from witnessmark.report.pictures.axis import MINUTE_STEPS, Scale, grid, steps
from witnessmark.report.words import ATTENDANCE, plural, share, span, x_of_n

WIDTH = 1000.0
LEFT, RIGHT = 190.0, 800.0
STRIP = 58.0
TOP = 34.0
MOST_DOTS = 2000
COLUMNS = 90
MOST_LIMITS = 2
TURN = 0.618033988749895


def draw(figure: IntervalPlot) -> str:
    """The strips of all classes over one axis."""
    canvas = svg.Canvas("Running time between checks", figure.caption, repr(figure))
    groups = [group for group in figure.groups if group.intervals]
    limits = sorted({one.limit_s for group in groups for one in group.intervals})
    by_limit = len(limits) > MOST_LIMITS
    valued = [[_Valued(_value(one, by_limit), one) for one in group.intervals] for group in groups]
    top = _top([one for some in valued for one in some], 1.0 if by_limit else max(limits))
    scale = Scale(LEFT, RIGHT, top)
    bottom = TOP + STRIP * len(groups)
    canvas.add(*grid(scale, _ticks(top, by_limit), TOP - 6, bottom))
    dots = sum(group.assessed for group in groups) <= MOST_DOTS
    for index, (group, some) in enumerate(zip(groups, valued, strict=True)):
        y = TOP + STRIP * index
        _strip(canvas, group, y, scale(_at_share(some, 0.5)))
        canvas.add(*(_dots if dots else _columns)(some, scale, y))
    _limits(canvas, [1.0] if by_limit else limits, scale, bottom, by_limit)
    words = "running time as a share of the gap's own limit" if by_limit else "running time"
    canvas.add(svg.text(RIGHT, bottom + 34, words, size=svg.SMALL, anchor="end", fill=svg.SOFT))
    svg.legend(canvas, LEFT, bottom + 34, RIGHT - 200, _key(dots))
    return canvas.close(WIDTH, bottom + 44)


class _Valued(NamedTuple):
    """Gaps with their place on the axis."""

    value: float
    interval: Interval


def _value(one: Interval, by_limit: bool) -> float:
    return one.running_s / one.limit_s if by_limit else float(one.running_s)


def _at_share(values: Sequence[_Valued], part: float) -> float:
    """The value below which that share of the gaps lies; 0.5 gives the median."""
    ordered = sorted(values, key=lambda one: one.value)
    wanted = part * sum(one.interval.units for one in ordered)
    passed = 0
    for one in ordered:
        passed += one.interval.units
        if passed >= wanted:
            return one.value
    return ordered[-1].value


def _top(values: Sequence[_Valued], limit: float) -> float:
    """The axis ends at the longest gap, but never lets a few very long ones squeeze the rest."""
    longest, most = _at_share(values, 1.0), _at_share(values, 0.99)
    return max(limit * 1.6, min(longest, max(most, limit * 3)) * 1.04)


def _ticks(top: float, by_limit: bool) -> list[tuple[float, str]]:
    if by_limit:
        return [(value, share(value)) for value in steps(top, (0.25, 0.5, 1, 2, 5, 10, 50))]
    seconds = [60.0 * minutes for minutes in MINUTE_STEPS]
    return [(value, span(int(value)) if value else "0") for value in steps(top, seconds)]


def _strip(canvas: svg.Canvas, group: IntervalGroup, y: float, middle: float) -> None:
    n = group.assessed
    rate = share(group.exceptions / n)
    canvas.add(
        svg.line(12, y, WIDTH - 12, y, stroke=svg.HAIR, stroke_width=0.8),
        svg.text(12, y + 24, ATTENDANCE[group.attendance], weight="600"),
        svg.text(12, y + 41, plural(n, "gap"), size=svg.SMALL, fill=svg.SOFT),
        svg.text(RIGHT + 22, y + 24, x_of_n(group.exceptions, n), weight="600"),
        svg.text(RIGHT + 22, y + 41, f"beyond the limit, {rate}", size=svg.SMALL, fill=svg.SOFT),
        svg.line(middle, y + 6, middle, y + STRIP - 6, stroke=svg.INK, stroke_width=2.2),
    )


def _dots(values: Sequence[_Valued], scale: Scale, y: float) -> list[str]:
    """Dots scattered across the strip by a fixed rule: the same data give the same picture."""
    marks: list[str] = []
    for value, one in values:
        for _ in range(one.units):
            x, at = scale(value), y + 10 + (STRIP - 20) * ((len(marks) * TURN) % 1.0)
            marks.append(_beyond(x, at) if value > scale.top else _dot(x, at, one.exception))
    return marks


def _dot(x: float, y: float, exception: bool) -> str:
    if exception:
        return svg.element("circle", cx=x, cy=y, r=3.4, fill=svg.RUST)
    return svg.element("circle", cx=x, cy=y, r=2.7, fill="none", stroke=svg.DEEP, stroke_width=1)


def _beyond(x: float, y: float) -> str:
    at = f"translate({svg.number(x)} {svg.number(y)})"
    return svg.group(svg.path("M-3 -4.5L5 0L-3 4.5Z", fill=svg.RUST, stroke=None), transform=at)


def _columns(values: Sequence[_Valued], scale: Scale, y: float) -> list[str]:
    """Counts in ninety columns; those beyond the limit stand on top in the other colour."""
    counts = [[0, 0] for _ in range(COLUMNS)]
    for value, one in values:
        place = min(int(value / scale.top * COLUMNS), COLUMNS - 1)
        counts[place][one.exception] += one.units
    tallest = max(sum(pair) for pair in counts)
    wide, room, foot = (scale.right - scale.left) / COLUMNS, STRIP - 12, y + STRIP - 4
    marks = []
    for index, (fine, over) in enumerate(counts):
        x, low, high = scale.left + index * wide, room * fine / tallest, room * over / tallest
        if fine:
            marks.append(svg.rect(x, foot - low, wide - 1, low, svg.MID))
        if over:
            shown = max(high, 1.5)
            marks.append(svg.rect(x, foot - low - shown, wide - 1, shown, svg.RUST))
    return marks


def _limits(
    canvas: svg.Canvas, limits: Sequence[float], scale: Scale, bottom: float, by_limit: bool
) -> None:
    places = svg.spread([scale(limit) for limit in limits], 118.0)
    for limit, place in zip(limits, places, strict=True):
        x = scale(limit)
        words = "the limit" if by_limit else f"limit {span(int(limit))}"
        canvas.add(
            svg.line(x, TOP - 10, x, bottom, stroke=svg.INK, stroke_width=1.4, dash="6 3"),
            svg.text(place, TOP - 15, words, size=svg.SMALL, anchor="middle", weight="600"),
        )


def _key(dots: bool) -> list[tuple[str, str, float]]:
    middle = svg.line(3, -7, 3, 7, stroke=svg.INK, stroke_width=2.2)
    if dots:
        return [
            ("one gap", _dot(4, 0, exception=False), 8.0),
            ("beyond its limit", _dot(4, 0, exception=True), 8.0),
            ("median", middle, 6.0),
        ]
    return [
        ("number of gaps", svg.rect(0, -5, 10, 11, svg.MID), 10.0),
        ("beyond their limit", svg.rect(0, -5, 10, 11, svg.RUST), 10.0),
        ("median", middle, 6.0),
    ]
