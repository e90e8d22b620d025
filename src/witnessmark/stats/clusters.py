"""Shares from items that come in clusters (shifts, machine-shifts): what they really prove.

Ten checks of one shift are not ten independent looks. Knows no record.
"""

from dataclasses import dataclass

import numpy as np
import scipy
from numpy.typing import ArrayLike

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.proportion import design_effect, exact_interval
from witnessmark.stats.result import counted, percent

FEW_CLUSTERS = 20
AT_ONCE = 4_000_000  # resampled weights held in memory at a time


def planned_design_effect(cluster_size: float, correlation: float) -> float:
    """Gives the design effect to expect from clusters of equal size: 1 + (m - 1) rho.

    Args:
        cluster_size: Items per cluster, m; at least 1.
        correlation: Correlation of two items of one cluster, rho, from 0 to 1.

    Returns:
        By how much the variance of a share grows.

    Raises:
        UnfitNumbersError: A size below 1 or a correlation outside 0..1.

    Shapes:
        All single numbers.

    Units:
        A ratio, 1 or more.

    Source:
        Kish, Survey Sampling, 1965, section 5.4 (memory).

    Examples:
        >>> round(planned_design_effect(10, 0.2), 3), round(100 / planned_design_effect(10, 0.2))
        (2.8, 36)
    """
    if not (np.isfinite(cluster_size) and cluster_size >= 1):
        raise UnfitNumbersError(f"cluster_size = {cluster_size}", "a number of at least 1")
    if not 0 <= correlation <= 1:
        raise UnfitNumbersError(f"correlation = {correlation}", "a number from 0 to 1")
    return 1 + (cluster_size - 1) * correlation


@dataclass(frozen=True)
class ClusteredShare:
    """A share from clustered items.

    Args:
        rate: Found by looked at; None where nothing was looked at.
        lower: Lower limit.
        upper: Upper limit.
        found: Number found over all clusters.
        n: Number looked at over all clusters.
        clusters: Clusters with something looked at.
        design_effect: What clustering costs.
        effective_n: As how many independent items they count.
        confidence: Confidence of the limits.
        method: How the limits were found.
        assumptions: What must hold.
    """

    rate: float | None
    lower: float
    upper: float
    found: int
    n: int
    clusters: int
    design_effect: float
    effective_n: float
    confidence: float
    method: str
    assumptions: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """The share, its limits, and as how many independent items it counts."""
        if self.rate is None:
            return "No item was looked at, so nothing is known of the rate."
        return (
            f"{self.found:,} of {counted(self.n, 'item')} ({percent(self.rate)}) in "
            f"{counted(self.clusters, 'cluster')}; items of one cluster resemble each other, so "
            f"they count as about {self.effective_n:,.0f} independent ones: with "
            f"{percent(self.confidence)} confidence the rate behind them is between "
            f"{percent(self.lower)} and {percent(self.upper)}."
        )


def clustered_interval(
    found: ArrayLike, looked_at: ArrayLike, confidence: float = 0.95, least_effect: float = 1.0
) -> ClusteredShare:
    """Gives limits of a share from clustered items, by the effective number of items.

    n_eff = n / deff * (t(n - 1) / t(k - 1))^2 for k clusters, then the exact limits of
    rate * n_eff of n_eff.

    Args:
        found: Number found in each cluster.
        looked_at: Number looked at in each cluster; clusters of 0 are left out. With nothing
            looked at there is no rate (None) and the limits are 0 and 1.
        confidence: Two-sided confidence.
        least_effect: Design effect to take at least, for shares of 0 or all (which cannot show
            clustering) and for few clusters.

    Returns:
        The share with limits, design effect and effective number.

    Raises:
        UnfitNumbersError: Missing values, different lengths, impossible counts, fewer than two
            clusters, or a least effect below 1.

    Shapes:
        found, looked_at: (clusters,)

    Units:
        Shares 0..1.

    Assumes:
        Clusters are independent of each other and drawn at random.

    Source:
        Korn and Graubard, Survey Methodology 24 (1998) 193-201 (memory).

    Examples:
        >>> share = clustered_interval([5, 0, 4, 0, 1, 0], [10, 10, 10, 10, 10, 10])
        >>> round(share.rate, 3), round(share.design_effect, 1), round(share.effective_n)
        (0.167, 3.6, 10)
    """
    x, n = _clusters(found, looked_at)
    total, hits = int(n.sum()), int(x.sum())
    if total == 0:
        nothing = "no item looked at"
        return ClusteredShare(None, 0.0, 1.0, 0, 0, 0, 1.0, 0.0, confidence, nothing, (nothing,))
    seen = design_effect(x.astype(int).tolist(), n.astype(int).tolist())
    effect = max(seen, least_effect)
    tail = 1 - (1 - require.share("confidence", confidence)) / 2
    corrected = float(
        (scipy.stats.t.ppf(tail, max(total - 1, 1)) / scipy.stats.t.ppf(tail, len(n) - 1)) ** 2
    )
    effective = total / effect * corrected
    limits = exact_interval(hits / total * effective, effective, confidence)
    shows = "cannot show clustering (share of 0 or all)" if hits in {0, total} else "show"
    return ClusteredShare(
        hits / total,
        limits.lower,
        limits.upper,
        hits,
        total,
        len(n),
        effect,
        effective,
        confidence,
        f"exact limits of the effective number (Korn-Graubard), {percent(confidence)} two-sided",
        (
            "Clusters are independent of each other.",
            f"Design effect: the data {shows} {seen:.2f}; taken {effect:.2f}.",
            _few(len(n)),
        ),
    )


def cluster_bootstrap(
    found: ArrayLike,
    looked_at: ArrayLike,
    generator: np.random.Generator,
    confidence: float = 0.95,
    replicates: int = 4000,
) -> ClusteredShare:
    """Gives limits of a share by drawing whole clusters again, many times (percentile bootstrap).

    Args:
        found: Number found in each cluster.
        looked_at: Number looked at in each cluster; clusters of 0 are left out.
        generator: Source of the draws.
        confidence: Two-sided confidence.
        replicates: How often all clusters are drawn again; at least 200.

    Returns:
        The share with limits, the design effect and the effective number.

    Raises:
        UnfitNumbersError: Missing values, impossible counts, fewer than two clusters, nothing
            looked at, too few replicates, or all clusters with the same share: drawing them again
            shows no spread; take `clustered_interval`.

    Shapes:
        found, looked_at: (clusters,)

    Units:
        Shares 0..1.

    Assumes:
        Clusters are independent and many; with few, the limits are too narrow.

    Source:
        Davison and Hinkley, Bootstrap Methods and their Application, 1997, sections 3.8 and 5.3.1
        (memory).

    Examples:
        >>> generator = np.random.default_rng(7)
        >>> share = cluster_bootstrap([5, 0, 4, 0, 1, 0] * 5, [10] * 30, generator)
        >>> bool(share.lower < share.rate < share.upper)
        True
    """
    x, n = _clusters(found, looked_at)
    replicates = require.count("replicates", replicates, 200)
    tail = (1 - require.share("confidence", confidence)) / 2
    if not len(n) or np.ptp(x / n) == 0:
        raise UnfitNumbersError("all clusters have the same share", "clusters that differ")
    drawn = np.concatenate(
        [weights @ np.column_stack([x, n]) for weights in _weights(len(n), replicates, generator)]
    )
    lower, upper = np.quantile(drawn[:, 0] / drawn[:, 1], [tail, 1 - tail])
    effect = design_effect(x.astype(int).tolist(), n.astype(int).tolist())
    total, hits = int(n.sum()), int(x.sum())
    return ClusteredShare(
        hits / total,
        float(lower),
        float(upper),
        hits,
        total,
        len(n),
        effect,
        total / effect,
        confidence,
        f"bootstrap of whole clusters, percentiles of {replicates:,} draws",
        ("Clusters are independent of each other.", _few(len(n))),
    )


def _clusters(found: ArrayLike, looked_at: ArrayLike) -> tuple[require.Numbers, require.Numbers]:
    x, n = require.numbers("found", found, 0), require.numbers("looked_at", looked_at, 0)
    require.same_length(found=x, looked_at=n)
    if np.any((x < 0) | (x > n)) or np.any(x != np.floor(x)) or np.any(n != np.floor(n)):
        raise UnfitNumbersError(
            "counts that are negative, not whole, or above what was looked at",
            "whole numbers with 0 <= found <= looked_at",
        )
    x, n = x[n > 0], n[n > 0]
    if len(n) == 1:
        raise UnfitNumbersError("a single cluster", "at least two, to see how clusters differ")
    return x, n


def _weights(
    clusters: int, replicates: int, generator: np.random.Generator
) -> list[require.Numbers]:
    rows = max(1, AT_ONCE // clusters)
    even = np.full(clusters, 1 / clusters)
    sizes = [min(rows, replicates - start) for start in range(0, replicates, rows)]
    return [generator.multinomial(clusters, even, size=size).astype(float) for size in sizes]


def _few(clusters: int) -> str:
    said = f"Many clusters: there are {clusters}"
    return f"{said}, too few for the limits to be sure." if clusters < FEW_CLUSTERS else f"{said}."
