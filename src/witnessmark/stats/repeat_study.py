"""A gauge on the same parts day after day: spread within a day, and from day to day."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.stats import chi2

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.result import percent
from witnessmark.stats.variance import summary


@dataclass(frozen=True)
class RepeatStudy:
    """Spread of a gauge within a day and from day to day.

    Args:
        repeatability: Standard deviation of readings within a day, pooled (level 1).
        repeatability_limits: Its limits.
        df: Degrees of freedom of the repeatability.
        repeatability_by_part: The same for each part.
        day_to_day: Standard deviation of the means of days, pooled over parts (level 2).
        day_to_day_by_part: The same for each part.
        confidence: Two-sided confidence of the limits.
    """

    repeatability: float
    repeatability_limits: tuple[float, float]
    df: int
    repeatability_by_part: Mapping[str, float]
    day_to_day: float
    day_to_day_by_part: Mapping[str, float]
    confidence: float
    method: str = "standard deviations pooled by degrees of freedom; limits by chi-square"
    assumptions: tuple[str, ...] = (
        "Parts do not change between days; readings of a day independent (not checked).",
        "One spread on all parts (compare the values by part).",
    )

    @property
    def sentence(self) -> str:
        """The study in words."""
        low, high = self.repeatability_limits
        return (
            f"Within a day readings scatter with a standard deviation of "
            f"{self.repeatability:.3g} ({percent(self.confidence)} limits {low:.3g} to "
            f"{high:.3g}); the means of days scatter with {self.day_to_day:.3g}, the scatter "
            "within a day included. Bias is not shown."
        )


def repeat_study(
    parts: Sequence[object],
    means: ArrayLike,
    sds: ArrayLike,
    readings: int,
    confidence: float = 0.95,
) -> RepeatStudy:
    """Gives the spread of a gauge within days and between days from daily means and deviations.

    repeatability^2 = mean of sd^2 over part-days; day-to-day of a part = standard deviation of
    its daily means; pooled over parts by degrees of freedom.

    Args:
        parts: Part measured, for each part-day.
        means: Mean of the readings of that part-day.
        sds: Standard deviation of the readings of that part-day.
        readings: Readings per part-day, at least 2.
        confidence: Two-sided confidence of the limits of the repeatability.

    Returns:
        Both spreads, pooled and by part.

    Raises:
        UnfitNumbersError: Rows of different length, a part with one day, missing values, a
            negative deviation, deviations that are all 0, fewer than two readings.

    Shapes:
        parts, means, sds: (n_part_days,)

    Units:
        Standard deviations in the unit of the readings.

    Assumes:
        Parts that do not change; independent normal readings (for the limits).

    Source:
        NIST/SEMATECH e-Handbook, section 2.6.1, level-1 and level-2 standard deviations.

    Examples:
        >>> found = repeat_study(["a", "a", "b", "b"], [5.0, 5.2, 7.1, 7.0], [0.1] * 4, 6)
        >>> round(found.repeatability, 3), round(found.day_to_day, 3), found.df
        (0.1, 0.112, 20)
    """
    middles, spreads = require.numbers("means", means), require.numbers("sds", sds)
    require.same_length(parts=list(parts), means=middles, sds=spreads)
    if np.any(spreads < 0) or not np.any(spreads > 0):
        raise UnfitNumbersError(
            f"sds from {spreads.min():g} to {spreads.max():g}",
            "none below 0 and some above; readings that never vary hide the spread of the gauge",
        )
    per_day = require.count("readings", readings, least=2) - 1
    names = [str(part) for part in parts]
    by_part = {name: np.array([one == name for one in names]) for name in dict.fromkeys(names)}
    df = per_day * len(names)
    repeatability = _root_mean_square(spreads)
    tail = (1 - require.share("confidence", confidence)) / 2
    limits = tuple(
        repeatability * math.sqrt(df / float(chi2.isf(share, df))) for share in (tail, 1 - tail)
    )
    days = {name: summary(middles[rows]) for name, rows in by_part.items()}
    day_df = sum(found.n - 1 for found in days.values())
    pooled = math.sqrt(sum((found.n - 1) * found.sd**2 for found in days.values()) / day_df)
    return RepeatStudy(
        repeatability,
        (limits[0], limits[1]),
        df,
        {name: _root_mean_square(spreads[rows]) for name, rows in by_part.items()},
        pooled,
        {name: found.sd for name, found in days.items()},
        confidence,
    )


def _root_mean_square(values: require.Numbers) -> float:
    return math.sqrt(math.fsum(values**2) / len(values))
