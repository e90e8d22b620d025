"""Exact limits on a share, one or two sides, one or a million; and what clustering costs it.

Pure arithmetic over scipy; knows no record. Shorter limits stand in `approximate_interval`, finite
lots in `finite_lot`, clusters in `clusters`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import scipy
from numpy.typing import ArrayLike
from scipy.special import betaincinv

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.result import amount, counted, percent

Side = Literal["two-sided", "upper", "lower"]
SIDES: tuple[Side, ...] = ("two-sided", "upper", "lower")


@dataclass(frozen=True)
class Interval:
    """A share with its limits.

    Args:
        rate: x / n, or None where n is 0.
        lower: Lower limit, 0..1; 0 where only an upper limit was asked for.
        upper: Upper limit, 0..1; 1 where only a lower limit was asked for.
        method: How the limits were found.
        x: Number found.
        n: Number looked at.
        confidence: Confidence of the limits.
        side: "two-sided", or the one limit that was asked for.
    """

    rate: float | None
    lower: float
    upper: float
    method: str
    x: float = 0
    n: float = 0
    confidence: float = 0.95
    side: Side = "two-sided"

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What must hold for the limits."""
        return (
            "The items looked at are a random draw, or stand for one.",
            "Items are independent; those of one shift seldom are: see the limits for clusters.",
        )

    @property
    def sentence(self) -> str:
        """The share and its limits in one sentence."""
        if self.rate is None:
            return "No item was looked at, so nothing is known of the rate."
        said = f"{amount(self.x)} of {counted(self.n, 'item')} ({percent(self.rate)})"
        return f"{said}; {bounded(self.lower, self.upper, self.confidence, self.side)}."


def bounded(lower: float, upper: float, confidence: float, side: Side) -> str:
    """Gives limits in words.

    Shapes:
        All single numbers.

    Units:
        Shares 0..1 in, percent in the words.

    Source:
        None; wording only.

    Examples:
        >>> bounded(0.02, 0.27, 0.95, "two-sided")
        'with 95 % confidence the rate behind them is between 2 % and 27 %'
        >>> bounded(0, 0.05, 0.95, "upper")
        'with 95 % confidence the rate behind them is at most 5 %'
    """
    if side == "two-sided":
        where = f"between {percent(lower)} and {percent(upper)}"
    elif side == "upper":
        where = f"at most {percent(upper)}"
    else:
        where = f"at least {percent(lower)}"
    return f"with {percent(confidence)} confidence the rate behind them is {where}"


def tail_of(confidence: float, side: Side) -> float:
    """Gives the error left to each limit that is stated.

    Args:
        confidence: Between 0 and 1.
        side: "two-sided" halves the error.

    Raises:
        UnfitNumbersError: Confidence outside (0, 1), or a side that is none.

    Shapes:
        All single numbers.

    Units:
        Shares 0..1.

    Source:
        Definition.

    Examples:
        >>> round(tail_of(0.95, "two-sided"), 3), round(tail_of(0.95, "upper"), 3)
        (0.025, 0.05)
    """
    if side not in SIDES:
        raise UnfitNumbersError(f"side = {side!r}", f"one of {', '.join(SIDES)}")
    error = 1 - require.share("confidence", confidence)
    return error / 2 if side == "two-sided" else error


def exact_interval(
    x: float, n: float, confidence: float = 0.95, side: Side = "two-sided"
) -> Interval:
    """Gives the exact (Clopper-Pearson) limits of a share x of n: they never promise too much.

    Lower: the rate at which x or more would be found with the tail's probability; upper: the rate
    at which x or fewer would. As quantiles: beta(tail; x, n - x + 1), beta(1 - tail; x + 1, n - x).

    Args:
        x: Number found; need not be whole where n is an effective number.
        n: Number looked at. n = 0 gives no rate and the limits 0 and 1.
        confidence: Confidence, between 0 and 1.
        side: "two-sided", or "upper" or "lower" for that limit alone.

    Returns:
        The share with its limits.

    Raises:
        UnfitNumbersError: x or n negative, missing or infinite, x above n, or confidence outside
            (0, 1).

    Shapes:
        All single numbers; `exact_bounds` takes arrays.

    Units:
        Shares 0..1.

    Assumes:
        Independent items that stand for what the rate is about.

    Source:
        Clopper and Pearson, Biometrika 26 (1934) 404-413, as quantiles of the beta distribution.

    Examples:
        >>> found = exact_interval(3, 30)
        >>> round(found.lower, 4), round(found.upper, 4)
        (0.0211, 0.2653)
        >>> exact_interval(0, 59, side="upper").sentence
        '0 of 59 items (0 %); with 95 % confidence the rate behind them is at most 5 %.'
        >>> exact_interval(0, 0).rate is None
        True
    """
    _demand_found(x, n)
    tail = tail_of(confidence, side)
    method = f"exact (Clopper-Pearson), {percent(confidence).replace(' ', '')} {sided(side)}"
    if n == 0:
        return Interval(None, 0.0, 1.0, method, x, n, confidence, side)
    lower = 0.0 if x == 0 or side == "upper" else float(scipy.stats.beta.ppf(tail, x, n - x + 1))
    upper = (
        1.0 if x == n or side == "lower" else float(scipy.stats.beta.ppf(1 - tail, x + 1, n - x))
    )
    return Interval(x / n, lower, upper, method, x, n, confidence, side)


@dataclass(frozen=True)
class Bounds:
    """Exact limits of many shares at once.

    Args:
        lower: Lower limits.
        upper: Upper limits.
        confidence: Confidence of each pair, not of all together.
        side: As asked for.
        empty: How many strata had nothing looked at (limits 0 and 1).
    """

    lower: require.Numbers
    upper: require.Numbers
    confidence: float
    side: Side
    empty: int

    @property
    def method(self) -> str:
        """How they were found."""
        return f"exact (Clopper-Pearson), {percent(self.confidence)} {sided(self.side)}, each"

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What must hold."""
        return (
            "In each stratum the items are independent and stand for the stratum.",
            "The confidence holds for each stratum by itself; of many strata, some limits miss.",
        )

    @property
    def sentence(self) -> str:
        """How many strata, and what their limits mean."""
        strata, miss = len(self.lower), (1 - self.confidence) * len(self.lower)
        return (
            f"Exact limits of {counted(strata, 'stratum', 'strata')}, each at "
            f"{percent(self.confidence)} confidence: up to {miss:,.1f} of them may miss the rate "
            f"they stand for; {counted(self.empty, 'stratum', 'strata')} had nothing to look at."
        )


def exact_bounds(
    x: ArrayLike, n: ArrayLike, confidence: float = 0.95, side: Side = "two-sided"
) -> Bounds:
    """Gives the exact (Clopper-Pearson) limits of many shares at once.

    Args:
        x: Numbers found.
        n: Numbers looked at; where 0, the limits are 0 and 1.
        confidence: Confidence of each, between 0 and 1.
        side: "two-sided", or "upper" or "lower" for that limit alone.

    Returns:
        Two arrays of limits.

    Raises:
        UnfitNumbersError: Missing values, different lengths, x negative or above n.

    Shapes:
        x, n: (strata,)

    Units:
        Shares 0..1.

    Assumes:
        As `exact_interval`, in each stratum.

    Source:
        Clopper and Pearson 1934, as `exact_interval`.

    Examples:
        >>> found = exact_bounds([3, 0, 0], [30, 59, 0])
        >>> found.lower.round(4).tolist(), found.upper.round(4).tolist()
        ([0.0211, 0.0, 0.0], [0.2653, 0.0606, 1.0])
    """
    found, total = require.numbers("x", x, 0), require.numbers("n", n, 0)
    require.same_length(x=found, n=total)
    if np.any((found < 0) | (found > total)):
        raise UnfitNumbersError("x negative or above n in a stratum", "0 <= x <= n in each")
    tail = tail_of(confidence, side)
    lower, upper = np.zeros(len(found)), np.ones(len(found))
    if side != "upper":
        some = found > 0
        lower[some] = betaincinv(found[some], total[some] - found[some] + 1, tail)
    if side != "lower":
        some = found < total
        upper[some] = betaincinv(found[some] + 1, total[some] - found[some], 1 - tail)
    return Bounds(lower, upper, confidence, side, int(np.sum(total == 0)))


def design_effect(found: Sequence[int], looked_at: Sequence[int]) -> float:
    """Gives by how much clustering inflates the variance of a share (at least 1).

    The variance of the ratio estimate over clusters, divided by that of independent units. One
    cluster, no unit, or a share of exactly 0 or 1 cannot show clustering and give 1.

    Args:
        found: Number found in each cluster.
        looked_at: Number looked at in each cluster; clusters of 0 are left out.

    Raises:
        UnfitNumbersError: Different lengths, or more found than looked at in a cluster.

    Shapes:
        found, looked_at: (n_clusters,)

    Units:
        A ratio, 1 or more.

    Source:
        Cochran, Sampling Techniques, 3rd ed. 1977, section 3.12 (ratio to size) (memory).

    Examples:
        >>> round(design_effect([5, 0, 5, 0], [5, 5, 5, 5]), 2)
        6.67
        >>> design_effect([1, 1, 1, 1], [5, 5, 5, 5])
        1.0
    """
    x, n = np.asarray(found, dtype=float), np.asarray(looked_at, dtype=float)
    if x.shape != n.shape or not np.all((x >= 0) & (x <= n)):
        raise UnfitNumbersError(
            "found and looked_at", "the same length, and 0 <= found <= looked_at"
        )
    x, n = x[n > 0], n[n > 0]
    total = n.sum()
    if len(n) <= 1:
        return 1.0
    rate = x.sum() / total
    if rate in {0.0, 1.0}:
        return 1.0
    clusters = len(n)
    clustered = clusters / (clusters - 1) * np.sum((x - rate * n) ** 2) / total**2
    return max(1.0, float(clustered / (rate * (1 - rate) / total)))


def fisher_p(a: int, b: int, c: int, d: int) -> float | None:
    """Gives the two-sided exact probability that two shares a/(a+b) and c/(c+d) differ by chance.

    Args:
        a: Found in the first group.
        b: Not found in the first group.
        c: Found in the second group.
        d: Not found in the second group.

    Returns:
        The probability, or None where a group is empty.

    Raises:
        UnfitNumbersError: A negative count.

    Shapes:
        All single numbers.

    Units:
        A probability, 0..1.

    Source:
        Fisher, Statistical Methods for Research Workers, 1934, section 21.02; tails by likelihood.

    Examples:
        >>> round(fisher_p(7, 1, 3, 17), 4)
        0.0007
    """
    if min(a, b, c, d) < 0:
        raise UnfitNumbersError("a negative count", "counts of at least 0")
    if a + b == 0 or c + d == 0:
        return None
    return float(scipy.stats.fisher_exact(np.array([[a, b], [c, d]])).pvalue)


def _demand_found(x: float, n: float) -> None:
    if not (np.isfinite(x) and np.isfinite(n) and 0 <= x <= n):
        raise UnfitNumbersError(f"x = {x} of n = {n}", "0 <= x <= n")


def sided(side: Side) -> str:
    """Gives the side in words of a method.

    Shapes:
        A single word.

    Units:
        None.

    Source:
        None; wording only.

    Examples:
        >>> sided("upper")
        'one-sided (upper)'
    """
    return side if side == "two-sided" else f"one-sided ({side})"
