"""Pictures of looking: how many to look at, and what a look can still have missed."""

import math

import numpy as np

from witnessmark.report.charts import strokes
from witnessmark.report.charts.dispatch import NOTHING_MORE, About, picture_of
from witnessmark.report.charts.look import INK, SOFT, TINT, Axis, Spec, plot, sheet
from witnessmark.stats.detection import CouldMiss, DetectionSample, chance_to_miss, detection_sample
from witnessmark.stats.result import counted, percent
from witnessmark.stats.work_sampling import (
    ChanceToSee,
    LooksNeeded,
    RoundTimes,
    chance_to_see,
    looks_for_margin,
)

STEPS = 120
SIZES = (0.5, 0.3, 0.2, 0.15, 0.1, 0.07, 0.05, 0.03, 0.02, 0.015, 0.01, 0.007, 0.005)


@picture_of.register
def _could_miss(found: CouldMiss, about: About = NOTHING_MORE) -> Spec:
    """The chance to see no more than was seen, over the rates that may be true."""
    rate = 1.0 if found.rate is None else found.rate
    end = min(1.0, rate * 1.8 + 0.01)
    rates = sorted({*np.linspace(0.0, end, STEPS + 1).tolist(), rate})
    curve = [(at, _missed(found, at)) for at in rates]
    error = 1 - found.confidence
    layers = [
        strokes.band([(0.0, 0.0, 1.0), (rate, 0.0, 1.0)], colour=TINT, opacity=0.55),
        strokes.note(rate, "top", "cannot be excluded", dx=-8, dy=10, align="right"),
        strokes.upright(rate, width=1.2),
        strokes.line(curve),
    ]
    if rate < 1:
        said = f"{percent(rate)}: missed in {percent(error)}"
        layers.append(strokes.note(rate, "top", "excluded", dx=8, dy=10))
        layers.append(strokes.dots([(rate, error)], shape="square", size=60))
        layers.append(strokes.words([(rate, error, said)], dx=9, dy=-12))
    seen = "none" if found.found == 0 else f"at most {found.found}"
    x = Axis(about.axis("true rate"), percent=True, domain=(0, end))
    y = Axis(f"chance that {found.n:,} show {seen}", percent=True, domain=(0, 1))
    title = (
        f"What {found.n:,} with {found.found or 'none'} found can still hide: up to {percent(rate)}"
    )
    if found.n == 0:
        title = "Nothing was looked at: anything may be there"
    return sheet(title, plot(layers, x, y), found.sentence)


def _missed(found: CouldMiss, rate: float) -> float:
    """The chance to see no more than was seen; certain at the ends of the scale."""
    if rate == 0 or found.n <= found.found:
        return 1.0
    return 0.0 if rate == 1 else chance_to_miss(found.n, rate, found.found)


@picture_of.register
def _detection(found: DetectionSample, about: About = NOTHING_MORE) -> Spec:
    """The number to look at, over the rate that is to be seen."""
    lowest = min(found.rate, 0.01)
    rates = [rate for rate in SIZES if rate >= lowest * 0.999]
    curve = [(rate, _needed(found, rate)) for rate in sorted({*rates, found.rate})]
    layers = [
        strokes.line(curve, interpolate="monotone"),
        strokes.dots([(found.rate, found.n)], shape="square", size=70),
        strokes.words(
            [(found.rate, found.n, f"{percent(found.rate)}: look at {found.n:,}")], dx=8, dy=-13
        ),
    ]
    x = Axis(
        about.axis("rate that is to be seen"),
        percent=True,
        log=True,
        domain=(lowest, SIZES[0]),
    )
    y = Axis("number to look at", log=True, domain=_decade(curve))
    among = "" if found.lot is None else f" among {found.lot:,}"
    title = f"How many to look at{among} so that a rate would be seen"
    return sheet(title, plot(layers, x, y), found.sentence)


def _decade(curve: list[tuple[float, int]]) -> tuple[float, float]:
    """Whole numbers of 1, 2, 5, 10 ... around all that is drawn."""
    low, high = curve[-1][1], curve[0][1]
    steps = [digit * 10.0**ten for ten in range(9) for digit in (1, 2, 5)]
    return max(step for step in steps if step <= low), min(step for step in steps if step >= high)


def _needed(found: DetectionSample, rate: float) -> int:
    if rate == found.rate:
        return found.n
    return detection_sample(rate, found.confidence, found.accept, found.lot).n


@picture_of.register
def _see(found: ChanceToSee, about: About = NOTHING_MORE) -> Spec:
    """The chance to meet a state, over the number of looks."""
    most = max(10, math.ceil(found.looks * 1.8))
    curve = [(looks, chance_to_see(found.share, looks).chance) for looks in range(most + 1)]
    layers = [
        strokes.line(curve),
        strokes.spans([(found.looks, 0.0, found.chance)], upright=True, colour=INK, dash=(6, 3)),
        strokes.dots([(found.looks, found.chance)], shape="square", size=70),
        strokes.words(
            [(found.looks, found.chance, f"{found.looks} looks: {percent(found.chance)}")],
            dx=10,
            dy=10,
        ),
    ]
    x = Axis("independent looks, number", domain=(0, most), whole=True)
    y = Axis("chance to see it at least once", percent=True, domain=(0, 1))
    state = about.what or "A state"
    title = f"{state} that lasts {percent(found.share)} of the time: how often looks meet it"
    return sheet(title, plot(layers, x, y), found.sentence)


@picture_of.register
def _looks(found: LooksNeeded, about: About = NOTHING_MORE) -> Spec:
    """The number of looks, over the margin."""
    margins = np.geomspace(found.margin / 2.5, min(found.margin * 2.5, 0.4), 40).tolist()
    curve = [
        (
            margin,
            looks_for_margin(found.share, margin, found.confidence, found.design_effect).unrounded,
        )
        for margin in margins
    ]
    layers = [
        strokes.line(curve),
        strokes.dots([(found.margin, found.looks)], shape="square", size=70),
        strokes.words(
            [
                (
                    found.margin,
                    found.looks,
                    f"± {percent(found.margin)}: {counted(found.looks, 'look')}",
                )
            ],
            dx=12,
        ),
    ]
    x = Axis("margin on either side (percentage points)", percent=True)
    y = Axis(about.axis("looks", "number"), zero=True)
    title = f"Half the margin takes four times the looks (share about {percent(found.share)})"
    return sheet(title, plot(layers, x, y), found.sentence)


@picture_of.register
def _rounds(found: RoundTimes, about: About = NOTHING_MORE) -> Spec:
    """The rounds within the shift."""
    at = [(minute, "rounds") for minute in found.minutes]
    layers = [
        strokes.bars([("rounds", 0, found.length)], colour=TINT, thick=22),
        strokes.ticks(at, size=34),
        strokes.words(
            [(minute, "rounds", f"{minute // 60}:{minute % 60:02d}") for minute in found.minutes],
            align="center",
            dx=0,
            dy=-26,
            colour=SOFT,
            size=10.5,
        ),
    ]
    x = Axis(
        "minutes from the start of the shift",
        domain=(0, found.length),
        grid=False,
        values=list(range(0, found.length + 1, 60)),
    )
    y = Axis(None, "nominal", names=["rounds"], labels=False)
    title = f"When to go and look: {counted(len(found.minutes), 'round')} at random times"
    return sheet(title, plot(layers, x, y, height=76), about.what or found.sentence)
