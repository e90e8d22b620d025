"""Pictures of capability: values within the limits of the drawing, indices with their limits."""

from collections.abc import Sequence

import numpy as np

from witnessmark.report.charts import strokes
from witnessmark.report.charts.dispatch import NOTHING_MORE, About, picture_of
from witnessmark.report.charts.look import INK, MID, PAPER, SOFT, Axis, Spec, plot, sheet, to_scale
from witnessmark.report.charts.rows import Mark, Row, rows_plot
from witnessmark.stats.capability import Capability
from witnessmark.stats.capability_limits import IndexLimits, NeededIndex, needed_index
from witnessmark.stats.percentile_capability import PercentileCapability
from witnessmark.stats.result import amount
from witnessmark.stats.station_capability import StationCapabilities

MOST_COLUMNS = 30
SIZES = (20, 25, 30, 40, 50, 75, 100, 125, 150, 200, 300, 500)


@picture_of.register
def _capability(found: Capability, about: About = NOTHING_MORE) -> Spec:
    """Values, where given, and below them mean and spread, within the limits of the drawing.

    The spread is that of all values, whether the process was stable or not: it is what was shipped.
    """
    index = found.performance
    limits = (
        None if index.cpl is None else found.mean - 3 * found.sd * index.cpl,
        None if index.cpu is None else found.mean + 3 * found.sd * index.cpu,
    )
    marks = _marks(limits)
    low, high = found.mean - 3 * found.sd, found.mean + 3 * found.sd
    row = Row("mean ± 3 sd", found.mean, low, high, f"sd {amount(found.sd)}")
    known = [*about.values, *(mark.at for mark in marks), low, high]
    gap = (max(known) - min(known)) * 0.05
    axis = Axis(about.axis("measured value"), domain=(min(known) - gap, max(known) + gap))
    reach = rows_plot([row], axis, [Mark(mark.at, "") for mark in marks] if about.values else marks)
    parts = [_columns(about, axis, marks), reach] if about.values else [reach]
    said = "stable" if found.is_stable else "not stable, so only what was shipped is described"
    title = f"{about.what or 'Values'} within the limits: Ppk {found.ppk.value:.2f}, {said}"
    return sheet(title, parts, found.sentence, spacing=12)


def _columns(about: About, axis: Axis, marks: Sequence[Mark]) -> Spec:
    """How many values fall into each column, what lies outside the limits tinted."""
    edges = _edges(about.values)
    heights = np.histogram(about.values, edges)[0].tolist()
    layers = [strokes.columns(edges, heights, colour=MID, outline=PAPER)]
    layers += [strokes.upright(mark.at) for mark in marks]
    layers += [
        strokes.note(mark.at, "top", mark.words, dx=0, dy=-9, align="center", colour=INK)
        for mark in marks
    ]
    x = Axis(None, domain=axis.domain, labels=False)
    said = f"{len(about.values):,} values"
    layers.append(strokes.words([("right", "bottom", said)], dx=14, dy=-8, colour=SOFT))
    y = Axis(None, whole=True, grid=False, labels=False)
    return plot(layers, x, y, width=420, height=150)


def _marks(limits: tuple[float | None, float | None]) -> list[Mark]:
    low, high = limits
    span = high - low if low is not None and high is not None else 0.0
    named = zip(("lower limit", "upper limit"), limits, strict=True)
    return [Mark(at, f"{name} {to_scale(at, span)}") for name, at in named if at is not None]


def _edges(values: Sequence[float]) -> list[float]:
    """Columns about as wide as the data ask for (Scott), never more than `MOST_COLUMNS`."""
    asked = len(np.histogram_bin_edges(values, "scott")) - 1
    edges: list[float] = np.histogram_bin_edges(values, min(asked, MOST_COLUMNS)).tolist()
    return edges


@picture_of.register
def _percentiles(found: PercentileCapability, about: About = NOTHING_MORE) -> Spec:
    """Where nearly all values lie, against the limits of the drawing."""
    limits = (
        None if found.ppl is None else found.median - found.ppl * (found.median - found.low),
        None if found.ppu is None else found.median + found.ppu * (found.high - found.median),
    )
    words = f"{amount(found.low)} to {amount(found.high)}, middle {amount(found.median)}"
    row = Row("99.73 % of values", found.median, found.low, found.high, words)
    marks = _marks(limits)
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
        values=[20, 30, 50, 100, 200, 500],
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
