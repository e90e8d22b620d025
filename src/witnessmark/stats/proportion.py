"""Exact limits on a share, and what clustering costs it.

Pure arithmetic over scipy; knows no record.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import beta, fisher_exact


@dataclass(frozen=True)
class Interval:
    """A share with its two-sided limits.

    Args:
        rate: x / n, or None where n is 0.
        lower: Lower limit, 0..1.
        upper: Upper limit, 0..1.
        method: How the limits were found.
    """

    rate: float | None
    lower: float
    upper: float
    method: str


def exact_interval(x: float, n: float, confidence: float = 0.95) -> Interval:
    """Gives the exact (Clopper-Pearson) two-sided interval of a share x of n.

    Args:
        x: Number found; need not be whole where n is an effective number.
        n: Number looked at. n = 0 gives no rate and the limits 0 and 1.
        confidence: Two-sided confidence, between 0 and 1.

    Raises:
        ValueError: x or n negative or not finite, x above n, or confidence outside (0, 1).

    Units:
        Shares 0..1.

    Source:
        Clopper and Pearson, Biometrika 26 (1934) 404-413, as quantiles of the beta distribution.

    Examples:
        >>> found = exact_interval(3, 30)
        >>> round(found.lower, 4), round(found.upper, 4)
        (0.0211, 0.2653)
        >>> exact_interval(0, 0).rate is None
        True
    """
    if not (np.isfinite(x) and np.isfinite(n) and 0 <= x <= n):
        raise ValueError(f"x = {x} of n = {n}: needs 0 <= x <= n.")
    if not 0 < confidence < 1:
        raise ValueError(f"confidence = {confidence}: needs a number between 0 and 1.")
    method = f"exact (Clopper-Pearson), {confidence:.0%} two-sided"
    if n == 0:
        return Interval(None, 0.0, 1.0, method)
    tail = (1 - confidence) / 2
    lower = 0.0 if x == 0 else float(beta.ppf(tail, x, n - x + 1))
    upper = 1.0 if x == n else float(beta.ppf(1 - tail, x + 1, n - x))
    return Interval(x / n, lower, upper, method)


def design_effect(found: Sequence[int], looked_at: Sequence[int]) -> float:
    """Gives by how much clustering inflates the variance of a share (at least 1).

    The variance of the ratio estimate over clusters, divided by that of independent units. One
    cluster, no unit, or a share of exactly 0 or 1 cannot show clustering and give 1.

    Args:
        found: Number found in each cluster.
        looked_at: Number looked at in each cluster; clusters of 0 are left out.

    Raises:
        ValueError: Different lengths, or more found than looked at in a cluster.

    Shapes:
        found, looked_at: (n_clusters,)

    Source:
        Cochran, Sampling Techniques, 3rd ed. 1977, section 3.12 (ratio to size) (memory).

    Examples:
        >>> round(design_effect([5, 0, 5, 0], [5, 5, 5, 5]), 2)
        6.67
        >>> design_effect([1, 1, 1, 1], [5, 5, 5, 5])
        1.0
    """
    x, n = np.asarray(found, dtype=float), np.asarray(looked_at, dtype=float)
    if x.shape != n.shape or np.any(x > n) or np.any(x < 0):
        raise ValueError("found and looked_at: same length, and 0 <= found <= looked_at.")
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
        ValueError: A negative count.

    Source:
        Fisher, Statistical Methods for Research Workers, 1934, section 21.02; tails by likelihood.

    Examples:
        >>> round(fisher_p(7, 1, 3, 17), 4)
        0.0007
    """
    if min(a, b, c, d) < 0:
        raise ValueError("counts may not be negative.")
    if a + b == 0 or c + d == 0:
        return None
    return float(fisher_exact(np.array([[a, b], [c, d]])).pvalue)
