"""Charts that remember: exponentially weighted moving average and cumulative sums.

Knows no plant; positions count from 0 in the results and from 1 in sentences.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.control_chart import ROUNDING, ControlChart, chart
from witnessmark.stats.result import counted


def ewma_chart(
    x: ArrayLike,
    target: float,
    sigma: float,
    weight: float = 0.2,
    width: float = 3.0,
    exact: bool = False,
) -> ControlChart:
    """Gives the chart of the exponentially weighted moving average.

    E[i] = weight x[i] + (1 - weight) E[i - 1] from E = target; limits
    target ± width sigma sqrt(weight / (2 - weight)), or with `exact` those of each point, times
    sqrt(1 - (1 - weight)^(2 i)).

    Args:
        x: Values or means in time order.
        target: Where the process should run.
        sigma: Standard deviation of a plotted value.
        weight: Weight of the newest value, above 0 and at most 1.
        width: Limits in standard errors of the average.
        exact: Whether the first limits are as narrow as the first averages allow.

    Returns:
        The chart of averages.

    Raises:
        UnfitNumbersError: No value, missing ones, sigma or width not above 0, weight outside.

    Shapes:
        x: (n,)

    Units:
        As x.

    Assumes:
        Independent values; target and sigma known from earlier data.

    Source:
        NIST/SEMATECH e-Handbook, section 6.3.2.4; Lucas and Saccucci, Technometrics 32 (1990)
        1-12.

    Examples:
        >>> found = ewma_chart([52.0, 47.0, 53.0], target=50, sigma=2.0539, weight=0.3)
        >>> [round(value, 3) for value in found.points], round(found.upper[0], 4)
        ([50.6, 49.52, 50.564], 52.5884)
    """
    row = require.numbers("x", x)
    spread, wide = require.above("sigma", sigma), require.above("width", width)
    if not 0 < weight <= 1:
        raise UnfitNumbersError(f"weight = {weight}", "a number above 0 and at most 1")
    averages, last = [], float(target)
    for value in row:
        last = weight * value + (1 - weight) * last
        averages.append(last)
    error = np.full(len(row), spread * np.sqrt(weight / (2 - weight)))
    if exact:
        error = error * np.sqrt(1 - (1 - weight) ** (2 * np.arange(1, len(row) + 1)))
    kind = "exact" if exact else "long-run"
    return chart(
        "exponentially weighted averages",
        np.array(averages),
        np.full(len(row), float(target)),
        error,
        f"EWMA, weight {weight:g}, {kind} limits at {wide:g} standard errors",
        ("Values independent (not checked).", "Target and sigma given, known from earlier data."),
        width=wide,
    )


@dataclass(frozen=True)
class CusumChart:
    """Cumulative sums up and down with the points where one is beyond its decision interval.

    Args:
        high: Sums against a rise, at each point.
        low: Sums against a fall, at each point.
        plain: Cumulative sum of x less target, without allowance.
        signals: Positions (from 0) where a sum is above the decision interval.
        k: Allowance.
        h: Decision interval.
        head_start: Where the sums started.
    """

    high: tuple[float, ...]
    low: tuple[float, ...]
    plain: tuple[float, ...]
    signals: tuple[int, ...]
    k: float
    h: float
    head_start: float
    method: str = "tabular cumulative sums"
    assumptions: tuple[str, ...] = (
        "Values independent (not checked).",
        "Target, allowance and decision interval given, chosen before these values were seen.",
    )

    @property
    def sentence(self) -> str:
        """The chart in words."""
        looked_at = f"Cumulative sums of {counted(len(self.plain), 'point')}"
        if not self.signals:
            return (
                f"{looked_at} stay within the decision interval of {self.h:g}. This does not show "
                "that the process stayed on target."
            )
        return (
            f"{looked_at} first pass the decision interval of {self.h:g} at point "
            f"{self.signals[0] + 1} (counting from 1). This speaks for a lasting shift away from "
            "the target that began earlier; it can come by chance, and does not show the cause."
        )


def cusum_chart(
    x: ArrayLike, target: float, k: float, h: float, head_start: float = 0.0
) -> CusumChart:
    """Gives the tabular cumulative sums of values against a target.

    high[i] = max(0, high[i - 1] + x[i] - target - k); low[i] = max(0, low[i - 1] + target - k -
    x[i]); a point signals where either is above h. Sums are not reset after a signal.

    Args:
        x: Values or means in time order.
        target: Where the process should run.
        k: Allowance, half the shift that matters.
        h: Decision interval.
        head_start: Value at which both sums start (fast initial response: h / 2).

    Returns:
        Both sums, the plain sum and the points that signal.

    Raises:
        UnfitNumbersError: No value, missing ones, k negative, h not above 0, or a head start
            below 0 or not below h.

    Shapes:
        x: (n,)

    Units:
        target, k, h, head_start as x.

    Assumes:
        Independent values; target and sigma known from earlier data.

    Source:
        NIST/SEMATECH e-Handbook, section 6.3.2.3; head start: Lucas and Crosier, Technometrics 24
        (1982) 199-205.

    Examples:
        >>> cusum_chart([325.0, 328.3, 327.3, 327.8], target=325, k=0.3175, h=4.1959).signals
        (2, 3)
    """
    row = require.numbers("x", x)
    interval = require.above("h", h)
    if not (np.isfinite(k) and k >= 0):
        raise UnfitNumbersError(f"k = {k}", "a number of at least 0")
    if not 0 <= head_start < interval:
        raise UnfitNumbersError(f"head_start = {head_start}", "a number from 0 to below h")
    high, low = [], []
    up = down = float(head_start)
    for value in row - target:
        up, down = max(0.0, up + value - k), max(0.0, down - value - k)
        high.append(float(up))
        low.append(float(down))
    signals = [
        place
        for place, (one, other) in enumerate(zip(high, low, strict=True))
        if max(one, other) > interval * (1 + ROUNDING)
    ]
    return CusumChart(
        tuple(high),
        tuple(low),
        tuple(np.cumsum(row - target).tolist()),
        tuple(signals),
        float(k),
        float(h),
        float(head_start),
    )
