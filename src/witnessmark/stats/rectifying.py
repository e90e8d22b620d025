"""What leaves when rejected lots are sorted: outgoing quality, its worst case, and the work.

Knows no record.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import minimize_scalar
from scipy.stats import binom, poisson

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.result import counted, percent

SORTED = "Rejected lots are sorted piece by piece, and sorting finds and removes every deviation."


@dataclass(frozen=True)
class Rectifying:
    """A single plan with sorting of rejected lots.

    Args:
        rates: Incoming rates.
        outgoing: Average outgoing quality for each.
        inspected: Average number of items looked at per lot, for each.
        limit: Average outgoing quality limit: the worst over all incoming rates.
        limit_at: Incoming rate at which it is worst.
        n: Sample.
        accept: Deviations that still pass.
        lot: Number in the lot.
    """

    rates: tuple[float, ...]
    outgoing: tuple[float, ...]
    inspected: tuple[float, ...]
    limit: float
    limit_at: float
    n: int
    accept: int
    lot: int
    method: str = "binomial; outgoing = rate * chance to pass * (lot - n) / lot"
    assumptions: tuple[str, ...] = (SORTED, "The sample is drawn at random from each lot.")

    @property
    def sentence(self) -> str:
        """The worst case in words."""
        return (
            f"With {self.n:,} of {counted(self.lot, 'item')} looked at, {self.accept:,} accepted "
            f"and rejected lots sorted, on average at most {percent(self.limit)} deviating items "
            f"leave; worst when {percent(self.limit_at)} come in. Single lots can be worse."
        )


def rectifying(n: int, accept: int, lot: int, rates: ArrayLike) -> Rectifying:
    """Gives average outgoing quality, its limit, and average total inspection.

    AOQ = p * Pa * (N - n) / N; ATI = n + (1 - Pa) * (N - n); AOQL is the greatest AOQ.

    Args:
        n: Sample, at least 1.
        accept: Deviations that still pass, below n.
        lot: Number in the lot, at least n.
        rates: Incoming rates; an empty row still gives the limit.

    Returns:
        Both curves, and the worst case over all rates.

    Raises:
        UnfitNumbersError: Counts not whole or impossible, rates outside 0..1.

    Shapes:
        rates: (n_rates,)

    Units:
        Shares 0..1; items per lot.

    Assumes:
        Sorting is perfect. It seldom is: then more leaves.

    Source:
        NIST/SEMATECH e-Handbook of Statistical Methods, section 6.2.3.4.

    Examples:
        >>> found = rectifying(52, 3, 10_000, [0.03, 0.05])
        >>> [round(items) for items in found.inspected], round(found.limit, 4)
        ([753, 2655], 0.0372)
    """
    n, accept = require.count("n", n, 1), require.count("accept", accept)
    if not accept < n <= require.count("lot", lot):
        raise UnfitNumbersError(f"accept = {accept}, n = {n}, lot = {lot}", "accept < n <= lot")
    row = require.numbers("rates", rates, 0)
    if np.any((row < 0) | (row > 1)):
        raise UnfitNumbersError("rates outside 0..1", "shares")
    rest = (lot - n) / lot
    passed = np.asarray(binom.cdf(accept, n, row))
    worst = minimize_scalar(
        lambda rate: -rate * float(binom.cdf(accept, n, rate)),
        bounds=(0, min(1.0, 2 * (accept + 1) / n)),
        method="bounded",
        options={"xatol": 1e-10},
    )
    return Rectifying(
        tuple(row.tolist()),
        tuple((row * passed * rest).tolist()),
        tuple((n + (1 - passed) * (lot - n)).tolist()),
        float(-worst.fun) * rest,
        float(worst.x),
        n,
        accept,
        lot,
    )


def outgoing_limit_factor(accept: int) -> float:
    """Gives the factor y of the outgoing limit by the Poisson law: AOQL = y / n * (1 - n / lot).

    The greatest value of m * P(X <= accept | m).

    Args:
        accept: Deviations that still pass.

    Returns:
        The factor.

    Raises:
        UnfitNumbersError: Missing, negative or not whole.

    Shapes:
        A single number.

    Units:
        A number.

    Assumes:
        Small rates; `rectifying` is exact.

    Source:
        Dodge and Romig, Sampling Inspection Tables, 2nd ed. 1959.

    Examples:
        >>> round(outgoing_limit_factor(0), 4), round(outgoing_limit_factor(2), 3)
        (0.3679, 1.371)
    """
    accept = require.count("accept", accept)
    worst = minimize_scalar(
        lambda mean: -mean * float(poisson.cdf(accept, mean)),
        bounds=(0, 2 * (accept + 1)),
        method="bounded",
        options={"xatol": 1e-10},
    )
    return float(-worst.fun)
