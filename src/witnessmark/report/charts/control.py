"""Pictures of charts over time: points with centre and limits, those outside told by shape."""

from collections.abc import Mapping, Sequence
from typing import Any

from witnessmark.report.charts import strokes
from witnessmark.report.charts.dispatch import NOTHING_MORE, About, picture_of
from witnessmark.report.charts.look import (
    MID,
    RUST,
    SOFT,
    TINT,
    Axis,
    Layer,
    Spec,
    plot,
    sheet,
    to_scale,
)
from witnessmark.report.charts.strokes import Point
from witnessmark.stats.control_chart import ChartPair, ControlChart
from witnessmark.stats.result import amount, counted, percent
from witnessmark.stats.run_lengths import PointPower, RunLength, means_chart_power
from witnessmark.stats.time_weighted_charts import CusumChart

TIME = "points in order of time, number"
DASHES: tuple[tuple[int, ...] | None, ...] = (None, (7, 3), (2, 3), (9, 3, 2, 3))


def _title(found: ControlChart) -> str:
    outside = len(found.outside)
    told = {0: "no point lies outside its limits", 1: "one point lies outside its limits"}
    said = told.get(outside, f"{outside} points lie outside their limits")
    return f"{found.kind[0].upper()}{found.kind[1:]}: {said}"


def _chart(found: ControlChart, about: About, height: float = 240) -> Spec:
    """The band between the limits, the centre, the points, and the outside ones numbered."""
    n = len(found.points)
    places = range(1, n + 1)
    points: list[Point] = list(zip(places, found.points, strict=True))
    inside = [point for place, point in enumerate(points) if place not in found.outside]
    outside = [points[place] for place in found.outside]
    layers = [*_limits(found), strokes.line(points, colour=MID, width=1.2)]
    layers.append(strokes.dots(inside, size=30 if n <= 60 else 14))  # noqa: PLR2004 - they would touch
    if outside:
        layers.append(strokes.dots(outside, shape="diamond", colour=RUST, hollow=True, size=110))
        named = [(x, y, str(x)) for x, y in outside if x - 2 not in found.outside]
        layers.append(strokes.words(named, dx=0, dy=-13, align="center", colour=RUST, bold=True))
    x = Axis(TIME, domain=(0.5, n + 0.5), whole=True, grid=False)
    return plot(layers, x, Axis(about.axis(found.kind), percent=_is_share(found)), height=height)


def _limits(found: ControlChart) -> list[Layer]:
    """Limits drawn as steps, since they may differ from point to point, and named at their end."""
    n = len(found.points)
    edges = [0.5 + place for place in range(n + 1)]

    def steps(values: Sequence[float]) -> list[Point]:
        return list(zip(edges, [*values, values[-1]], strict=True))

    lower, upper, centre = steps(found.lower), steps(found.upper), steps(found.centre)
    tint = [(x, low, high) for (x, low), (_, high) in zip(lower, upper, strict=True)]
    edge: dict[str, Any] = {"colour": SOFT, "width": 1.2, "dash": (6, 3)}
    return [
        strokes.band(tint, colour=TINT, opacity=0.55, interpolate="step-after"),
        strokes.line(lower, interpolate="step-after", **edge),
        strokes.line(upper, interpolate="step-after", **edge),
        strokes.line(centre, colour=SOFT, width=1.0, interpolate="step-after"),
        strokes.words(_ends(found), dx=8, colour=SOFT, size=11),
    ]


def _ends(found: ControlChart) -> list[tuple[str, float, str]]:
    low, middle, high = found.lower[-1], found.centre[-1], found.upper[-1]

    def said(value: float) -> str:
        return percent(value) if _is_share(found) else to_scale(value, high - low)

    named = [(high, "limit"), (middle, "centre"), (low, "limit")]
    return [("right", value, f"{name} {said(value)}") for value, name in named]


def _is_share(found: ControlChart) -> bool:
    return found.kind.startswith("share")


@picture_of.register
def _control(found: ControlChart, about: About = NOTHING_MORE) -> Spec:
    """One chart."""
    return sheet(_title(found), _chart(found, about), found.sentence)


@picture_of.register
def _pair(found: ChartPair, about: About = NOTHING_MORE) -> Spec:
    """Location above spread."""
    spread = About(found.spread.kind, about.unit)
    parts = [_chart(found.location, about, 190), _chart(found.spread, spread, 110)]
    return sheet(_title(found.location), parts, found.location.sentence)


@picture_of.register
def _cusum(found: CusumChart, about: About = NOTHING_MORE) -> Spec:
    """The sums against a rise above, those against a fall below, each with its interval."""
    n = len(found.high)
    high: list[Point] = list(enumerate(found.high, 1))
    low: list[Point] = [(place, -value) for place, value in enumerate(found.low, 1)]
    layers = [
        strokes.band(
            [(0.5, -found.h, found.h), (n + 0.5, -found.h, found.h)], colour=TINT, opacity=0.55
        ),
        *(strokes.level(value, colour=SOFT, width=1.2) for value in (found.h, -found.h)),
        strokes.level(0.0, colour=SOFT, width=1.0, dash=None),
        strokes.line(high),
        strokes.line(low, colour=MID, dash=(6, 2)),
        strokes.words([("right", found.h, f"interval {amount(found.h)}")], dx=8, colour=SOFT),
        strokes.note("left", found.h, "against a rise", dx=8, dy=12),
        strokes.note("left", -found.h, "against a fall", dx=8, dy=-12),
    ]
    signals = [
        (place + 1, found.high[place] if found.high[place] > found.h else -found.low[place])
        for place in found.signals
    ]
    if signals:
        layers.append(strokes.dots(signals, shape="diamond", colour=RUST, hollow=True, size=100))
        x, y = signals[0]
        up = -14 if y > 0 else 14
        layers.append(
            strokes.words([(x, y, str(x))], dx=0, dy=up, align="center", colour=RUST, bold=True)
        )
    said = f"passed at point {found.signals[0] + 1}" if found.signals else "not passed"
    x_axis = Axis(TIME, domain=(0.5, n + 0.5), whole=True, grid=False)
    y_axis = Axis(about.axis("cumulative sum (fall drawn downwards)"))
    title = f"Small shifts summed up: the decision interval is {said}"
    return sheet(title, plot(layers, x_axis, y_axis), found.sentence)


def run_length_curve(named: Mapping[str, Sequence[RunLength]]) -> Spec:
    """How long charts run before they signal, over the size of the shift, each its own dash.

    Args:
        named: Run lengths of each chart, by its name, at the shifts to be drawn.
    """
    curves: dict[str, list[Point]] = {
        name: sorted((one.shift, one.average) for one in lengths) for name, lengths in named.items()
    }
    slowest_first = sorted(curves, key=lambda name: -curves[name][len(curves[name]) // 4][1])
    layers: list[Layer] = []
    for name, dash in zip(slowest_first, DASHES * len(curves), strict=False):
        curve = curves[name]
        layers.append(strokes.line(curve, dash=dash))
        x, y = curve[len(curve) // 4]
        last = name == slowest_first[-1] and len(curves) > 1
        looks: dict[str, Any] = (
            {"dx": -8, "dy": 10, "align": "right"} if last else {"dx": 8, "dy": -8}
        )
        layers.append(strokes.words([(x, y, name)], **looks))
    longest = max(y for curve in curves.values() for _, y in curve)
    x_axis = Axis("lasting shift (standard errors of a point)")
    y_axis = Axis("points until the signal (average number)", log=True, domain=(1, longest * 1.4))
    caption = (
        "Where nothing has changed (shift 0) a long run is wanted, since every signal is false; "
        "at a shift a short one. Single runs scatter widely around these averages."
    )
    title = (
        f"How many points pass before {'a chart signals' if len(named) == 1 else 'charts signal'}"
    )
    return sheet(title, plot(layers, x_axis, y_axis), caption)


@picture_of.register
def _point_power(found: PointPower, about: About = NOTHING_MORE) -> Spec:
    """The chance that one mean shows a shift, over its size; three-sigma limits."""
    end = max(3.0, abs(found.shift) * 1.3)
    curve = [
        (shift, means_chart_power(shift, found.n).chance)
        for shift in (end * step / 60 for step in range(61))
    ]
    at = (abs(found.shift), found.chance)
    layers = [
        strokes.line(curve),
        strokes.dots([at], shape="square", size=64),
        strokes.words([(*at, f"{amount(at[0])} sigma: {percent(at[1])}")], dx=12, dy=6),
    ]
    x = Axis("true shift (standard deviations of a single value)", domain=(0, end))
    y = Axis("chance that one point shows it", percent=True, domain=(0, 1))
    each = about.what or f"A mean of {counted(found.n, 'value')}"
    return sheet(
        f"{each} shows large shifts, seldom small ones", plot(layers, x, y), found.sentence
    )
