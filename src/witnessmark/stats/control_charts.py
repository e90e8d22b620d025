"""Control charts of measured values: individuals, means with ranges, means with deviations.

Gives centre, limits for each point and the points outside. Positions count from 0 in the results
and from 1 in sentences. Knows no run rule and no plant; limits that a plant adopted are given.
"""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.control_chart import ChartPair, chart, enough_points
from witnessmark.stats.control_constants import c4, d2, d3
from witnessmark.stats.require import Numbers
from witnessmark.stats.variance import summary

LEAST_POINTS = 5  # fewer give limits that say next to nothing (common practice, no source)


def individuals_chart(
    x: ArrayLike, mean: float | None = None, sigma: float | None = None
) -> ChartPair:
    """Gives the charts of individual values and of their moving ranges (XmR).

    sigma = mean moving range / d2(2); limits mean ± 3 sigma; moving ranges up to D4(2) x centre.

    Args:
        x: Values in time order.
        mean: Centre adopted earlier; the mean of x where None.
        sigma: Standard deviation adopted earlier; from the moving ranges where None.

    Returns:
        Both charts; the moving ranges are one point fewer.

    Raises:
        UnfitNumbersError: Fewer than five values (two, if mean and sigma are given), missing
            ones, or values that are all the same with no sigma given.

    Shapes:
        x: (n,), in time order.

    Units:
        As x.

    Assumes:
        Independent values in time order, roughly normal. n = 0 and missing values are refused.

    Source:
        NIST/SEMATECH e-Handbook, section 6.3.2.2.

    Examples:
        >>> found = individuals_chart([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])
        >>> round(found.location.upper[0], 4), found.location.outside
        (55.8024, ())
    """
    adopted = mean is not None and sigma is not None
    row = require.numbers("x", x, least=2 if adopted else LEAST_POINTS)
    ranges = np.abs(np.diff(row))
    if sigma is None:
        _varies("x", ranges)
        spread = float(ranges.mean()) / d2(2)
    else:
        spread = require.above("sigma", sigma)
    centre = summary(row).mean if mean is None else float(mean)
    method = f"individuals and moving ranges, {_basis(mean, sigma, 'mean moving range / d2')}"
    assumed = (*_assumed(row, "Values"), "Values roughly normal (not checked here).")
    location = chart(
        "individual values",
        row,
        *_level(centre, spread, len(row)),
        method=method,
        assumptions=assumed,
    )
    moving = chart(
        "moving ranges",
        ranges,
        *_level(d2(2) * spread, d3(2) * spread, len(ranges)),
        method=method,
        assumptions=assumed,
        floor=0.0,
    )
    return ChartPair(location, moving, centre, spread, (1,) * len(row))


def means_and_ranges_chart(
    subgroups: Sequence[ArrayLike], mean: float | None = None, sigma: float | None = None
) -> ChartPair:
    """Gives the charts of subgroup means and ranges (Xbar-R); sizes may differ.

    sigma = mean of R / d2(n), weighted by (d2 / d3)^2 where sizes differ; limits of a mean
    mean ± 3 sigma / sqrt n, of a range sigma (d2 ± 3 d3).

    Args:
        subgroups: The subgroups in time order, each of at least two values.
        mean: Centre adopted earlier; the mean of all values where None.
        sigma: Standard deviation within subgroups adopted earlier; from the ranges where None.

    Returns:
        Both charts.

    Raises:
        UnfitNumbersError: Fewer than five subgroups (one, if mean and sigma are given), a
            subgroup of fewer than two values, missing values, or ranges that are all 0.

    Shapes:
        subgroups: n_subgroups rows, each (n_i,), n_i of at least 2.

    Units:
        As the values.

    Assumes:
        Independent subgroups; within them independent normal values of one spread.

    Source:
        NIST/SEMATECH e-Handbook, section 6.3.2.1; weights for differing sizes: Burr, Journal of
        Quality Technology 1 (1969) 163-167 (memory).

    Examples:
        >>> rows = [[4, 6], [5, 6], [4, 5], [7, 4], [5, 5]]
        >>> found = means_and_ranges_chart(rows)
        >>> round(found.sigma, 4), found.is_stable
        (1.2407, True)
    """
    rows = _rows(subgroups, mean, sigma)
    ranges = np.array([np.ptp(row) for row in rows])
    factors = np.array([(d2(len(row)), d3(len(row))) for row in rows])
    return _means_chart("ranges", rows, ranges, factors, mean, sigma, "mean range / d2")


def means_and_deviations_chart(
    subgroups: Sequence[ArrayLike], mean: float | None = None, sigma: float | None = None
) -> ChartPair:
    """Gives the charts of subgroup means and standard deviations (Xbar-S); sizes may differ.

    sigma = mean of s / c4(n), weighted by c4^2 / (1 - c4^2) where sizes differ; limits of a mean
    mean ± 3 sigma / sqrt n, of a standard deviation sigma (c4 ± 3 sqrt(1 - c4^2)).

    Args:
        subgroups: The subgroups in time order, each of at least two values.
        mean: Centre adopted earlier; the mean of all values where None.
        sigma: Standard deviation within subgroups adopted earlier; from the data where None.

    Returns:
        Both charts.

    Raises:
        UnfitNumbersError: As `means_and_ranges_chart`.

    Shapes:
        subgroups: n_subgroups rows, each (n_i,), n_i of at least 2.

    Units:
        As the values.

    Assumes:
        Independent subgroups; within them independent normal values of one spread.

    Source:
        NIST/SEMATECH e-Handbook, section 6.3.2.1; weights for differing sizes: Burr, Journal of
        Quality Technology 1 (1969) 163-167 (memory).

    Examples:
        >>> rows = [[4, 6, 5], [5, 6, 7], [4, 5, 6], [7, 4, 5], [5, 5, 6]]
        >>> round(means_and_deviations_chart(rows).sigma, 4)
        1.152
    """
    rows = _rows(subgroups, mean, sigma)
    deviations = np.array([summary(row).sd for row in rows])
    factors = np.array([(c4(len(row)), math.sqrt(1 - c4(len(row)) ** 2)) for row in rows])
    return _means_chart(
        "standard deviations", rows, deviations, factors, mean, sigma, "mean deviation / c4"
    )


def _means_chart(
    kind: str,
    rows: list[Numbers],
    spreads: Numbers,
    factors: Numbers,
    mean: float | None,
    sigma: float | None,
    basis: str,
) -> ChartPair:
    expected, error = factors[:, 0], factors[:, 1]
    if sigma is None:
        _varies("subgroups: values within each", spreads)
        weights = (expected / error) ** 2
        within = float(np.sum(weights * spreads / expected) / np.sum(weights))
    else:
        within = require.above("sigma", sigma)
    centre = summary(np.concatenate(rows)).mean if mean is None else float(mean)
    sizes = np.array([len(row) for row in rows])
    means = np.array([row.mean() for row in rows])
    method = f"means and {kind}, {_basis(mean, sigma, basis)}"
    assumed = (
        *_assumed(means, "Subgroup means"),
        "Within a subgroup: independent, normal, from one stream (not checked here).",
    )
    location = chart(
        "subgroup means",
        means,
        np.full(len(rows), centre),
        within / np.sqrt(sizes),
        method=method,
        assumptions=assumed,
    )
    spread = chart(
        f"subgroup {kind}",
        spreads,
        within * expected,
        within * error,
        method=method,
        assumptions=assumed,
        floor=0.0,
    )
    return ChartPair(location, spread, centre, within, tuple(sizes.tolist()))


def _rows(subgroups: Sequence[ArrayLike], mean: float | None, sigma: float | None) -> list[Numbers]:
    least = LEAST_POINTS if mean is None or sigma is None else 1
    if len(subgroups) < least:
        raise UnfitNumbersError(f"subgroups: {len(subgroups)}", f"at least {least}")
    return [
        require.numbers(f"subgroups[{place}]", row, least=2) for place, row in enumerate(subgroups)
    ]


def _varies(name: str, spreads: Numbers) -> None:
    if not np.any(spreads > 0):
        raise UnfitNumbersError(
            f"{name} are all the same", "values that vary, or the sigma adopted earlier"
        )


def _level(centre: float, error: float, n: int) -> tuple[Numbers, Numbers]:
    return np.full(n, centre), np.full(n, error)


def _basis(mean: float | None, sigma: float | None, basis: str) -> str:
    where = "centre given" if mean is not None else "centre from these values"
    return f"3-sigma limits, {where}, sigma " + ("given" if sigma is not None else f"= {basis}")


def _assumed(row: Numbers, what: str) -> tuple[str, ...]:
    if len(row) <= 1:
        return ("One point: nothing can be checked.",)
    said = summary(row).assumptions[0]
    return (said.replace("Values", what, 1), enough_points(len(row)))
