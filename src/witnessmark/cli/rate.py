"""`witnessmark rate`: limits of a share, or of events over an exposure."""

from dataclasses import dataclass
from typing import Annotated, Literal

from cyclopts import Parameter

from witnessmark.cli.stated import PLAIN, Figure, Output, between, in_percent, state
from witnessmark.cli.values import Share, pair
from witnessmark.errors import UnfitNumbersError, UnusableInputError, Where
from witnessmark.stats import require
from witnessmark.stats.clusters import planned_design_effect
from witnessmark.stats.finite_lot import census, lot_limits
from witnessmark.stats.proportion import Interval, Side, bounded, exact_interval
from witnessmark.stats.rates import rate_interval
from witnessmark.stats.result import counted, percent


@dataclass(frozen=True)
class EffectiveShare(Interval):
    """A share with limits from as many independent items as a stated design effect leaves."""

    design_effect: float = 1.0

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What must hold."""
        return (
            "The items looked at are a random draw, or stand for one.",
            f"The design effect is {self.design_effect:.3g}: it was given, not found in the data.",
        )

    @property
    def sentence(self) -> str:
        """The share, as how many independent items it counts, and its limits."""
        if self.rate is None:
            return "No item was looked at, so nothing is known of the rate."
        limits = bounded(self.lower, self.upper, self.confidence, self.side)
        return (
            f"{self.x:,.0f} of {counted(self.n, 'item')} ({percent(self.rate)}); items of one "
            f"cluster resemble each other, so they count as about "
            f"{self.n / self.design_effect:,.0f} independent ones: {limits}."
        )


def run(
    *found: str,
    per: float | None = None,
    lot: int | None = None,
    census: Annotated[bool, Parameter(negative="")] = False,
    one_sided: Literal["upper", "lower"] | None = None,
    design_effect: float | None = None,
    cluster_size: float | None = None,
    correlation: float | None = None,
    confidence: Share = 0.95,
    output: Output = PLAIN,
) -> None:
    """State a rate with its limits.

    Args:
        found: Found of looked at, `3 of 40` or `3/40`; with --per the number of events.
        per: Exposure of the events: running hours, pieces, set-ups.
        lot: Number in the lot from which the sample was drawn; the limits are then of the lot.
        census: Every item of the period was looked at: its rate is exact, the limits are of the
            process.
        one_sided: The one limit that is asked for, upper or lower.
        design_effect: What clusters cost (1 for independent items).
        cluster_size: Items of one shift or other cluster; with --correlation it gives the design
            effect.
        correlation: How much items of one cluster resemble each other, 0 to 1.
        confidence: Confidence: 95% or 0.95.
        output: How the result leaves the command.
    """
    side: Side = one_sided or "two-sided"
    effect = _effect(design_effect, cluster_size, correlation)
    _demand_one(per=per, lot=lot, census=census or None, design_effect=effect)
    said = " ".join(found)
    if per is not None:
        _events(said, per, confidence, side, output)
        return
    x, n = require.found_of(*pair(said, "number found", "number looked at"))
    if census:
        _demand_one(census=census, one_sided=one_sided)
        _census(x, n, confidence, output)
    elif lot is not None:
        _lot(x, n, lot, confidence, side, output)
    else:
        _share(x, n, effect, confidence, side, output)


def _effect(
    design_effect: float | None, cluster_size: float | None, correlation: float | None
) -> float | None:
    if (cluster_size is None) != (correlation is None):
        raise UnusableInputError.one(
            Where("--cluster-size"), "it stands alone.", "--cluster-size and --correlation together"
        )
    _demand_one(design_effect=design_effect, cluster_size=cluster_size)
    if cluster_size is not None and correlation is not None:
        return planned_design_effect(cluster_size, correlation)
    if design_effect is not None and design_effect < 1:
        raise UnfitNumbersError(f"design effect = {design_effect}", "a number of at least 1")
    return design_effect


def _demand_one(**given: object) -> None:
    named = [f"--{name.replace('_', '-')}" for name, value in given.items() if value is not None]
    if len(named) > 1:
        raise UnusableInputError.one(
            Where(" and ".join(named)), "they ask for different limits.", "one of them"
        )


def _events(said: str, per: float, confidence: float, side: Side, output: Output) -> None:
    if not said.isdigit():
        raise UnfitNumbersError(f'"{said}"', "the number of events alone; their exposure is --per")
    rate = rate_interval(int(said), per, confidence, side)
    figures = [
        ("Events", rate.count),
        ("Exposure", rate.exposure),
        ("Rate per unit", rate.rate),
        ("Limits", between(rate.lower, rate.upper)),
    ]
    state(rate, figures, output)


def _census(x: int, n: int, confidence: float, output: Output) -> None:
    counted_all = census(x, n, confidence)
    limits = between(percent(counted_all.process_lower), percent(counted_all.process_upper))
    figures = [
        ("Found", counted_all.x),
        ("Of", counted_all.n),
        ("Rate of the period, exact", in_percent(counted_all.rate)),
        ("Limits for the process", limits),
    ]
    state(counted_all, figures, output)


def _lot(x: int, n: int, lot: int, confidence: float, side: Side, output: Output) -> None:
    limits = lot_limits(x, n, lot, confidence, side)
    figures = [
        ("Found", limits.x),
        ("Looked at", limits.n),
        ("Lot", limits.lot),
        ("Deviations in the lot", between(limits.lower, limits.upper)),
    ]
    state(limits, figures, output)


def _share(
    x: int, n: int, effect: float | None, confidence: float, side: Side, output: Output
) -> None:
    given = effect or 1.0
    found = exact_interval(x / given, n / given, confidence, side)
    if effect is not None:
        found = EffectiveShare(
            found.rate, found.lower, found.upper, found.method, x, n, confidence, side, effect
        )
    figures: list[Figure] = [
        ("Found", x),
        ("Looked at", n),
        ("Rate", in_percent(found.rate)),
        ("Limits", between(percent(found.lower), percent(found.upper))),
        ("Counts as independent items", None if effect is None else n / effect),
    ]
    state(found, figures, output)
