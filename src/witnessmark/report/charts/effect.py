"""Pictures of effects: before and after, a machine beside its sister, what can be shown at all."""

import numpy as np

from witnessmark.report.charts import strokes
from witnessmark.report.charts.dispatch import NOTHING_MORE, About, picture_of
from witnessmark.report.charts.look import DEEP, SOFT, Axis, Layer, Spec, plot, sheet
from witnessmark.report.charts.rows import Mark, Row, rows_plot
from witnessmark.report.charts.strokes import Point
from witnessmark.stats.before_after import BeforeAfter
from witnessmark.stats.clean_days import CleanDays
from witnessmark.stats.odds_ratio import CommonOddsRatio, ExactTable
from witnessmark.stats.rates import Power, RateComparison, power_of_comparison, rate_interval
from witnessmark.stats.result import amount, counted, percent
from witnessmark.stats.sister_machine import SisterComparison

PHASES = ("before", "after")
VERDICTS = {
    "shown": "a lower rate is shown",
    "not yet demonstrable": "a fall is not yet demonstrable",
    "worse": "the rate is higher",
}


def _per(about: About) -> str:
    return f"per {about.unit}" if about.unit else "per unit of exposure"


def _rate_row(name: str, count: int, exposure: float) -> Row:
    """A rate with its exact two-sided limits; no exposure gives no value and no limits."""
    if exposure == 0:
        return Row(name, None, None, None, "no exposure")
    found = rate_interval(count, exposure)
    words = f"{counted(count, 'event')}, exposure {amount(exposure)}"
    return Row(name, found.rate, found.lower, found.upper, words)


@picture_of.register
def _before_after(found: BeforeAfter, about: About = NOTHING_MORE) -> Spec:
    """Both rates, each with its own 95 % limits; the verdict rests on the test, not on them."""
    rows = [
        _rate_row("before", found.x_before, found.t_before),
        _rate_row("after", found.x_after, found.t_after),
    ]
    title = f"{about.what or 'Events'} before and after: {VERDICTS[found.verdict]}"
    axis = Axis(f"rate {_per(about)}, with 95 % limits of each")
    return sheet(title, rows_plot(rows, axis, least=0.0), found.sentence)


@picture_of.register
def _compared(found: RateComparison, about: About = NOTHING_MORE) -> Spec:
    """Two rates, each with its own limits."""
    rows = [
        _rate_row("first", found.x1, found.t1),
        _rate_row("second", found.x2, found.t2),
    ]
    ratio = "" if found.ratio is None else f": the first is {amount(found.ratio)} times the second"
    axis = Axis(f"rate {_per(about)}, with 95 % limits of each")
    title = f"{about.what or 'Two rates'} held against each other{ratio}"
    return sheet(title, rows_plot(rows, axis, least=0.0), found.sentence)


@picture_of.register
def _sister(found: SisterComparison, about: About = NOTHING_MORE) -> Spec:
    """The change of the machine beside that of the sister left alone."""
    machine = _slope((found.before, found.after))
    sister = _slope((found.sister_before, found.sister_after))
    layers = [
        *_change(machine, "machine with the action", own=True),
        *_change(sister, "sister left alone", own=False),
    ]
    title = f"{about.what or 'Events'} beside a sister left alone: {_against(found.verdict)}"
    y = Axis(f"rate {_per(about)}, with 95 % limits of each", zero=True)
    picture = plot(layers, Axis(None, "nominal", names=PHASES), y, width=360)
    return sheet(title, picture, found.sentence)


def _change(points: list[tuple[str, float, float, float]], name: str, *, own: bool) -> list[Layer]:
    """One machine: rates joined, limits as upright lines; the two machines stand a little apart."""
    limits = [(phase, low, high) for phase, _, low, high in points]
    rates: list[Point] = [(phase, rate) for phase, rate, _, _ in points]
    colour, shift = (DEEP, 9) if own else (SOFT, -9)
    drawn = [
        strokes.spans(limits, upright=True, colour=colour, width=1.4),
        strokes.line(rates, colour=colour, dash=None if own else (5, 3)),
        strokes.dots(
            rates, shape="square" if own else "circle", colour=colour, hollow=not own, size=64
        ),
    ]
    named = strokes.words([(*rates[-1], name)], dx=24, colour=colour)
    return [*(strokes.shifted(layer, shift) for layer in drawn), named]


def _against(verdict: str) -> str:
    return {
        "shown": "a fall beyond the sister's is shown",
        "worse": "worse than the sister",
    }.get(verdict, "a fall beyond the sister's is not yet demonstrable")


def _slope(pairs: tuple[tuple[int, float], ...]) -> list[tuple[str, float, float, float]]:
    points = []
    for phase, (count, exposure) in zip(PHASES, pairs, strict=True):
        limits = rate_interval(count, exposure)
        points.append((phase, count / exposure, limits.lower, limits.upper or 0.0))
    return points


@picture_of.register
def _power(found: Power, about: About = NOTHING_MORE) -> Spec:
    """The chance that a comparison shows a fall, over how large the fall is."""
    ratios = sorted({*np.linspace(0.0, 1.0, 26).tolist(), found.ratio})
    curve = [
        (
            1 - ratio,
            power_of_comparison(
                found.before_rate, ratio, found.t1, found.t2, found.confidence
            ).chance,
        )
        for ratio in ratios
    ]
    at = (1 - found.ratio, found.chance)
    layers = [
        strokes.line(curve),
        strokes.dots([at], shape="square", size=64),
        strokes.words(
            [(*at, f"fall by {percent(at[0])}: shown in {percent(at[1])}")],
            dx=-10,
            dy=-10,
            align="right",
        ),
    ]
    x = Axis("true fall of the rate", percent=True, domain=(min(0.0, 1 - found.ratio), 1))
    y = Axis("chance that the comparison shows it", percent=True, domain=(0, 1))
    title = f"How large a fall must be before {about.what or 'these exposures'} can show it"
    return sheet(title, plot(layers, x, y), found.sentence)


@picture_of.register
def _clean_days(found: CleanDays, about: About = NOTHING_MORE) -> Spec:
    """The chance of a clean row of days though nothing changed."""
    days = range(round(found.days * 1.5) + 2)
    curve = [(day, (1 - found.share) ** day) for day in days]
    at = (found.days, (1 - found.share) ** found.days)
    layers = [
        strokes.level(1 - found.confidence, width=1.2),
        strokes.line(curve),
        strokes.dots([at], shape="square", size=64),
        strokes.words([(*at, f"{counted(found.days, 'day')}: {percent(at[1])}")], dx=4, dy=-14),
    ]
    x = Axis(about.axis("clean days in a row", "number"), whole=True, domain=(0, days[-1]))
    y = Axis("chance of them though nothing changed", percent=True, domain=(0, 1))
    title = (
        f"Clean days come by chance too: after {percent(found.share)} red, {found.days} say more"
    )
    return sheet(title, plot(layers, x, y), found.sentence)


NO_DIFFERENCE = Mark(1.0, "no difference")


@picture_of.register
def _table(found: ExactTable, about: About = NOTHING_MORE) -> Spec:
    """The odds ratio of one table with its limits."""
    return _odds(found.odds_ratio, found.lower or None, found.upper, found.sentence, about)


@picture_of.register
def _common(found: CommonOddsRatio, about: About = NOTHING_MORE) -> Spec:
    """The odds ratio common to several tables."""
    return _odds(found.odds_ratio, found.lower, found.upper, found.sentence, about)


def _odds(
    ratio: float | None, lower: float | None, upper: float | None, caption: str, about: About
) -> Spec:
    value = ratio if ratio and ratio > 0 else None
    least = amount(lower or 0.0)
    span = f"at least {least}" if upper is None else f"{least} to {amount(upper)}"
    said = f"{span} times" if ratio is None else f"{amount(ratio)} times"
    row = Row(
        about.what or "odds", value, lower, upper, said if ratio is None else f"{said} ({span})"
    )
    axis = Axis("odds of the first group / odds of the second", log=True)
    title = f"How the odds of two groups compare: {said}"
    return sheet(title, rows_plot([row], axis, [NO_DIFFERENCE]), caption)
