"""Pictures of changes of level: the levels, the place of the change, the values where given."""

from collections.abc import Sequence

from witnessmark.report.charts import strokes
from witnessmark.report.charts.dispatch import NOTHING_MORE, About, picture_of
from witnessmark.report.charts.look import (
    INK,
    MID,
    RUST,
    SOFT,
    TINT,
    Axis,
    Layer,
    Spec,
    plot,
    sheet,
)
from witnessmark.report.charts.strokes import Point
from witnessmark.stats.change_points import Cusum, MeanShift, Pettitt
from witnessmark.stats.change_segments import SegmentedMeans
from witnessmark.stats.change_share import ShareShift
from witnessmark.stats.result import amount, percent

TIME = "values in order of time, number"


def _levels(
    n: int, ends: Sequence[int], levels: Sequence[float], said: Sequence[str], about: About
) -> list[Layer]:
    """The values as faint points, each level as a line over its stretch, with its words."""
    edges = [0, *ends, n]
    stretches = [
        (level, begin + 0.5, end + 0.5)
        for level, begin, end in zip(levels, edges[:-1], edges[1:], strict=True)
    ]
    points: list[Point] = list(enumerate(about.values, 1))
    layers = [strokes.line(points, colour=MID, width=1)] if points else []
    layers += [strokes.dots(points, size=22, colour=SOFT)] if points else []
    layers.append(strokes.spans(stretches, width=3.2))
    named = [
        ((begin + end) / 2, "top", words)
        for (_, begin, end), words in zip(stretches, said, strict=True)
    ]
    return [*layers, strokes.words(named, dx=0, dy=10, align="center", bold=True)]


def _change(place: int, said: str) -> list[Layer]:
    at = place + 0.5
    return [
        strokes.upright(at, colour=RUST),
        strokes.note(at, "top", said, dx=0, dy=-9, align="center", colour=RUST),
    ]


def _axes(n: int, about: About, otherwise: str, *, share: bool = False) -> tuple[Axis, Axis]:
    time = Axis(TIME, domain=(0.5, n + 0.5), whole=True, grid=False)
    return time, Axis(about.axis(otherwise), percent=share, zero=share)


@picture_of.register
def _mean(found: MeanShift, about: About = NOTHING_MORE) -> Spec:
    """Two means and the stretch in which the change may lie."""
    means = (found.mean_before, found.mean_after)
    x, y = _axes(found.n, about, "value")
    low, high = _room((*means, *about.values))
    where = [(at, low, high) for at in (found.earliest + 0.5, found.latest + 0.5)]
    layers = [strokes.band(where, colour=TINT)] if found.earliest < found.latest else []
    layers += _levels(
        found.n, [found.before], means, [f"mean {amount(mean)}" for mean in means], about
    )
    layers += _change(found.before, f"change after {found.before}")
    y = Axis(y.title, domain=(low, high))
    title = f"The level changed most clearly after value {found.before}"
    return sheet(title, plot(layers, x, y), found.sentence)


def _room(values: Sequence[float]) -> tuple[float, float]:
    low, high = min(values), max(values)
    gap = (high - low) * 0.08 or 1.0
    return low - gap, high + 3 * gap


@picture_of.register
def _ranks(found: Pettitt, about: About = NOTHING_MORE) -> Spec:
    """Two medians and the change."""
    medians = (found.median_before, found.median_after)
    x, y = _axes(found.n, about, "value")
    layers = _levels(
        found.n, [found.before], medians, [f"median {amount(one)}" for one in medians], about
    )
    layers += _change(found.before, f"change after {found.before}")
    y = Axis(y.title, domain=_room((*medians, *about.values)))
    title = f"By ranks the level changed most clearly after value {found.before}"
    return sheet(title, plot(layers, x, y), found.sentence)


@picture_of.register
def _segments(found: SegmentedMeans, about: About = NOTHING_MORE) -> Spec:
    """The means of the chosen division."""
    means, ends = found.chosen.means, found.chosen.ends
    x, y = _axes(found.n, about, "value")
    layers = _levels(found.n, ends, means, [f"mean {amount(mean)}" for mean in means], about)
    layers += [layer for end in ends for layer in _change(end, f"after {end}")]
    y = Axis(y.title, domain=_room((*means, *about.values)))
    title = f"The level changed {len(ends)} times" if ends else "No change of level is needed"
    return sheet(title, plot(layers, x, y), found.sentence)


@picture_of.register
def _share(found: ShareShift, about: About = NOTHING_MORE) -> Spec:
    """Two shares and the change; the values, where given, are the shares of the samples."""
    shares = (found.share_before, found.share_after)
    x, y = _axes(found.samples, about, "share nonconforming", share=True)
    layers = _levels(found.samples, [found.before], shares, [percent(one) for one in shares], about)
    layers += _change(found.before, f"change after {found.before}")
    y = Axis(y.title, percent=True, domain=(0.0, max(*shares, *about.values) * 1.15))
    title = f"The share changed most clearly after sample {found.before}"
    x = Axis("samples in order of time, number", domain=x.domain, whole=True, grid=False)
    return sheet(title, plot(layers, x, y), found.sentence)


@picture_of.register
def _cusum(found: Cusum, about: About = NOTHING_MORE) -> Spec:
    """The sum of the deviations: it turns where the level changed."""
    points: list[Point] = list(enumerate((0.0, *found.sums)))
    at = points[found.peak]
    layers = [
        strokes.level(0.0, colour=SOFT, width=1, dash=None),
        strokes.line(points),
        strokes.dots([at], shape="diamond", colour=RUST, hollow=True, size=110),
        strokes.words([(*at, f"turns after {found.peak}")], dx=12, colour=INK),
    ]
    x = Axis(TIME, domain=(0, len(found.sums)), whole=True, grid=False)
    y = Axis(f"sum of deviations from the mean{f' ({about.unit})' if about.unit else ''}")
    title = f"Deviations summed up turn after value {found.peak}"
    return sheet(title, plot(layers, x, y), found.sentence)
