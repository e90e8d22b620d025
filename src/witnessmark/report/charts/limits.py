"""Pictures of rates with their limits: one on a scale, several one below the other."""

from collections.abc import Mapping

from witnessmark.report.charts.dispatch import NOTHING_MORE, About, picture_of
from witnessmark.report.charts.look import Axis, Spec, sheet
from witnessmark.report.charts.rows import Mark, Row, rows_plot
from witnessmark.stats.binomial_test import AgainstRate
from witnessmark.stats.clusters import ClusteredShare
from witnessmark.stats.finite_lot import Census, LotLimits
from witnessmark.stats.proportion import Interval, exact_interval
from witnessmark.stats.rates import RateInterval
from witnessmark.stats.redated import RedatedShare
from witnessmark.stats.result import amount, percent
from witnessmark.stats.stratified import StratifiedRate


def forest(named: Mapping[str, Interval], title: str = "", about: About = NOTHING_MORE) -> Spec:
    """Several rates one below the other in the order given, each with its own limits.

    Args:
        named: Rates by the name of their stratum.
        title: What is seen; else it says how far apart the rates lie.
        about: What the rates are of.
    """
    rows = [_row(name, found) for name, found in named.items()]
    known = [found.rate for found in named.values() if found.rate is not None]
    spread = f": {percent(min(known))} to {percent(max(known))}" if known else ""
    said = title or f"{about.what or 'Rates'} of {len(rows)} strata{spread}"
    caption = (
        "Each line spans what the rate behind its stratum may be; lines that overlap do not show "
        "that the strata are alike, and few items make a long line."
    )
    return sheet(said, rows_plot(rows, _shares(about), least=0.0), caption)


def _shares(about: About) -> Axis:
    return Axis(about.axis("rate"), percent=True)


def _row(name: str, found: Interval) -> Row:
    if found.rate is None:
        return Row(name, None, 0.0, 1.0, "nothing looked at")
    low = None if found.side == "upper" else found.lower
    high = None if found.side == "lower" else found.upper
    words = f"{amount(found.x)} of {amount(found.n)}: {percent(found.rate)} ({_span(low, high)})"
    return Row(name, found.rate, low, 1.0 if high is None else high, words)


def _span(low: float | None, high: float | None) -> str:
    if low is None:
        return f"at most {percent(high or 0.0)}"
    return f"at least {percent(low)}" if high is None else f"{percent(low)} to {percent(high)}"


@picture_of.register
def _interval(found: Interval, about: About = NOTHING_MORE) -> Spec:
    """One rate with its limits."""
    row = _row(about.what or "found", found)
    low = None if found.side == "upper" else found.lower
    high = None if found.side == "lower" else found.upper
    title = f"The rate behind {amount(found.x)} of {amount(found.n)} may be {_span(low, high)}"
    if found.rate is None:
        title = "Nothing was looked at: the rate may be anything"
    return sheet(title, rows_plot([row], _shares(About()), least=0.0), found.sentence)


@picture_of.register
def _clustered(found: ClusteredShare, about: About = NOTHING_MORE) -> Spec:
    """The rate with limits that allow for clusters."""
    words = f"{found.found} of {found.n:,}, as about {found.effective_n:,.0f} independent"
    row = Row(about.what or "found", found.rate, found.lower, found.upper, words)
    title = f"Items of one cluster are alike: {found.n:,} count as {found.effective_n:,.0f}"
    return sheet(title, rows_plot([row], _shares(About()), least=0.0), found.sentence)


@picture_of.register
def _stratified(found: StratifiedRate, about: About = NOTHING_MORE) -> Spec:
    """The weighted rate beside the unweighted one."""
    span = f"{percent(found.rate)} ({_span(found.lower, found.upper)})"
    rows = [
        Row("weighted by stratum", found.rate, found.lower, found.upper, span),
        Row("unweighted", found.pooled, None, None, percent(found.pooled), hollow=True),
    ]
    title = f"Weighted by the size of the strata the rate is {percent(found.rate)}"
    return sheet(title, rows_plot(rows, _shares(about), least=0.0), found.sentence)


@picture_of.register
def _census(found: Census, about: About = NOTHING_MORE) -> Spec:
    """The exact rate of the period, and what it says of the process."""
    exact = "nothing looked at" if found.rate is None else f"{found.x:,} of {found.n:,}, exact"
    span = _span(found.process_lower, found.process_upper)
    rows = [
        Row("this period", found.rate, None, None, exact),
        Row("process behind it", None, found.process_lower, found.process_upper, span),
    ]
    title = "Exact for the period, with limits for the process behind it"
    return sheet(title, rows_plot(rows, _shares(about), least=0.0), found.sentence)


@picture_of.register
def _lot(found: LotLimits, about: About = NOTHING_MORE) -> Spec:
    """How many of the lot may deviate, in pieces."""
    rows = [
        Row("in the sample", found.x, None, None, f"{found.x:,} of {found.n:,}", hollow=True),
        Row("in the lot", None, found.lower, found.upper, f"{found.lower:,} to {found.upper:,}"),
    ]
    title = f"Of {found.lot:,} in the lot, {found.lower:,} to {found.upper:,} may deviate"
    axis = Axis(about.axis("deviating items", "number"))
    return sheet(title, rows_plot(rows, axis, least=0.0), found.sentence)


@picture_of.register
def _redated(found: RedatedShare, about: About = NOTHING_MORE) -> Spec:
    """The share of moved dates beside the share above which the loop is in question."""
    span = _span(found.lower, found.upper)
    row = Row(
        "moved dates",
        found.share,
        found.lower,
        found.upper,
        f"{found.redated} of {found.n} ({span})",
    )
    title = f"Share of actions whose date was moved: {span}"
    axis = Axis(about.axis("share of actions"), percent=True)
    mark = Mark(found.limit, f"limit {percent(found.limit)}")
    return sheet(title, rows_plot([row], axis, [mark], least=0.0), found.sentence)


@picture_of.register
def _rate(found: RateInterval, about: About = NOTHING_MORE) -> Spec:
    """Events per exposure with limits."""
    low = None if found.side == "upper" else found.lower
    words = f"{found.count:,}, exposure {amount(found.exposure)}"
    row = Row(about.what or "events", found.rate, low, found.upper, words)
    per = f"per {about.unit}" if about.unit else "per unit of exposure"
    span = (
        f"{amount(found.lower)} to {amount(found.upper)}"
        if found.upper
        else f"at least {amount(found.lower)}"
    )
    title = f"{about.what or 'Events'} {per}: {span}"
    axis = Axis(f"rate {per}")
    return sheet(title, rows_plot([row], axis, least=0.0), found.sentence)


@picture_of.register
def _against(found: AgainstRate, about: About = NOTHING_MORE) -> Spec:
    """The rate with its 95 % limits beside the allowed one; the chances stand in the caption."""
    row = _row(about.what or "found", exact_interval(found.x, found.n))
    allowed = Mark(found.allowed, f"allowed {percent(found.allowed)}")
    title = f"{found.x:,} of {found.n:,} against an allowed rate of {percent(found.allowed)}"
    axis = Axis("rate, with 95 % limits", percent=True)
    return sheet(title, rows_plot([row], axis, [allowed], least=0.0), found.sentence)
