"""Pictures of sampling plans: which quality passes how often, and what leaves after sorting."""

import numpy as np

from witnessmark.report.charts import strokes
from witnessmark.report.charts.dispatch import NOTHING_MORE, About, picture_of
from witnessmark.report.charts.look import INK, MID, RUST, SOFT, TINT, Axis, Spec, plot, sheet
from witnessmark.report.charts.strokes import Point
from witnessmark.stats.acceptance import AcceptanceCurve, PlanSearch, QualityAt, acceptance_curve
from witnessmark.stats.indexed_plans import IndexedPlan
from witnessmark.stats.rectifying import Rectifying
from witnessmark.stats.result import percent
from witnessmark.stats.staged_plans import DoublePlan, SequentialPlan

STEPS = 80
NEARLY_NONE = 0.02
PASS = Axis("chance to pass", percent=True, domain=(0, 1))


def _rate_axis(about: About, end: float) -> Axis:
    return Axis(about.axis("true share deviating"), percent=True, domain=(0, end))


def _curve(n: int, accept: int, end: float, lot: int | None = None) -> list[Point]:
    rates = np.linspace(0.0, end, STEPS + 1)
    found = acceptance_curve(n, accept, rates, lot)
    return list(zip(found.rates, found.chances, strict=True))


def _end(n: int, accept: int, least: float = 0.0) -> float:
    """A rate at which the plan passes nearly nothing: there the picture ends."""
    rates = np.linspace(0.0, 1.0, 2001)
    chances = np.asarray(acceptance_curve(n, accept, rates).chances)
    passing = np.flatnonzero(chances > NEARLY_NONE)
    return min(1.0, max(float(rates[passing[-1]]) * 1.1, least * 1.15))


@picture_of.register
def _acceptance(found: AcceptanceCurve, about: About = NOTHING_MORE) -> Spec:
    """The chance to pass over the true quality, with the rates that were asked for."""
    end = _end(found.n, found.accept, max(found.rates))
    asked = list(zip(found.rates, found.chances, strict=True))
    layers = [strokes.line(_curve(found.n, found.accept, end)), strokes.dots(asked, hollow=True)]
    if found.lot is not None:
        layers[0] = strokes.line(asked, interpolate="monotone")
    title = f"What passes when {found.n:,} are looked at and {found.accept:,} may deviate"
    return sheet(title, plot(layers, _rate_axis(about, end), PASS), found.sentence)


@picture_of.register
def _quality(found: QualityAt, about: About = NOTHING_MORE) -> Spec:
    """The curve of the plan with the quality that passes so often."""
    end = _end(found.n, found.accept, found.rate)
    said = f"{percent(found.rate)}: {percent(found.chance)} pass"
    layers = [
        strokes.line(_curve(found.n, found.accept, end)),
        *_promise(found.rate, found.chance, said),
    ]
    passing = f"{percent(found.chance)} of the time"
    title = f"With {percent(found.rate)} deviating a lot still passes {passing}"
    return sheet(title, plot(layers, _rate_axis(about, end), PASS), found.sentence)


def _promise(rate: float, chance: float, said: str) -> list[Spec]:
    return [
        strokes.spans([(rate, 0.0, chance)], upright=True, colour=INK, width=1.2, dash=(6, 3)),
        strokes.dots([(rate, chance)], shape="square", size=60),
        strokes.words([(rate, chance, said)], dx=10, dy=-6),
    ]


@picture_of.register
def _search(found: PlanSearch, about: About = NOTHING_MORE) -> Spec:
    """The curve of the plan through its two promises."""
    end = _end(found.n, found.accept, found.bad)
    layers = [strokes.line(_curve(found.n, found.accept, end))]
    good = f"{percent(found.good)} deviating: passes {percent(found.chance_good)}"
    bad = f"{percent(found.bad)} deviating: passes {percent(found.chance_bad)}"
    layers += _promise(found.good, found.chance_good, good)
    layers += _promise(found.bad, found.chance_bad, bad)
    title = f"Two promises kept by looking at {found.n:,} and letting {found.accept:,} deviate"
    return sheet(title, plot(layers, _rate_axis(about, end), PASS), found.sentence)


@picture_of.register
def _indexed(found: IndexedPlan, about: About = NOTHING_MORE) -> Spec:
    """The curve of the plan; the AQL is no rate that an accepted lot has."""
    end = _end(found.n, found.accept, found.aql / 100)
    curve = _curve(found.n, found.accept, end)
    at = min(found.aql / 100, 1.0)
    layers = [
        strokes.line(curve),
        strokes.upright(at, width=1.2),
        strokes.note(at, "top", f"AQL {found.aql:g} %", dx=6, dy=8, colour=INK),
    ]
    title = f"What passes at AQL {found.aql:g}, look at {found.n:,}, accept up to {found.accept:,}"
    return sheet(title, plot(layers, _rate_axis(about, end), PASS), found.sentence)


@picture_of.register
def _double(found: DoublePlan, about: About = NOTHING_MORE) -> Spec:
    """Passed at once and passed in all, and below it the work."""
    end = max(found.rates)
    in_all = list(zip(found.rates, found.passed, strict=True))
    at_once = list(zip(found.rates, found.passed_first, strict=True))
    work = list(zip(found.rates, found.average_sample, strict=True))
    axis = _rate_axis(about, end)
    upper = [
        strokes.band(
            list(zip(found.rates, found.passed_first, found.passed, strict=True)), colour=TINT
        ),
        strokes.line(in_all),
        strokes.line(at_once, colour=MID, dash=(5, 3)),
        strokes.words([_middle(in_all, "passes in all")], dx=8, dy=-8),
        strokes.words(
            [_middle(at_once, "passes at the first sample", 0.3)],
            dx=-8,
            dy=10,
            align="right",
            colour=SOFT,
        ),
    ]
    parts = [
        plot(upper, Axis(None, percent=True, domain=axis.domain), PASS, height=200),
        plot(
            [strokes.line(work)],
            axis,
            Axis("looked at per lot, average number", zero=True),
            height=90,
        ),
    ]
    return sheet("A second sample lets more pass, and costs most in between", parts, found.sentence)


def _middle(curve: list[Point], said: str, height: float = 0.5) -> tuple[float, float, str]:
    x, y = min(curve, key=lambda point: abs(point[1] - height))
    return x, y, said


@picture_of.register
def _sequential(found: SequentialPlan, about: About = NOTHING_MORE) -> Spec:
    """The two lines between which looking goes on."""
    looks = round(3 * (found.h1 + found.h2) / found.slope * 0.7) + 1
    reject = [(0, found.h2), (looks, found.h2 + found.slope * looks)]
    start = found.h1 / found.slope
    accept = [(start, 0.0), (looks, found.slope * looks - found.h1)]
    go_on = [
        (n, max(0.0, found.slope * n - found.h1), found.h2 + found.slope * n)
        for n in np.linspace(0, looks, 60).tolist()
    ]
    top = reject[1][1] * 1.1
    layers = [
        strokes.band(go_on, colour=TINT),
        strokes.line(reject, colour=RUST, dash=(7, 3)),
        strokes.line(accept),
        strokes.words(
            [(looks * 0.25, found.h2 + found.slope * looks * 0.25, "reject")], dx=-30, dy=-22
        ),
        strokes.words(
            [
                (
                    looks * 0.5,
                    found.slope * looks * 0.5 + (found.h2 - found.h1) / 2,
                    "look at another",
                )
            ],
            dx=-40,
        ),
        strokes.words(
            [(looks * 0.82, found.slope * looks * 0.82 - found.h1, "accept")], dx=-6, dy=26
        ),
    ]
    x = Axis("items looked at so far, number", domain=(0, looks), whole=True)
    y = Axis(about.axis("deviating so far", "number"), domain=(0, top), whole=True)
    title = "Item by item: when enough has been seen"
    return sheet(title, plot(layers, x, y), found.sentence)


@picture_of.register
def _rectifying(found: Rectifying, about: About = NOTHING_MORE) -> Spec:
    """Outgoing over incoming quality, with its worst."""
    points = sorted({*zip(found.rates, found.outgoing, strict=True), (found.limit_at, found.limit)})
    said = f"at worst {percent(found.limit)} leave, when {percent(found.limit_at)} come in"
    end = max(*found.rates, found.limit_at)
    layers = [
        strokes.line(
            [(0.0, 0.0), (found.limit * 1.25, found.limit * 1.25)],
            colour=MID,
            width=1.2,
            dash=(3, 3),
        ),
        strokes.line(points, interpolate="monotone"),
        strokes.dots([(found.limit_at, found.limit)], shape="square", size=60),
        strokes.words([(found.limit_at, found.limit, said)], dx=10, dy=-10),
        strokes.words(
            [(found.limit * 1.25, found.limit * 1.25, "nothing sorted")], dx=6, colour=SOFT
        ),
    ]
    x = Axis(about.axis("share deviating as it comes in"), percent=True, domain=(0, end))
    y = Axis("average share that leaves", percent=True, domain=(0, found.limit * 1.4))
    title = f"Where rejected lots of {found.lot:,} are sorted: what leaves"
    return sheet(title, plot(layers, x, y), found.sentence)
