"""Capability indices of a mean and a spread.

Plain arithmetic: whether the process was stable, and so whether an index may be claimed at all, is
judged in `capability`.
"""

import math
from dataclasses import dataclass

from scipy.special import ndtr

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.result import percent

NORMAL = (
    "Stable process (judged elsewhere).",
    "Independent normal values; the limits lean on it heavily.",
)


@dataclass(frozen=True)
class CapabilityIndices:
    """The indices of one mean and one spread against tolerance limits.

    Args:
        cp: Tolerance over six sigmas; None with one limit only.
        cpu: Room to the upper limit over three sigmas; None without one.
        cpl: Room to the lower limit over three sigmas; None without one.
        cpk: The smaller of cpu and cpl.
        k: Distance of the mean from mid-tolerance over half the tolerance; None with one limit.
        cpm: Cp with the distance from the target added to the spread; None without target.
        fraction_out: Share beyond the limits that the normal distribution gives.
    """

    cp: float | None
    cpu: float | None
    cpl: float | None
    cpk: float
    k: float | None
    cpm: float | None
    fraction_out: float
    method: str = "normal distribution"
    assumptions: tuple[str, ...] = NORMAL

    @property
    def sentence(self) -> str:
        """The indices in words."""
        potential = "" if self.cp is None else f" (on target it would be {self.cp:.2f})"
        return (
            f"Room to the nearer limit is {self.cpk:.2f} times three standard deviations"
            f"{potential}; if values are normal, {percent(self.fraction_out)} lie beyond the "
            "limits. No sampling error is stated here."
        )


def capability_indices(
    mean: float,
    sd: float,
    lower: float | None = None,
    upper: float | None = None,
    target: float | None = None,
) -> CapabilityIndices:
    """Gives the capability indices of a mean and a standard deviation.

    Cpu = (upper - mean) / (3 sd); Cpl = (mean - lower) / (3 sd); Cpk = the smaller;
    Cp = (upper - lower) / (6 sd); k = |mean - middle| / (half the tolerance);
    Cpm = (upper - lower) / (6 sqrt(sd^2 + (mean - target)^2)).

    Args:
        mean: Mean of the process.
        sd: Its standard deviation: within subgroups for Cp and Cpk, overall for Pp and Ppk.
        lower: Lower tolerance limit, or None.
        upper: Upper tolerance limit, or None.
        target: Where the process should run, or None.

    Returns:
        The indices; those that one limit cannot give are None.

    Raises:
        UnfitNumbersError: sd not above 0, no limit at all, limits in the wrong order, or a number
            that is not finite.

    Shapes:
        One number each.

    Units:
        mean, sd and limits in one unit; fraction_out a share 0..1.

    Assumes:
        Stable process, normal values (for fraction_out).

    Source:
        NIST/SEMATECH e-Handbook, section 6.1.6.

    Examples:
        >>> found = capability_indices(16, 2, lower=8, upper=20)
        >>> found.cp, round(found.cpk, 3), round(found.k, 3)
        (1.0, 0.667, 0.333)
    """
    spread = require.above("sd", sd)
    given = [value for value in (mean, lower, upper, target) if value is not None]
    require.numbers("mean, limits and target", given)
    check_limits(lower, upper)
    cpu = None if upper is None else (upper - mean) / (3 * spread)
    cpl = None if lower is None else (mean - lower) / (3 * spread)
    cpk = min(value for value in (cpu, cpl) if value is not None)
    out = sum(float(ndtr(-3 * value)) for value in (cpu, cpl) if value is not None)
    if lower is None or upper is None:
        return CapabilityIndices(None, cpu, cpl, cpk, None, None, out)
    width = upper - lower
    off = None if target is None else math.hypot(spread, mean - target)
    return CapabilityIndices(
        width / (6 * spread),
        cpu,
        cpl,
        cpk,
        abs(mean - (upper + lower) / 2) / (width / 2),
        None if off is None else width / (6 * off),
        out,
    )


def check_limits(lower: float | None, upper: float | None) -> None:
    """Refuses tolerance limits that bound nothing.

    Args:
        lower: Lower limit, or None.
        upper: Upper limit, or None.

    Raises:
        UnfitNumbersError: Neither is given, or the lower is not below the upper.

    Shapes:
        One number each.

    Units:
        One unit for both.

    Source:
        None: a refusal.

    Examples:
        >>> check_limits(0.0, 1.0)
    """
    if lower is None and upper is None:
        raise UnfitNumbersError("no tolerance limit", "a lower or an upper limit")
    if lower is not None and upper is not None and not lower < upper:
        raise UnfitNumbersError(f"limits {lower} and {upper}", "the lower below the upper")
