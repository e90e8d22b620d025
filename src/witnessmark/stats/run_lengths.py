"""How many points pass before a chart signals: Shewhart, cumulative sums, weighted averages.

Integral equations solved on Gauss-Legendre nodes. Knows no data.
"""

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy.special import ndtr

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.require import Numbers
from witnessmark.stats.result import percent

LONGEST = 1e12  # points; beyond it the linear equations lose their digits
NODES = 80  # doubling them changes nothing at 1e-10 for charts in use
KNOWN = ("Points independent and normal, centre and standard error known without error.",)


@dataclass(frozen=True)
class RunLength:
    """Average number of points until a chart signals.

    Args:
        average: Points until the signal, the signalling point counted.
        shift: Lasting shift present from the first point on, in standard errors of a point.
        method: How it was found.
        assumptions: What must hold.
    """

    average: float
    shift: float
    method: str
    assumptions: tuple[str, ...] = KNOWN

    @property
    def sentence(self) -> str:
        """The run length in words."""
        state = (
            "a process that does not change"
            if self.shift == 0
            else f"a lasting shift of {abs(self.shift):g} times the standard error of a point"
        )
        return (
            f"With {state} the chart signals after {self.average:.4g} points on average "
            f"({self.method}). Single runs scatter widely around an average."
        )


@dataclass(frozen=True)
class PointPower:
    """Chance that one plotted mean shows a shift.

    Args:
        chance: The chance per point, 0..1.
        shift: Shift of the process in standard deviations of the single value.
        n: Values per mean.
    """

    chance: float
    shift: float
    n: int
    method: str = "normal distribution of the mean, Shewhart limits"
    assumptions: tuple[str, ...] = KNOWN

    @property
    def sentence(self) -> str:
        """The chance in words."""
        return (
            f"A mean of {self.n} falls outside its limits with a chance of {percent(self.chance)} "
            f"when the process has shifted by {self.shift:g} sigma. A point inside therefore "
            "bounds a large step only; it says little about small shifts and nothing about "
            "sporadic bad pieces."
        )


def means_chart_power(shift: float, n: int, limit: float = 3.0) -> PointPower:
    """Gives the chance that one mean of n values falls outside its limits after a shift.

    chance = P(Z < -limit - shift sqrt n) + P(Z > limit - shift sqrt n).

    Args:
        shift: Shift of the process mean.
        n: Values per mean, at least 1.
        limit: Limits of the chart in standard errors of the mean.

    Returns:
        The chance per point.

    Raises:
        UnfitNumbersError: n below 1, limit not above 0, shift not finite.

    Shapes:
        One number each.

    Units:
        shift in standard deviations of the single value; chance 0..1.

    Assumes:
        Independent normal values; limits known without error.

    Source:
        Montgomery, Introduction to Statistical Quality Control, operating characteristic of the
        means chart (memory).

    Examples:
        >>> round(means_chart_power(1.0, 5).chance, 2), round(means_chart_power(1.5, 5).chance, 2)
        (0.22, 0.64)
    """
    size, wide = require.count("n", n, least=1), require.above("limit", limit)
    moved = _finite("shift", shift) * math.sqrt(size)
    return PointPower(float(ndtr(-wide - moved) + ndtr(moved - wide)), shift, size)


def shewhart_run_length(shift: float = 0.0, limit: float = 3.0) -> RunLength:
    """Gives how many points pass on average before one lies beyond the limits.

    ARL = 1 / P(a point lies beyond).

    Args:
        shift: Lasting shift of the plotted point.
        limit: Limits in standard errors.

    Returns:
        The average run length.

    Raises:
        UnfitNumbersError: limit not above 0, shift not finite.

    Shapes:
        One number each.

    Units:
        Points; shift and limit in standard errors of the plotted point.

    Assumes:
        Independent normal points; limits known without error.

    Source:
        Montgomery, Introduction to Statistical Quality Control, average run length (memory).

    Examples:
        >>> round(shewhart_run_length().average, 1), round(shewhart_run_length(1.0).average, 1)
        (370.4, 43.9)
    """
    chance = means_chart_power(shift, 1, limit).chance
    return RunLength(1 / chance, shift, f"1 / chance of a point beyond {limit:g} sigma")


def cusum_run_length(
    k: float, h: float, shift: float = 0.0, head_start: float = 0.0, two_sided: bool = True
) -> RunLength:
    """Gives how many points pass on average before a cumulative sum passes its interval.

    One side: L(s) = 1 + P(Z < k - s - shift) L(0) + integral over t in 0..h of
    L(t) density(t + k - s - shift). Two sides, U up and D down, both from the head start s:
    ARL = (U(s) D(0) + U(0) D(s) - U(0) D(0)) / (U(0) + D(0)).

    Args:
        k: Allowance.
        h: Decision interval.
        shift: Lasting shift of the plotted point, from the first point on.
        head_start: Where the sums start (fast initial response: h / 2).
        two_sided: Whether sums up and down run together; else the sum up alone.

    Returns:
        The average run length.

    Raises:
        UnfitNumbersError: k negative, h not above 0, a head start below 0 or not below h, or a
            shift that is not finite.

    Shapes:
        One number each.

    Units:
        Points; k, h, shift, head_start in standard errors of the plotted point.

    Assumes:
        Independent normal points; target and sigma known without error.

    Source:
        Lucas and Crosier, Technometrics 24 (1982) 199-205; one side: Page, Biometrika 41 (1954)
        100-115, integral equation (memory).

    Examples:
        >>> round(cusum_run_length(0.5, 4, shift=1.0).average, 2)
        8.38
        >>> round(cusum_run_length(0.5, 4, shift=1.0, head_start=2).average, 2)
        5.29
    """
    interval, moved = require.above("h", h), _finite("shift", shift)
    if not (np.isfinite(k) and k >= 0):
        raise UnfitNumbersError(f"k = {k}", "a number of at least 0")
    if not 0 <= head_start < interval:
        raise UnfitNumbersError(f"head_start = {head_start}", "a number from 0 to below h")
    up_zero, up = _one_sided(k, interval, moved, head_start)
    if not two_sided:
        return RunLength(solved(up), shift, "cumulative sum up, integral equation")
    down_zero, down = _one_sided(k, interval, -moved, head_start)
    average = (up * down_zero + up_zero * down - up_zero * down_zero) / (up_zero + down_zero)
    return RunLength(solved(average), shift, "two cumulative sums, integral equation")


def _one_sided(k: float, h: float, shift: float, start: float) -> tuple[float, float]:
    """Average run lengths of the sum up from 0 and from the head start."""
    nodes, weights = _nodes(0.0, h)
    starts = np.concatenate([[0.0], nodes])

    def onward(s: Numbers) -> Numbers:
        kept = _density(nodes + k - s[:, None] - shift) * weights
        return np.column_stack([ndtr(k - s - shift), kept])

    lengths = np.linalg.solve(np.eye(len(starts)) - onward(starts), np.ones(len(starts)))
    from_start = 1 + onward(np.array([start])) @ lengths
    return float(lengths[0]), float(from_start[0])


def ewma_run_length(weight: float, width: float, shift: float = 0.0) -> RunLength:
    """Gives how many points pass on average before a weighted average passes its fixed limits.

    L(u) = 1 + integral over t within ± width sqrt(weight / (2 - weight)) of
    L(t) density((t - (1 - weight) u) / weight - shift) / weight, from u = 0.

    Args:
        weight: Weight of the newest point, above 0 and at most 1.
        width: Limits in long-run standard errors of the average.
        shift: Lasting shift of the plotted point, from the first point on.

    Returns:
        The average run length with both limits fixed.

    Raises:
        UnfitNumbersError: weight outside, width not above 0, shift not finite.

    Shapes:
        One number each.

    Units:
        Points; shift in standard errors of the plotted point.

    Assumes:
        Independent normal points; target and sigma known without error.

    Source:
        Crowder, Technometrics 29 (1987) 401-407.

    Examples:
        >>> round(ewma_run_length(0.5, 3.071, shift=1.0).average, 1)
        17.5
    """
    moved, wide = _finite("shift", shift), require.above("width", width)
    if not 0 < weight <= 1:
        raise UnfitNumbersError(f"weight = {weight}", "a number above 0 and at most 1")
    half = wide * math.sqrt(weight / (2 - weight))
    nodes, weights = _nodes(-half, half)

    def onward(u: Numbers) -> Numbers:
        return _density((nodes - (1 - weight) * u[:, None]) / weight - moved) * weights / weight

    lengths = np.linalg.solve(np.eye(len(nodes)) - onward(nodes), np.ones(len(nodes)))
    average = 1 + onward(np.zeros(1)) @ lengths
    return RunLength(solved(float(average[0])), shift, "weighted average, integral equation")


def solved(average: float) -> float:
    """Gives an average run length that linear equations can still tell apart from infinity.

    Args:
        average: The solution.

    Returns:
        The same, at least 1: the signalling point counts.

    Raises:
        UnfitNumbersError: It is above 1e12 points, or no number.

    Shapes:
        average: one number.

    Units:
        Points.

    Source:
        None: a refusal.

    Examples:
        >>> solved(370.4)
        370.4
    """
    if not average < LONGEST:
        raise UnfitNumbersError(
            f"limits that are passed once in {average:.0e} points", "narrower limits"
        )
    return max(1.0, average)


@cache
def _nodes(low: float, high: float) -> tuple[Numbers, Numbers]:
    places, weights = np.polynomial.legendre.leggauss(NODES)
    half = (high - low) / 2
    return np.asarray(low + half * (places + 1)), np.asarray(half * weights)


def _density(x: Numbers) -> Numbers:
    return np.asarray(np.exp(-(x**2) / 2) / math.sqrt(2 * math.pi))


def _finite(name: str, value: float) -> float:
    if not np.isfinite(value):
        raise UnfitNumbersError(f"{name} = {value}", "a finite number")
    return float(value)
