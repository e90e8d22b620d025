"""Pictures of gauges: how much of what is seen is the gauge's own, and what judges miss."""

import math

import numpy as np

from witnessmark.report.charts import strokes
from witnessmark.report.charts.dispatch import NOTHING_MORE, About, picture_of
from witnessmark.report.charts.look import DEEP, INK, MID, SOFT, Axis, Layer, Spec, plot, sheet
from witnessmark.report.charts.rows import Row, rows_plot
from witnessmark.report.charts.strokes import Point
from witnessmark.stats.attribute_study import AttributeStudy
from witnessmark.stats.gauge_effect import GaugeEffect, observed_capability
from witnessmark.stats.gauge_study import GaugeStudy
from witnessmark.stats.proportion import Interval
from witnessmark.stats.repeat_study import RepeatStudy
from witnessmark.stats.result import amount, percent

GAUGE_SHARES = (0.3, 0.5)


@picture_of.register
def _study(found: GaugeStudy, about: About = NOTHING_MORE) -> Spec:
    """Shares of the variation of these parts above, of the tolerance below: two questions."""
    spreads = {
        "the gauge in all": found.gauge,
        "of it, reading again": found.repeatability,
        "of it, another appraiser": found.reproducibility,
        "the parts": found.part,
    }
    of_variation = {name: sd / found.total for name, sd in spreads.items()}
    parts = [_bars(of_variation, "share of the spread seen on these parts", about)]
    share = found.gauge_share_of_tolerance
    if share is not None and found.gauge > 0:
        tolerance = 6 * found.gauge / share
        of_tolerance = {
            name: 6 * sd / tolerance
            for name, sd in spreads.items()
            if sd < found.part or name != "the parts"
        }
        of_tolerance.pop("the parts", None)
        parts.append(
            _bars(
                of_tolerance,
                "share of the tolerance (6 standard deviations)",
                about,
                found.tolerance_share_limits,
            )
        )
    of_seen = f"The gauge is {percent(found.gauge_share_of_variation)} of the spread it shows"
    of_drawing = "" if share is None else f", and {percent(share)} of the tolerance"
    return sheet(f"{of_seen}{of_drawing}", parts, found.sentence)


def _bars(
    shares: dict[str, float],
    title: str,
    about: About,
    limits: tuple[float, float] | None = None,
) -> Spec:
    """A bar for each component; spreads do not add up to the whole, their squares do."""
    del about
    names = list(shares)
    lengths = [(name, 0.0, share) for name, share in shares.items()]
    high = max(1.0, *shares.values())
    whole = [one for one in lengths if not one[0].startswith("of it")]
    layers: list[Layer] = [
        strokes.bars(lengths, colour=MID, thick=13),
        strokes.bars(whole, colour=DEEP, thick=13),
    ]
    if limits is not None:
        reach = (names[0], min(limits[0], high * 1.5), min(limits[1], high * 1.5))
        layers.append(strokes.spans([reach], colour=INK, width=1.4))
        layers.append(strokes.ticks([(reach[1], names[0]), (reach[2], names[0])], colour=INK))
        high = max(high, reach[2] * 1.02)
    layers.append(
        strokes.words([("right", name, percent(share)) for name, share in shares.items()], dx=14)
    )
    x = Axis(title, percent=True, domain=(0.0, high))
    return plot(layers, x, Axis(None, "nominal", names=names), width=400, height=26 * len(names))


@picture_of.register
def _effect(found: GaugeEffect, about: About = NOTHING_MORE) -> Spec:
    """The capability that a gauge shows, over the true one."""
    end = max(2.0, found.true * 1.2)
    trues = np.linspace(0.2, end, 50).tolist()
    layers = [strokes.line([(0.2, 0.2), (end, end)], colour=SOFT, width=1, dash=(3, 3))]
    for share in sorted({*GAUGE_SHARES, found.gauge_share}):
        curve: list[Point] = [(true, observed_capability(true, share).observed) for true in trues]
        own = math.isclose(share, found.gauge_share)
        layers.append(strokes.line(curve, colour=DEEP if own else MID, width=2.2 if own else 1.2))
        named = [(end, curve[-1][1], f"gauge {percent(share)} of the tolerance")]
        layers.append(strokes.words(named, dx=8, colour=INK if own else SOFT))
    layers.append(strokes.words([(end, end, "a gauge without error")], dx=8, colour=SOFT))
    layers.append(strokes.dots([(found.true, found.observed)], shape="square", size=64))
    x = Axis("true Cp of the parts", domain=(0.2, end))
    y = Axis(about.axis("Cp as the gauge shows it"), domain=(0.2, end))
    title = f"A true Cp of {found.true:.2f} is shown as {found.observed:.2f} by this gauge"
    return sheet(title, plot(layers, x, y, width=380, height=280), found.sentence)


@picture_of.register
def _attribute(found: AttributeStudy, about: About = NOTHING_MORE) -> Spec:
    """Misses above, false alarms below, for each appraiser in the order given."""
    appraisers = found.by_appraiser.items()
    misses = [_judged(name, one.misses) for name, one in appraisers]
    alarms = [_judged(name, one.false_alarms) for name, one in appraisers]
    axes = [
        Axis(about.axis("bad parts accepted, share of decisions"), percent=True),
        Axis("good parts rejected, share of decisions", percent=True),
    ]
    parts = [
        rows_plot(rows, axis, least=0.0) for rows, axis in zip((misses, alarms), axes, strict=True)
    ]
    title = "What is let through, and what is wrongly rejected"
    return sheet(title, parts, found.sentence)


def _judged(name: str, found: Interval) -> Row:
    if found.rate is None:
        return Row(name, None, 0.0, 1.0, "none to judge")
    words = (
        f"{amount(found.x)} of {amount(found.n)} ({percent(found.lower)} to {percent(found.upper)})"
    )
    return Row(name, found.rate, found.lower, found.upper, words)


@picture_of.register
def _repeated(found: RepeatStudy, about: About = NOTHING_MORE) -> Spec:
    """For each part the spread within a day, and from day to day."""
    names = [f"part {part}" for part in found.repeatability_by_part]
    within = list(zip(found.repeatability_by_part.values(), names, strict=True))
    between = list(zip(found.day_to_day_by_part.values(), names, strict=True))
    layers = [
        strokes.spans(
            [(name, a, b) for (a, name), (b, _) in zip(within, between, strict=True)],
            colour=MID,
            width=1.2,
        ),
        strokes.dots(within, shape="square", size=62),
        strokes.dots(between, hollow=True, size=62),
        strokes.words([(within[0][0], names[0], "within a day")], dx=0, dy=-15, align="center"),
        strokes.words(
            [(between[0][0], names[0], "day to day")], dx=0, dy=15, align="center", colour=SOFT
        ),
    ]
    x = Axis(about.axis("standard deviation of readings"), zero=True)
    y = Axis(None, "nominal", names=names)
    title = "Spread of a gauge on the same parts, within a day and from day to day"
    return sheet(title, plot(layers, x, y, width=420, height=44 * len(names)), found.sentence)
