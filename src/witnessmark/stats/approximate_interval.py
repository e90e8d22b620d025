"""Limits on a share that are shorter than exact, right on average, not in every case.

Pure arithmetic over scipy; knows no record. Where a promise must hold, `proportion` is exact.
"""

from collections.abc import Callable
from typing import Literal

from scipy.optimize import brentq
from scipy.stats import binom, binomtest

from witnessmark.stats import require
from witnessmark.stats.proportion import Interval, Side, sided, tail_of
from witnessmark.stats.result import percent

HYPOTHESIS: dict[Side, Literal["two-sided", "less", "greater"]] = {
    "two-sided": "two-sided",
    "upper": "less",
    "lower": "greater",
}


def mid_p_interval(x: int, n: int, confidence: float = 0.95, side: Side = "two-sided") -> Interval:
    """Gives the mid-P limits of a share: shorter than exact, right on average, not in every case.

    The observed count weighs half in each tail: P(X < x) + P(X = x) / 2 = tail.

    Args:
        x: Number found.
        n: Number looked at. n = 0 gives no rate and the limits 0 and 1.
        confidence: Confidence, between 0 and 1.
        side: "two-sided", or "upper" or "lower" for that limit alone.

    Returns:
        The share with its limits.

    Raises:
        UnfitNumbersError: Counts not whole or impossible, or confidence outside (0, 1).

    Shapes:
        All single numbers.

    Units:
        Shares 0..1.

    Assumes:
        As the exact limits; where a promise must be kept in every case, take the exact ones.

    Source:
        Lancaster, JASA 56 (1961) 223-234; Berry and Armitage, The Statistician 44 (1995) 417-423
        (memory).

    Examples:
        >>> found = mid_p_interval(3, 30)
        >>> round(found.lower, 3), round(found.upper, 3)
        (0.026, 0.249)
    """
    x, n = require.found_of(x, n)
    tail = tail_of(confidence, side)
    method = f"mid-P, {percent(confidence)} {sided(side)}"
    if n == 0:
        return Interval(None, 0.0, 1.0, method, x, n, confidence, side)

    def below(rate: float) -> float:
        return float(binom.cdf(x, n, rate) - binom.pmf(x, n, rate) / 2)

    lower = 0.0 if x == 0 or side == "upper" else _root(lambda p: below(p) - (1 - tail))
    upper = 1.0 if x == n or side == "lower" else _root(lambda p: below(p) - tail)
    return Interval(x / n, lower, upper, method, x, n, confidence, side)


def wilson_interval(x: int, n: int, confidence: float = 0.95, side: Side = "two-sided") -> Interval:
    """Gives the score (Wilson) limits of a share: short, near the nominal confidence on average.

    Args:
        x: Number found.
        n: Number looked at. n = 0 gives no rate and the limits 0 and 1.
        confidence: Confidence, between 0 and 1.
        side: "two-sided", or "upper" or "lower" for that limit alone.

    Returns:
        The share with its limits.

    Raises:
        UnfitNumbersError: Counts not whole or impossible, or confidence outside (0, 1).

    Shapes:
        All single numbers.

    Units:
        Shares 0..1.

    Assumes:
        As the exact limits; for few items, or shares near 0 or 1, take the exact ones.

    Source:
        Wilson, JASA 22 (1927) 209-212; computed by scipy.stats.binomtest.

    Examples:
        >>> found = wilson_interval(81, 263)
        >>> round(found.lower, 4), round(found.upper, 4)
        (0.2553, 0.3662)
    """
    x, n = require.found_of(x, n)
    tail_of(confidence, side)
    method = f"score (Wilson), {percent(confidence)} {sided(side)}"
    if n == 0:
        return Interval(None, 0.0, 1.0, method, x, n, confidence, side)
    test = binomtest(x, n, alternative=HYPOTHESIS[side])
    limits = test.proportion_ci(confidence_level=confidence, method="wilson")
    lower, upper = max(0.0, float(limits.low)), min(1.0, float(limits.high))
    return Interval(x / n, lower, upper, method, x, n, confidence, side)


def _root(function: Callable[[float], float]) -> float:
    return float(brentq(function, 0.0, 1.0, xtol=1e-14))
