"""What a sample says of the lot it was drawn from, and what a look at every item says.

Exact by inverting the hypergeometric tails; knows no record.
"""

from collections.abc import Callable
from dataclasses import dataclass

from scipy.stats import hypergeom

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.proportion import Side, exact_interval, tail_of
from witnessmark.stats.result import counted, percent

EVEN = 1 + 1e-9  # a tail that equals the error but for rounding counts as equal


@dataclass(frozen=True)
class LotLimits:
    """How many items of a lot deviate, from a sample of it.

    Args:
        x: Number found in the sample.
        n: Number looked at.
        lot: Number in the lot.
        lower: Least number in the lot.
        upper: Greatest number in the lot.
        confidence: Confidence of the limits.
        side: "two-sided", or the one limit that was asked for.
    """

    x: int
    n: int
    lot: int
    lower: int
    upper: int
    confidence: float
    side: Side
    assumptions: tuple[str, ...] = (
        "The sample was drawn at random from the lot, without putting items back.",
        "The limits speak of this lot only, not of the process that made it.",
    )

    @property
    def rate_lower(self) -> float | None:
        """Lower limit as a share of the lot; None for an empty lot."""
        return self.lower / self.lot if self.lot else None

    @property
    def rate_upper(self) -> float | None:
        """Upper limit as a share of the lot; None for an empty lot."""
        return self.upper / self.lot if self.lot else None

    @property
    def method(self) -> str:
        """How they were found."""
        sided = self.side if self.side == "two-sided" else f"one-sided ({self.side})"
        return f"exact for a finite lot (hypergeometric tails), {percent(self.confidence)} {sided}"

    @property
    def sentence(self) -> str:
        """What was looked at, and what the lot may hold."""
        if self.lot == 0:
            return "The lot is empty: there is nothing to state."
        if self.n == self.lot:
            return (
                f"All {counted(self.lot, 'item')} of the lot were looked at: exactly "
                f"{self.x:,} ({percent(self.x / self.lot)}) deviate."
            )
        said = f"{self.x:,} found among {self.n:,} drawn from a lot of {self.lot:,}"
        least, most = percent(self.lower / self.lot), percent(self.upper / self.lot)
        where = {
            "two-sided": f"between {self.lower:,} and {self.upper:,} ({least} to {most})",
            "upper": f"at most {self.upper:,} ({most})",
            "lower": f"at least {self.lower:,} ({least})",
        }[self.side]
        return f"{said}; with {percent(self.confidence)} confidence the lot holds {where}."


def lot_limits(
    x: int, n: int, lot: int, confidence: float = 0.95, side: Side = "two-sided"
) -> LotLimits:
    """Gives how many items of a finite lot deviate, from x found in a sample of n.

    Upper: the largest D with P(X <= x | D) above the tail; lower: the smallest D with
    P(X >= x | D) above the tail; X hypergeometric. Both are found by bisection, since the tails
    are monotone in D.

    Args:
        x: Number found.
        n: Number looked at; 0 gives limits 0 and the whole lot; the whole lot gives x and x.
        lot: Number in the lot; an empty lot has no rate (None).
        confidence: Confidence, between 0 and 1.
        side: "two-sided", or "upper" or "lower" for that limit alone.

    Returns:
        Limits as numbers of items and as shares of the lot.

    Raises:
        UnfitNumbersError: Counts missing, not whole or impossible, n above the lot.

    Shapes:
        All single numbers.

    Units:
        Items; shares 0..1.

    Assumes:
        Random draw without putting back.

    Source:
        Katz, JASA 48 (1953) 256-261; Buonaccorsi, The American Statistician 41 (1987) 215-218
        (memory).

    Examples:
        >>> found = lot_limits(0, 60, 500, side="upper")
        >>> found.upper, found.rate_upper
        (22, 0.044)
        >>> lot_limits(4, 50, 50).sentence
        'All 50 items of the lot were looked at: exactly 4 (8 %) deviate.'
    """
    x, n = require.found_of(x, n)
    lot = require.count("lot", lot)
    if n > lot:
        raise UnfitNumbersError(f"n = {n} drawn from a lot of {lot}", "a sample within the lot")
    tail = tail_of(confidence, side) * EVEN
    least, most = x, lot - (n - x)
    lower, upper = 0, lot
    if side != "upper":
        lower = first_that_holds(
            lambda d: float(hypergeom.sf(x - 1, lot, d, n)) > tail, least, most
        )
    if side != "lower":
        beyond = first_that_holds(
            lambda d: float(hypergeom.cdf(x, lot, d, n)) <= tail, least, most + 1
        )
        upper = beyond - 1
    return LotLimits(x, n, lot, lower, upper, confidence, side)


def first_that_holds(holds: Callable[[int], bool], low: int, high: int) -> int:
    """Gives the first whole number of a range for which something holds, by bisection.

    Args:
        holds: False up to some number and True from there on.
        low: First number of the range.
        high: A number for which it is known to hold.

    Returns:
        The first number for which it holds; `high` where it holds for none below.

    Shapes:
        All single numbers.

    Units:
        Whole numbers.

    Source:
        Bisection; common practice, no source.

    Examples:
        >>> first_that_holds(lambda number: number**2 >= 50, 0, 100)
        8
    """
    while low < high:
        middle = (low + high) // 2
        if holds(middle):
            high = middle
        else:
            low = middle + 1
    return low


@dataclass(frozen=True)
class Census:
    """Every item of a period was looked at: the rate is exact, the interval is of the process.

    Args:
        x: Number found.
        n: Number of items of the period, all looked at.
        rate: x / n, exact for the period; None where there was none.
        process_lower: Lower limit of the rate of the process behind the period.
        process_upper: Its upper limit.
        confidence: Confidence of the limits.
    """

    x: int
    n: int
    rate: float | None
    process_lower: float
    process_upper: float
    confidence: float
    method: str = "complete count; for the process exact (Clopper-Pearson) two-sided"
    assumptions: tuple[str, ...] = (
        "Every item of the period was looked at, and none is missing from the records.",
        "The limits hold for the process only, while it runs as it did, with independent items.",
    )

    @property
    def sentence(self) -> str:
        """The exact rate, and apart from it what it says of the process."""
        if self.rate is None:
            return "The period holds no item, so there is no rate."
        return (
            f"All {counted(self.n, 'item')} of the period were looked at: {self.x:,} "
            f"({percent(self.rate)}), exact for the period, without margin. As a sample of the "
            f"process, with {percent(self.confidence)} confidence its rate is between "
            f"{percent(self.process_lower)} and {percent(self.process_upper)}."
        )


def census(x: int, n: int, confidence: float = 0.95) -> Census:
    """Keeps apart what a complete count says of its period and what it says of the process.

    Args:
        x: Number found.
        n: Number of items of the period; 0 gives no rate, and limits 0 and 1 for the process.
        confidence: Confidence of the limits for the process.

    Returns:
        The exact rate of the period, and limits that speak of the process only.

    Raises:
        UnfitNumbersError: Counts missing, not whole or impossible.

    Shapes:
        All single numbers.

    Units:
        Shares 0..1.

    Assumes:
        No item of the period is missing; for the process, independent items and no change.

    Source:
        Deming, Some Theory of Sampling, 1950, chapter 7 (enumerative and analytic studies)
        (memory); limits as `exact_interval`.

    Examples:
        >>> found = census(7, 40)
        >>> found.rate, round(found.process_lower, 2), round(found.process_upper, 2)
        (0.175, 0.07, 0.33)
    """
    x, n = require.found_of(x, n)
    limits = exact_interval(x, n, confidence)
    return Census(x, n, limits.rate, limits.lower, limits.upper, confidence)
