"""A rate of a population from random draws in its strata, each weighted by its size.

Knows no record. The draw itself stands in `selection`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.proportion import exact_interval
from witnessmark.stats.result import counted, percent


@dataclass(frozen=True)
class StratifiedRate:
    """A rate of a population, its strata weighted by size.

    Args:
        rate: Weighted rate.
        lower: Lower limit.
        upper: Upper limit.
        pooled: Found by looked at without weights; differs where strata were drawn unequally.
        found: Number found.
        n: Number looked at.
        population: Number of items.
        effective_n: As how many items of a simple random draw they count.
        confidence: Confidence of the limits.
    """

    rate: float
    lower: float
    upper: float
    pooled: float
    found: int
    n: int
    population: int
    effective_n: float
    confidence: float
    method: str = "weighted by stratum size; exact limits of the effective number"
    assumptions: tuple[str, ...] = (
        "In each stratum the items were drawn at random and are independent.",
        "The strata together are the whole population; each was looked into.",
    )

    @property
    def sentence(self) -> str:
        """The weighted rate with its limits."""
        return (
            f"{self.found:,} found in {counted(self.n, 'item')} drawn from {self.population:,}; "
            f"weighted by the size of the strata {percent(self.rate)}, with "
            f"{percent(self.confidence)} confidence between {percent(self.lower)} and "
            f"{percent(self.upper)}."
        )


def stratified_rate(
    found: ArrayLike, looked_at: ArrayLike, sizes: ArrayLike, confidence: float = 0.95
) -> StratifiedRate:
    """Gives the rate of a population from random draws in its strata, weighted by size.

    rate = sum W p with W = size share. Effective number: the smaller of rate (1 - rate) / variance
    and 1 / sum (W^2 / n), so that few deviations never make the limits too narrow.

    Args:
        found: Number found in each stratum.
        looked_at: Number looked at in each stratum, at least 1.
        sizes: Items in each stratum.
        confidence: Two-sided confidence.

    Returns:
        The weighted rate with limits, and the rate without weights beside it.

    Raises:
        UnfitNumbersError: Missing values, impossible counts, a stratum not looked into.

    Shapes:
        found, looked_at, sizes: (strata,)

    Units:
        Shares 0..1.

    Assumes:
        Random draws in each stratum, independent items. A draw of nearly all of a stratum gains
        nothing here: the limits are then wider than they need be.

    Source:
        Cochran, Sampling Techniques, 3rd ed. 1977, section 5.10; Korn and Graubard 1998 (memory).

    Examples:
        >>> share = stratified_rate([1, 4], [20, 20], [900, 100])
        >>> round(share.rate, 3), round(share.pooled, 3)
        (0.065, 0.125)
    """
    x, n, size = (
        require.numbers(name, row)
        for name, row in (("found", found), ("looked_at", looked_at), ("sizes", sizes))
    )
    require.same_length(found=x, looked_at=n, sizes=size)
    if np.any((x < 0) | (x > n) | (n < 1) | (n > size)):
        raise UnfitNumbersError(
            "counts that do not fit", "0 <= found <= looked_at <= sizes, and each stratum looked at"
        )
    weight, share = size / size.sum(), x / n
    rate = float(weight @ share)
    variance = float(np.sum(weight**2 * share * (1 - share) / np.maximum(n - 1, 1)))
    simple = 1 / float(np.sum(weight**2 / n))
    effective = min(simple, rate * (1 - rate) / variance) if variance > 0 else simple
    limits = exact_interval(min(rate * effective, effective), effective, confidence)
    return StratifiedRate(
        rate,
        limits.lower,
        limits.upper,
        float(x.sum() / n.sum()),
        int(x.sum()),
        int(n.sum()),
        int(size.sum()),
        effective,
        confidence,
    )
