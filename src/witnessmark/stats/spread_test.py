"""Whether recorded values spread less than the gauge that measured them lets any values spread."""

import math
from dataclasses import dataclass

from scipy.stats import chi2

from witnessmark.stats import require
from witnessmark.stats.result import counted


@dataclass(frozen=True)
class SpreadBelowGauge:
    """A standard deviation held against the repeatability of the gauge.

    Args:
        sd: Standard deviation of the recorded values.
        repeatability: Standard deviation of the gauge on one part.
        n: Recorded values.
        ratio: sd / repeatability.
        p: Chance of a standard deviation as small or smaller from identical parts.
    """

    sd: float
    repeatability: float
    n: int
    ratio: float
    p: float
    method: str = "chi-square distribution of the sample variance, lower tail"
    assumptions: tuple[str, ...] = (
        "Values independent and normal, single readings and no means of several.",
        "The repeatability belongs to this gauge, and is known without error.",
        "Values not rounded more coarsely than in the study of the gauge.",
    )

    @property
    def sentence(self) -> str:
        """The comparison in words."""
        return (
            f"{counted(self.n, 'value')} spread {self.ratio:.2f} times as much as the gauge alone "
            f"on a single part; if all parts were identical, a spread as small or smaller would "
            f"come with p = {self.p:.2g}. This does not say how the values came about: means of "
            "several readings, rounding or another gauge explain it too."
        )


def spread_below_gauge(sd: float, n: int, repeatability: float) -> SpreadBelowGauge:
    """Says how likely so small a spread would be if only the gauge made values differ.

    p = P(chi-square with n - 1 degrees of freedom <= (n - 1) (sd / repeatability)^2). Parts that
    differ make it smaller still.

    Args:
        sd: Standard deviation of the recorded values; 0 for a flat series.
        n: How many they are, at least 2.
        repeatability: Standard deviation of the gauge on one part.

    Returns:
        The ratio and its probability.

    Raises:
        UnfitNumbersError: sd negative or missing, n below 2, repeatability not above 0.

    Shapes:
        One number each.

    Units:
        sd and repeatability in one unit; p a share 0..1.

    Assumes:
        Independent normal single readings with the gauge of the study.

    Source:
        Distribution of the sample variance of normal values.

    Examples:
        >>> spread_below_gauge(0.57, 25, 1.0).p < 0.001 < spread_below_gauge(0.60, 25, 1.0).p
        True
    """
    size, gauge = require.count("n", n, least=2), require.above("repeatability", repeatability)
    spread = 0.0 if sd == 0 else require.above("sd", sd)
    ratio = spread / gauge
    return SpreadBelowGauge(
        spread, gauge, size, ratio, float(chi2.cdf((size - 1) * math.pow(ratio, 2), size - 1))
    )
