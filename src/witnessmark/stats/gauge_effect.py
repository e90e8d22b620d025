"""What the spread of a gauge does to an observed capability, and the way back."""

import math
from dataclasses import dataclass

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.result import percent


@dataclass(frozen=True)
class GaugeEffect:
    """A capability with and without the spread of the gauge.

    Args:
        true: Cp of the parts alone.
        observed: Cp as measured.
        gauge_share: Gauge share of the tolerance, 6 gauge / tolerance.
    """

    true: float
    observed: float
    gauge_share: float
    method: str = "variances of parts and gauge added"
    assumptions: tuple[str, ...] = (
        "Error of the gauge independent of the part, without bias, of one spread over the range.",
        "Both shares refer to the same tolerance.",
    )

    @property
    def sentence(self) -> str:
        """The effect in words."""
        return (
            f"With a gauge that takes {percent(self.gauge_share)} of the tolerance, a true Cp of "
            f"{self.true:.2f} appears as {self.observed:.2f}. This adds no sampling error of "
            "either number."
        )


def observed_capability(true: float, gauge_share: float) -> GaugeEffect:
    """Gives the Cp that a gauge shows of a process with a known true Cp.

    1 / observed^2 = 1 / true^2 + share^2.

    Args:
        true: Cp of the parts alone.
        gauge_share: Gauge share of the tolerance (6 gauge / tolerance); 0 changes nothing.

    Returns:
        Both capabilities.

    Raises:
        UnfitNumbersError: true not above 0, gauge_share negative or not finite.

    Shapes:
        One number each.

    Units:
        gauge_share as a share: 0.3 for 30 %.

    Assumes:
        Gauge error independent of the part and without bias.

    Source:
        Variances add; common practice, no source.

    Examples:
        >>> [round(observed_capability(1.67, share).observed, 2) for share in (0.3, 0.5)]
        [1.49, 1.28]
    """
    value, share = require.above("true", true), _share(gauge_share)
    return GaugeEffect(value, 1 / math.hypot(1 / value, share), share)


def true_capability(observed: float, gauge_share: float) -> GaugeEffect:
    """Gives the Cp of the parts alone behind an observed Cp.

    1 / true^2 = 1 / observed^2 - share^2.

    Args:
        observed: Cp as measured.
        gauge_share: Gauge share of the tolerance (6 gauge / tolerance).

    Returns:
        Both capabilities.

    Raises:
        UnfitNumbersError: observed not above 0, gauge_share negative, or an observed spread that
            the gauge alone exceeds (observed x share of 1 or more).

    Shapes:
        One number each.

    Units:
        gauge_share as a share: 0.3 for 30 %.

    Assumes:
        As `observed_capability`; errors of both numbers grow as the gauge nears the whole.

    Source:
        Variances add; common practice, no source.

    Examples:
        >>> round(true_capability(1.2825, 0.5).true, 2)
        1.67
    """
    value, share = require.above("observed", observed), _share(gauge_share)
    if value * share >= 1:
        raise UnfitNumbersError(
            f"observed = {observed} with a gauge share of {share}",
            "a gauge whose spread is smaller than the spread observed",
        )
    return GaugeEffect(1 / math.sqrt(1 / value**2 - share**2), value, share)


def _share(value: float) -> float:
    if not (math.isfinite(value) and value >= 0):
        raise UnfitNumbersError(f"gauge_share = {value}", "a number of at least 0")
    return float(value)
