"""Sampling in stages: double plans, and item by item with two lines.

Knows no record.
"""

from dataclasses import dataclass
from math import log
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike
from scipy.stats import binom

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.acceptance import RANDOM
from witnessmark.stats.result import percent

Decision = Literal["accept", "reject", "go on"]


@dataclass(frozen=True)
class DoublePlan:
    """A double sampling plan at several rates.

    Args:
        rates: Shares of deviations.
        passed_first: Chance to pass on the first sample.
        passed_second: Chance to pass on the second.
        passed: Chance to pass in all.
        average_sample: Average number looked at, each sample to its end.
        plan: (n1, c1, r1, n2, c2).
    """

    rates: tuple[float, ...]
    passed_first: tuple[float, ...]
    passed_second: tuple[float, ...]
    passed: tuple[float, ...]
    average_sample: tuple[float, ...]
    plan: tuple[int, int, int, int, int]
    method: str = "binomial, both samples taken to their end"
    assumptions: tuple[str, ...] = (RANDOM,)

    @property
    def sentence(self) -> str:
        """The plan in words."""
        n1, c1, r1, n2, c2 = self.plan
        return (
            f"Look at {n1:,}: accept with at most {c1:,} deviating, reject with {r1:,} or more; "
            f"otherwise look at {n2:,} more and accept with at most {c2:,} in all. On average "
            f"{max(self.average_sample, default=n1):,.0f} or fewer are looked at at these rates."
        )


def double_plan(n1: int, c1: int, r1: int, n2: int, c2: int, rates: ArrayLike) -> DoublePlan:
    """Gives how likely lots pass a double plan, and how many items it takes on average.

    Pa = P(X1 <= c1) + sum over c1 < x < r1 of P(X1 = x) P(X2 <= c2 - x);
    ASN = n1 + n2 * P(c1 < X1 < r1).

    Args:
        n1: First sample.
        c1: Accepted on the first.
        r1: Rejected from here on the first, above c1.
        n2: Second sample.
        c2: Accepted in all.
        rates: Shares of deviations.

    Returns:
        Chances to pass, by stage and in all, and average sample numbers.

    Raises:
        UnfitNumbersError: Counts not whole, numbers out of order, rates outside 0..1.

    Shapes:
        rates: (n_rates,)

    Units:
        Shares 0..1; items.

    Assumes:
        Random draw from large lots.

    Source:
        Montgomery, Introduction to Statistical Quality Control, double sampling plans (memory).

    Examples:
        >>> found = double_plan(50, 1, 4, 100, 3, [0.05])
        >>> round(found.passed[0], 3), round(found.average_sample[0], 1)
        (0.29, 98.1)
    """
    named = {"n1": n1, "c1": c1, "r1": r1, "n2": n2, "c2": c2}
    n1, c1, r1, n2, c2 = plan = tuple(require.count(name, n) for name, n in named.items())
    if not (c1 < r1 <= c2 + 1 and c1 < n1 and n2 > 0):
        raise UnfitNumbersError(f"plan {plan}", "c1 < r1 <= c2 + 1, c1 < n1 and a second sample")
    row = require.numbers("rates", rates, 0)
    if np.any((row < 0) | (row > 1)):
        raise UnfitNumbersError("rates outside 0..1", "shares")
    first = binom.cdf(c1, n1, row)
    between = np.arange(c1 + 1, r1)[:, None]
    met = np.asarray(binom.pmf(between, n1, row))
    second = np.sum(met * binom.cdf(c2 - between, n2, row), axis=0)
    sample = n1 + n2 * met.sum(axis=0)
    return DoublePlan(
        tuple(row.tolist()),
        tuple(np.asarray(first).tolist()),
        tuple(np.asarray(second).tolist()),
        tuple(np.asarray(first + second).tolist()),
        tuple(np.asarray(sample).tolist()),
        (n1, c1, r1, n2, c2),
    )


@dataclass(frozen=True)
class SequentialPlan:
    """Item by item: two lines between which looking goes on.

    Args:
        h1: Accept at or below -h1 + slope * n.
        h2: Reject at or above h2 + slope * n.
        slope: Slope of both lines.
        good: Rate that should pass.
        bad: Rate that should not.
        alpha: Chance to reject at the good rate.
        beta: Chance to pass at the bad rate.
    """

    h1: float
    h2: float
    slope: float
    good: float
    bad: float
    alpha: float
    beta: float
    method: str = "sequential probability ratio test"
    assumptions: tuple[str, ...] = (
        "Items come one by one at random; the risks hold nearly, since a count jumps over a line.",
    )

    @property
    def sentence(self) -> str:
        """The lines in words."""
        first = self.h1 / self.slope
        return (
            f"Looking goes on while the deviations stay between -{self.h1:.3f} and {self.h2:.3f}, "
            f"each + {self.slope:.4f} times the items; the earliest acceptance is after "
            f"{int(np.ceil(first)):,} without one. Lots with {percent(self.good)} pass in about "
            f"{percent(1 - self.alpha)} of cases, with {percent(self.bad)} in {percent(self.beta)}."
        )

    def decide(self, n: int, found: int) -> Decision:
        """What to do after n items with some found.

        Raises:
            UnfitNumbersError: Counts missing, not whole or impossible.
        """
        found, n = require.found_of(found, n)
        if found <= self.slope * n - self.h1:
            return "accept"
        return "reject" if found >= self.slope * n + self.h2 else "go on"


def sequential_plan(
    good: float, bad: float, alpha: float = 0.05, beta: float = 0.10
) -> SequentialPlan:
    """Gives the two lines of a sequential plan, item by item.

    k = ln(bad (1 - good) / (good (1 - bad))); h1 = ln((1 - alpha) / beta) / k;
    h2 = ln((1 - beta) / alpha) / k; slope = ln((1 - good) / (1 - bad)) / k.

    Args:
        good: Rate that should pass.
        bad: Rate that should not; above `good`.
        alpha: Chance to reject at the good rate.
        beta: Chance to pass at the bad rate.

    Returns:
        The lines; `decide` says what to do.

    Raises:
        UnfitNumbersError: Rates or risks outside (0, 1), bad not above good, or risks that
            together reach 1.

    Shapes:
        All single numbers.

    Units:
        Shares 0..1; deviations and items.

    Assumes:
        Independent items in random order.

    Source:
        Wald, Sequential Analysis, 1947; NIST/SEMATECH e-Handbook, section 6.2.6.

    Examples:
        >>> plan = sequential_plan(0.01, 0.10)
        >>> round(plan.h1, 3), round(plan.h2, 3), round(plan.slope, 4), plan.decide(24, 0)
        (0.939, 1.205, 0.0397, 'accept')
    """
    for name, value in (("good", good), ("bad", bad), ("alpha", alpha), ("beta", beta)):
        require.share(name, value)
    if bad <= good or alpha + beta >= 1:
        raise UnfitNumbersError(
            f"good = {good}, bad = {bad}, alpha = {alpha}, beta = {beta}",
            "a bad rate above the good one, and risks that together stay below 1",
        )
    k = log(bad * (1 - good) / (good * (1 - bad)))
    slope = log((1 - good) / (1 - bad)) / k
    h1, h2 = log((1 - alpha) / beta) / k, log((1 - beta) / alpha) / k
    return SequentialPlan(h1, h2, slope, good, bad, alpha, beta)
