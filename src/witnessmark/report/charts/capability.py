"""Pictures of capability: the spread of values within the limits of the drawing, and what an index
from so few values says.
"""

from collections.abc import Sequence

import numpy as np
from scipy.stats import norm

from witnessmark.report.charts import strokes
from witnessmark.report.charts.dispatch import NOTHING_MORE, About, picture_of
from witnessmark.report.charts.look import DEEP, INK, SOFT, TINT, Axis, Layer, Spec, plot, sheet
from witnessmark.report.charts.rows import Mark, Row, rows_plot
from witnessmark.report.charts.strokes import Point
from witnessmark.stats.capability import Capability
from witnessmark.stats.capability_limits import IndexLimits, NeededIndex, needed_index
from witnessmark.stats.percentile_capability import PercentileCapability
from witnessmark.stats.result import amount
from witnessmark.stats.station_capability import StationCapabilities

SIZES = (20, 25, 30, 40, 50, 75, 100, 125, 150, 200, 300, 500)


@picture_of.register
def _capability(found: Capability, about: About = NOTHING_MORE) -> Spec:
    """The values, where given, within the limits of the drawing, and the normal curve of all."""
    index = found.performance
    limits = (
        None if index.cpl is None else found.mean - 3 * found.sd * index.cpl,
        None if index.cpu is None else found.mean + 3 * found.sd * index.cpu,
    )
    low, high = _reach(found, limits, about.values)
    layers: list[Layer] = []
    width = 1.0
    if about.values:
        edges = _edges(about.values)
        heights = np.histogram(about.values, edges)[0].tolist()
        width = (edges[1] - edges[0]) * len(about.values)
        layers.append(strokes.columns(edges, heights, colour=TINT, outline=SOFT))
    x = np.linspace(low, high, 121)
    density = norm.pdf(x, found.mean, found.sd) * width
    top = float(density.max()) * 1.12
    curve: list[Point] = list(zip(x.tolist(), density.tolist(), strict=True))
    layers += [
        strokes.line(curve),
        strokes.spans([(found.mean, 0.0, top)], upright=True, colour=DEEP, width=1),
        *_limit_lines(limits, "limit"),
    ]
    y_title = f"values in each column of {len(about.values):,}" if about.values else None
    y = Axis(y_title, grid=bool(about.values), labels=bool(about.values))
    said = "stable" if found.is_stable else "not stable, so only what was shipped is described"
    title = f"{about.what or 'Values'} within the limits: Ppk {found.ppk.value:.2f}, {said}"
    axis = Axis(about.axis("measured value"), domain=(low, high), grid=False)
    return sheet(title, plot(layers, axis, y), found.sentence)


def _reach(
    found: Capability, limits: tuple[float | None, float | None], values: Sequence[float]
) -> tuple[float, float]:
    known = [found.mean - 4 * found.sd, found.mean + 4 * found.sd, *values]
    known += [limit for limit in limits if limit is not None]
    gap = (max(known) - min(known)) * 0.04
    return min(known) - gap, max(known) + gap


def _edges(values: Sequence[float]) -> list[float]:
    """Columns about as wide as the data ask for (Scott), never more than thirty."""
    edges = np.histogram_bin_edges(values, "scott")
    return (edges if len(edges) <= 31 else np.histogram_bin_edges(values, 30)).tolist()  # noqa: PLR2004


def _limit_lines(limits: tuple[float | None, float | None], word: str) -> list[Layer]:
    layers = []
    for limit, name in zip(limits, ("lower", "upper"), strict=True):
        if limit is not None:
            layers.append(strokes.upright(limit))
            said = f"{name} {word} {amount(limit)}"
            layers.append(strokes.note(limit, "top", said, dx=0, dy=-9, align="center", colour=INK))
    return layers


@picture_of.register
def _percentiles(found: PercentileCapability, about: About = NOTHING_MORE) -> Spec:
    """Where nearly all values lie, against the limits of the drawing."""
    limits = (
        None if found.ppl is None else found.median - found.ppl * (found.median - found.low),
        None if found.ppu is None else found.median + found.ppu * (found.high - found.median),
    )
    words = f"{amount(found.low)} to {amount(found.high)}, middle {amount(found.median)}"
    row = Row("99.73 % of values", found.median, found.low, found.high, words)
    names = ("lower limit", "upper limit")
    marks = [
        Mark(limit, f"{name} {amount(limit)}")
        for limit, name in zip(limits, names, strict=True)
        if limit is not None
    ]
    title = f"Nearly all values against the limits: Ppk {found.ppk:.2f} by percentiles"
    axis = Axis(about.axis("measured value"))
    return sheet(title, rows_plot([row], axis, marks), found.sentence)


@picture_of.register
def _index(found: IndexLimits, about: About = NOTHING_MORE) -> Spec:
    """An index with its limits."""
    span = (
        f"{found.lower:.2f} to {found.upper:.2f}" if found.upper else f"at least {found.lower:.2f}"
    )
    row = Row(
        about.what or "index",
        found.value,
        found.lower,
        found.upper,
        f"{found.value:.2f} ({span}), n = {found.n:,}",
    )
    title = f"An index of {found.value:.2f} from {found.n:,} values: {span}"
    axis = Axis("capability index")
    return sheet(title, rows_plot([row], axis), found.sentence)


@picture_of.register
def _needed(found: NeededIndex, about: About = NOTHING_MORE) -> Spec:
    """What a sample must show, over its size."""
    sizes = sorted({*SIZES, found.n})
    curve = [(n, needed_index(found.required, n, found.confidence).needed) for n in sizes]
    layers = [
        strokes.level(found.required, width=1.2),
        strokes.line(curve),
        strokes.dots([(found.n, found.needed)], shape="square", size=64),
        strokes.words(
            [(found.n, found.needed, f"{found.n:,} values: {found.needed:.2f}")], dx=12, dy=-10
        ),
        strokes.words([("right", found.required, f"required {found.required:g}")], dx=8),
    ]
    x = Axis(
        "values in the sample, number",
        log=True,
        domain=(sizes[0], sizes[-1]),
        values=[20, 30, 50, 100, 200, 300, 500],
    )
    y = Axis(about.axis("index that must be observed"), domain=(found.required * 0.95, curve[0][1]))
    title = f"What must be observed before an index of {found.required:g} may be claimed"
    return sheet(title, plot(layers, x, y), found.sentence)


@picture_of.register
def _stations(found: StationCapabilities, about: About = NOTHING_MORE) -> Spec:
    """Each station by itself, never pooled, in the order given."""
    rows = [
        Row(
            name,
            one.ppk.value,
            one.ppk.lower,
            one.ppk.upper,
            f"Ppk {one.ppk.value:.2f}, n = {one.n:,}{'' if one.is_stable else ', not stable'}",
            hollow=not one.is_stable,
        )
        for name, one in found.by_station.items()
    ]
    axis = Axis(about.axis("Ppk, with its limits; hollow: not stable"))
    lowest = min(one.ppk.value for one in found.by_station.values())
    title = f"Each station by itself: the least Ppk is {lowest:.2f}, at {found.least}"
    return sheet(title, rows_plot(rows, axis), found.sentence)
