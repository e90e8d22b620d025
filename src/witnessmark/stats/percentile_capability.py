"""Capability from percentiles of a distribution that is not normal, given or fitted."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike
from scipy.stats import kstest, rv_continuous

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.capability_index import check_limits
from witnessmark.stats.result import counted, percent

LOW, MIDDLE, HIGH = 0.00135, 0.5, 0.99865  # of the general geometric method
LEAST_TO_FIT = 30  # fewer say nothing of tails (common practice, no source)


class Distribution(Protocol):
    """What is asked of a distribution: its quantiles and its two tails (scipy, frozen)."""

    def ppf(self, q: float, /) -> float:
        """Quantile."""

    def cdf(self, x: float, /) -> float:
        """Share at or below x."""

    def sf(self, x: float, /) -> float:
        """Share above x."""


@dataclass(frozen=True)
class PercentileCapability:
    """Indices from percentiles.

    Args:
        low: 0.135 % quantile.
        median: Median.
        high: 99.865 % quantile.
        pp: Tolerance over (high - low); None with one limit.
        ppu: (upper - median) / (high - median); None without an upper limit.
        ppl: (median - lower) / (median - low); None without a lower limit.
        ppk: The smaller of both.
        fraction_out: Share that the distribution puts beyond the limits.
        method: How it was found.
        assumptions: What must hold, with what was checked.
    """

    low: float
    median: float
    high: float
    pp: float | None
    ppu: float | None
    ppl: float | None
    ppk: float
    fraction_out: float
    method: str
    assumptions: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """The capability in words."""
        return (
            f"By percentiles of the distribution Ppk is {self.ppk:.2f}; it puts "
            f"{percent(self.fraction_out)} beyond the limits. Both rest on the far tails of the "
            "chosen distribution, which data seldom show; no sampling error is stated."
        )


def percentile_capability(
    distribution: Distribution, lower: float | None = None, upper: float | None = None
) -> PercentileCapability:
    """Gives capability indices from the percentiles of a given distribution.

    Pp = (upper - lower) / (x99.865 - x0.135); Ppu = (upper - x50) / (x99.865 - x50);
    Ppl = (x50 - lower) / (x50 - x0.135); Ppk = the smaller.

    Args:
        distribution: A frozen distribution of scipy.stats, or any with ppf, cdf and sf.
        lower: Lower tolerance limit, or None.
        upper: Upper tolerance limit, or None.

    Returns:
        The indices.

    Raises:
        UnfitNumbersError: No tolerance limit, limits in the wrong order, or a distribution
            without finite percentiles.

    Shapes:
        One distribution.

    Units:
        Limits in the unit of the distribution; fraction_out a share 0..1.

    Assumes:
        Stable process; the distribution is right far into its tails.

    Source:
        ISO 22514-2, general geometric method (0.135, 50 and 99.865 percentiles).

    Examples:
        >>> from scipy.stats import expon
        >>> found = percentile_capability(expon(scale=2), lower=0, upper=15)
        >>> round(found.pp, 3), round(found.ppk, 3)
        (1.135, 1.002)
    """
    check_limits(lower, upper)
    low, median, high = (float(distribution.ppf(share)) for share in (LOW, MIDDLE, HIGH))
    if not (np.isfinite([low, median, high]).all() and low < median < high):
        raise UnfitNumbersError(
            f"percentiles {low:g}, {median:g}, {high:g}", "finite ones that rise"
        )
    ppu = None if upper is None else (upper - median) / (high - median)
    ppl = None if lower is None else (median - lower) / (median - low)
    out = 0.0 if lower is None else float(distribution.cdf(lower))
    out += 0.0 if upper is None else float(distribution.sf(upper))
    return PercentileCapability(
        low,
        median,
        high,
        None if lower is None or upper is None else (upper - lower) / (high - low),
        ppu,
        ppl,
        min(value for value in (ppu, ppl) if value is not None),
        out,
        "percentiles of a given distribution",
        ("Stable process (judged elsewhere).", "The distribution given, right into its tails."),
    )


def fitted_capability(
    x: ArrayLike,
    family: rv_continuous,
    lower: float | None = None,
    upper: float | None = None,
    origin: float | None = None,
) -> PercentileCapability:
    """Gives capability indices from the percentiles of a distribution fitted to values.

    Args:
        x: Values of a stable process, at least 30.
        family: A family of scipy.stats, such as weibull_min or lognorm, chosen for a reason and
            not because it fits best.
        lower: Lower tolerance limit, or None.
        upper: Upper tolerance limit, or None.
        origin: Where the family starts (scipy's loc), such as 0 for a form deviation; fitted
            where None.

    Returns:
        The indices; `assumptions` says how far fit and values lie apart.

    Raises:
        UnfitNumbersError: Fewer than 30 values, missing ones, constant ones, values below the
            origin, or what `percentile_capability` refuses.

    Shapes:
        x: (n,)

    Units:
        Limits as the values; fraction_out a share 0..1.

    Assumes:
        Stable process, independent values, the family right far into its tails.

    Source:
        Maximum likelihood by scipy; ISO 22514-2, general geometric method.

    Examples:
        >>> from scipy.stats import expon
        >>> values = expon(scale=2).ppf((np.arange(60) + 0.5) / 60)
        >>> round(fitted_capability(values, expon, upper=15, origin=0).ppk, 2)
        1.16
    """
    row = require.numbers("x", x, least=LEAST_TO_FIT)
    if np.all(row == row[0]):
        raise UnfitNumbersError("x: all values are the same", "values that vary")
    if origin is not None and row.min() < origin:
        raise UnfitNumbersError(f"x down to {row.min():g}", f"values from the origin {origin:g} on")
    fitted = family(*(family.fit(row) if origin is None else family.fit(row, floc=origin)))
    found = percentile_capability(fitted, lower, upper)
    gap = float(kstest(row, fitted.cdf).statistic)
    outside = sum(
        int(np.sum(beyond))
        for beyond in (
            row < (-np.inf if lower is None else lower),
            row > (np.inf if upper is None else upper),
        )
    )
    return PercentileCapability(
        found.low,
        found.median,
        found.high,
        found.pp,
        found.ppu,
        found.ppl,
        found.ppk,
        found.fraction_out,
        f"percentiles of the family {family.name}, fitted by maximum likelihood",
        (
            "Stable process (judged elsewhere).",
            (
                f"The family right into its tails: fit and {counted(len(row), 'value')} lie at "
                f"most {percent(gap)} apart; beyond the limits were {outside} values, "
                f"{found.fraction_out * len(row):.2g} expected. The tails themselves cannot be "
                "checked."
            ),
        ),
    )
