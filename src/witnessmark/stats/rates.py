"""Events per exposure (running hours, pieces, set-ups): limits of a rate, comparison of two.

Exact from the Poisson law; knows no record. Shares of items stand in `proportion`.
"""

from dataclasses import dataclass

import numpy as np
import scipy

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.proportion import Side, exact_interval, sided, tail_of
from witnessmark.stats.result import amount, chance, counted, percent

MANY_EVENTS = 2000
POISSON = (
    "Events come one by one, independently, at a constant rate within a period; bursts and slow "
    "drifts make the limits too narrow."
)
SAME_EXPOSURE = "Exposure is counted the same way, and events are detected the same way, in both."


@dataclass(frozen=True)
class RateInterval:
    """Events per unit of exposure, with limits.

    Args:
        count: Events.
        exposure: Exposure in its own unit.
        rate: Events per unit; None where there was no exposure.
        lower: Lower limit per unit.
        upper: Upper limit per unit; None where there is none (no exposure, or not asked for).
        confidence: Confidence of the limits.
        side: "two-sided", or the one limit that was asked for.
    """

    count: int
    exposure: float
    rate: float | None
    lower: float
    upper: float | None
    confidence: float
    side: Side
    assumptions: tuple[str, ...] = (POISSON,)

    @property
    def method(self) -> str:
        """How the limits were found."""
        return f"exact Poisson limits (Garwood), {percent(self.confidence)} {sided(self.side)}"

    @property
    def sentence(self) -> str:
        """The rate with its limits."""
        if self.rate is None:
            return "There was no exposure, so nothing is known of the rate."
        least, most = amount(self.lower), "" if self.upper is None else amount(self.upper)
        where = {
            "two-sided": f"between {least} and {most}",
            "upper": f"at most {most}",
            "lower": f"at least {least}",
        }[self.side]
        return (
            f"{counted(self.count, 'event')} in an exposure of {amount(self.exposure)}, "
            f"{amount(self.rate)} per unit; with {percent(self.confidence)} confidence the rate is "
            f"{where} per unit."
        )


def rate_interval(
    count: int, exposure: float, confidence: float = 0.95, side: Side = "two-sided"
) -> RateInterval:
    """Gives the exact limits of a rate of events over an exposure.

    Lower: gamma(tail; count) / exposure; upper: gamma(1 - tail; count + 1) / exposure.

    Args:
        count: Events.
        exposure: Running hours, pieces, set-ups; 0 (with no event) gives no rate and no limits.
        confidence: Confidence, between 0 and 1.
        side: "two-sided", or "upper" or "lower" for that limit alone.

    Returns:
        The rate with its limits.

    Raises:
        UnfitNumbersError: Count missing, negative or not whole, exposure negative, or events
            without exposure.

    Shapes:
        All single numbers.

    Units:
        Events per unit of the exposure.

    Assumes:
        Poisson events: independent, constant rate.

    Source:
        Garwood, Biometrika 28 (1936) 437-442.

    Examples:
        >>> found = rate_interval(4, 200)
        >>> found.rate, round(found.lower, 5), round(found.upper, 5)
        (0.02, 0.00545, 0.05121)
        >>> round(rate_interval(0, 100, side="upper").upper, 5)
        0.02996
    """
    count, exposure = _events("count", count, "exposure", exposure)
    tail = tail_of(confidence, side)
    if exposure == 0:
        return RateInterval(count, exposure, None, 0.0, None, confidence, side)
    lower = (
        0.0
        if count == 0 or side == "upper"
        else float(scipy.stats.gamma.ppf(tail, count)) / exposure
    )
    upper = None if side == "lower" else float(scipy.stats.gamma.isf(tail, count + 1)) / exposure
    return RateInterval(count, exposure, count / exposure, lower, upper, confidence, side)


@dataclass(frozen=True)
class RateComparison:
    """Two rates of events held against each other: first over second.

    Args:
        x1: Events of the first.
        t1: Exposure of the first.
        x2: Events of the second.
        t2: Exposure of the second.
        ratio: First rate over second; None where the second has no event.
        lower: Lower limit of the ratio.
        upper: Upper limit of the ratio; None where there is none.
        p_minimum_likelihood: Two-sided p, sum over splits no more likely than the one found.
        p_doubled: Two-sided p, twice the smaller tail, at most 1.
        p_greater: Probability of as many or more in the first if the rates are equal.
        p_less: Probability of as few or fewer in the first if the rates are equal.
        confidence: Confidence of the limits of the ratio.
    """

    x1: int
    t1: float
    x2: int
    t2: float
    ratio: float | None
    lower: float
    upper: float | None
    p_minimum_likelihood: float
    p_doubled: float
    p_greater: float
    p_less: float
    confidence: float
    assumptions: tuple[str, ...] = (POISSON, SAME_EXPOSURE)
    method: str = (
        "exact conditional comparison of two Poisson rates; limits of the ratio from exact limits "
        "of a share"
    )

    @property
    def sentence(self) -> str:
        """The two rates, their ratio and its limits."""
        first = f"{counted(self.x1, 'event')} in an exposure of {amount(self.t1)}"
        rates = f"{first} against {self.x2:,} in {amount(self.t2)}"
        if self.x1 + self.x2 == 0:
            return f"{rates}: without any event the two cannot be compared."
        above = "any number" if self.upper is None else amount(self.upper)
        ratio = (
            "" if self.ratio is None else f"the first rate is {amount(self.ratio)} times the second"
        )
        limits = (
            f"with {percent(self.confidence)} confidence the ratio is between "
            f"{amount(self.lower)} and {above}"
        )
        return (
            f"{rates}: {ratio}{'; ' if ratio else ''}{limits} (p {chance(self.p_doubled)}, "
            f"two-sided, doubled tail)."
        )


def compare_rates(
    x1: int, t1: float, x2: int, t2: float, confidence: float = 0.95
) -> RateComparison:
    """Says how two rates of events compare, exactly, given how many events there were in all.

    With equal rates, x1 of the x1 + x2 events is binomial with share t1 / (t1 + t2). The limits of
    the ratio come from exact limits of that share: ratio = share / (1 - share) * t2 / t1. The
    limits agree with `p_doubled`; `p_minimum_likelihood` is smaller or equal and may disagree with
    them near the edge.

    Args:
        x1: Events of the first.
        t1: Exposure of the first, above 0.
        x2: Events of the second.
        t2: Exposure of the second, above 0.
        confidence: Two-sided confidence of the ratio's limits.

    Returns:
        Ratio with limits and p by both conventions; without any event the ratio is None, its
        limits 0 and None, and each p is 1.

    Raises:
        UnfitNumbersError: Counts missing, negative or not whole; exposures not above 0.

    Shapes:
        All single numbers.

    Units:
        The ratio is a number; exposures in one unit.

    Assumes:
        Poisson events; exposure and detection alike in both.

    Source:
        Przyborowski and Wilenski, Biometrika 31 (1940) 313-323; Nelson, Technometrics 12 (1970).

    Examples:
        >>> found = compare_rates(12, 30, 4, 30)
        >>> found.ratio, round(found.p_greater, 3), round(found.p_doubled, 3)
        (3.0, 0.038, 0.077)
    """
    x1, t1 = _events("x1", x1, "t1", require.above("t1", t1))
    x2, t2 = _events("x2", x2, "t2", require.above("t2", t2))
    total, share = x1 + x2, t1 / (t1 + t2)
    limits = exact_interval(x1, total, confidence)
    upper = limits.upper / (1 - limits.upper) * t2 / t1 if limits.upper < 1 else None
    greater, less = (
        float(scipy.stats.binom.sf(x1 - 1, total, share)),
        float(scipy.stats.binom.cdf(x1, total, share)),
    )
    likely = float(scipy.stats.binomtest(x1, total, share).pvalue) if total else 1.0
    return RateComparison(
        x1,
        t1,
        x2,
        t2,
        x1 / t1 / (x2 / t2) if x2 else None,
        limits.lower / (1 - limits.lower) * t2 / t1,
        upper,
        likely,
        min(1.0, 2 * min(greater, less)),
        min(1.0, greater),
        min(1.0, less),
        confidence,
    )


def e_test_p(x1: int, t1: float, x2: int, t2: float) -> float:
    """Gives the two-sided p of the E-test for two rates: sharper than the exact conditional test.

    It does not hold its error in every case; where a verdict hangs on it, take `compare_rates`.

    Args:
        x1: Events of the first.
        t1: Exposure of the first, above 0.
        x2: Events of the second.
        t2: Exposure of the second, above 0.

    Returns:
        The probability; 1 without any event.

    Raises:
        UnfitNumbersError: Counts missing, negative or not whole; exposures not above 0.

    Shapes:
        All single numbers.

    Units:
        A probability, 0..1.

    Assumes:
        Poisson events; exposure and detection alike in both.

    Source:
        Krishnamoorthy and Thomson, Journal of Statistical Planning and Inference 119 (2004) 23-35;
        scipy.stats.poisson_means_test.

    Examples:
        >>> round(e_test_p(11, 800, 21, 3011), 4)
        0.1386
    """
    x1, t1 = _events("x1", x1, "t1", require.above("t1", t1))
    x2, t2 = _events("x2", x2, "t2", require.above("t2", t2))
    return min(1.0, float(scipy.stats.poisson_means_test(x1, t1, x2, t2).pvalue))


@dataclass(frozen=True)
class Power:
    """How likely a comparison shows an improvement that is really there.

    Args:
        chance: Probability that the exact test shows it.
        before_rate: Rate before, per unit.
        ratio: Rate after over rate before.
        t1: Exposure before.
        t2: Exposure after.
        confidence: Confidence demanded, one-sided.
    """

    chance: float
    before_rate: float
    ratio: float
    t1: float
    t2: float
    confidence: float
    method: str = "exact sum over both Poisson counts of the one-sided conditional test"
    assumptions: tuple[str, ...] = (POISSON, SAME_EXPOSURE)

    @property
    def sentence(self) -> str:
        """The chance in words."""
        after = amount(self.ratio * self.before_rate)
        return (
            f"If the rate fell from {amount(self.before_rate)} to {after} per unit, exposures of "
            f"{amount(self.t1)} before and {amount(self.t2)} after would show it at "
            f"{percent(self.confidence)} confidence in {percent(self.chance)} of cases."
        )


def power_of_comparison(
    before_rate: float, ratio: float, t1: float, t2: float, confidence: float = 0.95
) -> Power:
    """Says how likely two exposures are to show a fall of the rate that is really there.

    Args:
        before_rate: Rate before, per unit of exposure.
        ratio: Rate after over rate before; 0 means no event any more.
        t1: Exposure before.
        t2: Exposure after.
        confidence: One-sided confidence demanded.

    Returns:
        The chance that the exact one-sided test shows the fall.

    Raises:
        UnfitNumbersError: Rates or exposures not above 0, ratio negative, or more than 2,000
            events expected (any fall worth having is then shown).

    Shapes:
        All single numbers.

    Units:
        Rate per unit of exposure; chance 0..1.

    Assumes:
        Poisson events; exposure and detection alike in both.

    Source:
        Krishnamoorthy and Thomson, Journal of Statistical Planning and Inference 119 (2004) 23-35,
        section 4 (power of the conditional test) (memory).

    Examples:
        >>> round(power_of_comparison(0.4, 0.33, 30, 30).chance, 2)
        0.57
        >>> round(power_of_comparison(0.2, 0.5, 20, 10).chance, 2)
        0.02
    """
    for name, value in (("before_rate", before_rate), ("t1", t1), ("t2", t2)):
        require.above(name, value)
    if not (np.isfinite(ratio) and ratio >= 0):
        raise UnfitNumbersError(f"ratio = {ratio}", "a number of at least 0")
    means = before_rate * t1, before_rate * ratio * t2
    if max(means) > MANY_EVENTS:
        raise UnfitNumbersError(f"{max(means):,.0f} events expected", f"at most {MANY_EVENTS:,}")
    error = 1 - require.share("confidence", confidence)
    first, second = (np.arange(scipy.stats.poisson.isf(1e-10, mean) + 2) for mean in means)
    after, before = np.meshgrid(second, first)
    shown = scipy.stats.binom.cdf(after, before + after, t2 / (t1 + t2)) <= error
    weight = np.outer(
        scipy.stats.poisson.pmf(first, means[0]), scipy.stats.poisson.pmf(second, means[1])
    )
    chance = float(np.clip(np.sum(weight[shown]), 0, 1))
    return Power(chance, before_rate, ratio, t1, t2, confidence)


def _events(name: str, count: float, measure: str, exposure: float) -> tuple[int, float]:
    whole = require.count(name, count)
    if not (np.isfinite(exposure) and exposure >= 0):
        raise UnfitNumbersError(f"{measure} = {exposure}", "an exposure of at least 0")
    if exposure == 0 and whole:
        raise UnfitNumbersError(f"{name} = {whole} with {measure} = 0", "an exposure above 0")
    return whole, float(exposure)
