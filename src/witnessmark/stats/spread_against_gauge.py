"""Whether readings spread less than their gauge alone would make them spread."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.stats import chi2

from witnessmark.stats import require
from witnessmark.stats.result import amount, counted

LEAST = 2


@dataclass(frozen=True)
class SpreadAgainstGauge:
    """Spread of readings against the repeatability of their gauge.

    Args:
        n: Number of readings.
        sd: Their standard deviation.
        repeatability: Standard deviation that the gauge alone gives to one reading as recorded.
        ratio: sd / repeatability.
        p: Probability of a ratio as small where the gauge alone made the spread.
        least_ratio: Ratio below which p is under `alpha`.
        alpha: The probability taken as too small.
        assumptions: What must hold.
    """

    n: int
    sd: float
    repeatability: float
    ratio: float
    p: float
    least_ratio: float
    alpha: float
    assumptions: tuple[str, ...]
    method: str = "chi-square of the variance, lower tail"

    @property
    def flat(self) -> bool:
        """Whether all readings are the same."""
        return self.sd == 0

    @property
    def smaller(self) -> bool:
        """Whether the spread is smaller than the gauge lets expect."""
        return self.p < self.alpha

    @property
    def sentence(self) -> str:
        """The comparison in words."""
        if self.flat:
            spread = "are all the same"
        else:
            spread = (
                f"spread with {amount(self.sd)}, {self.ratio:.2f} of what the gauge alone gives"
            )
        verdict = "less than" if self.smaller else "not less than"
        return (
            f"{counted(self.n, 'reading')} {spread} ({amount(self.repeatability)}): {verdict} "
            f"chance lets expect (probability {self.p:.2g}; below {self.least_ratio:.2f} it is "
            f"under {self.alpha:g}). Averages, rounding or a study of another gauge explain a "
            "small spread too; it does not show how the readings came about."
        )


def spread_against_gauge(
    readings: ArrayLike,
    repeatability_sd: float,
    *,
    averaged_over: int = 1,
    resolution: float | None = None,
    alpha: float = 0.001,
) -> SpreadAgainstGauge:
    """Answers whether readings spread less than the repeatability of their gauge allows.

    (n - 1) s^2 / sigma^2 follows chi-square with n - 1 degrees of freedom where the pieces are
    all alike; true differences between pieces only add to s.

    Args:
        readings: Readings in one series.
        repeatability_sd: Standard deviation of repeated readings of one piece on this gauge.
        averaged_over: Readings behind each recorded value; their mean spreads less.
        resolution: Step of the gauge; used to say what rounding may do. None: not known.
        alpha: Probability taken as too small.

    Returns:
        Ratio, probability, and the ratio at which the probability is `alpha`.

    Raises:
        UnfitNumbersError: Fewer than 2 readings, missing ones, or a repeatability or resolution
            that is not positive.

    Shapes:
        readings: (n,)

    Units:
        Readings, repeatability and resolution in one unit.

    Assumes:
        Normal, independent errors of reading; the repeatability was found on this gauge, by the
        same way of measuring, and is itself taken as exact.

    Source:
        Chi-square test of a variance; common practice, no source for `alpha`.

    Examples:
        >>> found = spread_against_gauge([5.0, 5.1, 5.0, 4.9, 5.0, 5.0], repeatability_sd=0.5)
        >>> round(found.ratio, 2), found.smaller
        (0.13, True)
    """
    values = require.numbers("readings", readings, LEAST)
    sigma = require.above("repeatability_sd", repeatability_sd)
    sigma /= np.sqrt(require.count("averaged_over", averaged_over, 1))
    require.share("alpha", alpha)
    df = len(values) - 1
    sd = 0.0 if np.ptp(values) == 0 else float(np.std(values, ddof=1))
    return SpreadAgainstGauge(
        n=len(values),
        sd=sd,
        repeatability=float(sigma),
        ratio=float(sd / sigma),
        p=float(chi2.cdf(df * (sd / sigma) ** 2, df)),
        least_ratio=float(np.sqrt(chi2.ppf(alpha, df) / df)),
        alpha=alpha,
        assumptions=(
            "Errors of reading are normal and independent; pieces that differ only add to them.",
            "The repeatability was found on this gauge and way of measuring, and is exact.",
            f"Each value is the mean of {averaged_over} readings."
            if averaged_over > 1
            else "Values are single readings, not averages.",
            *_rounding(resolution, float(sigma)),
        ),
    )


def _rounding(resolution: float | None, sigma: float) -> tuple[str, ...]:
    if resolution is None:
        return ("The step of the gauge is not known: rounding to it may make readings alike.",)
    steps = require.above("resolution", resolution) / sigma
    if steps > 2:  # noqa: PLR2004 - a cell of two sigma holds two thirds of all readings
        return (
            f"One step of the gauge is {steps:.1f} times its repeatability.",
            "Rounding alone makes most readings alike, and the probability means little.",
        )
    return (
        f"One step of the gauge is {steps:.1f} times its repeatability: rounding matters little.",
    )
