"""What a control chart is once computed: points, centre, limits, and the points outside.

Positions count from 0 in the results and from 1 in sentences. Knows no data and no plant.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from witnessmark.stats.require import Numbers
from witnessmark.stats.result import counted

SETTLED_POINTS = 20  # fewer give provisional limits (common practice, no source)
LIMIT_SIGMAS = 3.0
ROUNDING = 1e-9  # in standard errors: a point on its limit is not beyond it


@dataclass(frozen=True)
class ControlChart:
    """The points of one chart with their centre and limits.

    Args:
        kind: What is plotted.
        points: The plotted values.
        centre: Centre line at each point.
        lower: Lower limit at each point.
        upper: Upper limit at each point.
        z: Each point less its centre, in its standard errors: the input of run rules.
        outside: Positions (from 0) of the points beyond a limit; a point on it is not beyond.
        method: How the limits were found.
        assumptions: What must hold, with what was checked.
    """

    kind: str
    points: tuple[float, ...]
    centre: tuple[float, ...]
    lower: tuple[float, ...]
    upper: tuple[float, ...]
    z: tuple[float, ...]
    outside: tuple[int, ...]
    method: str
    assumptions: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """The chart in words."""
        looked_at = (
            f"{self.kind[0].upper()}{self.kind[1:]}: of {counted(len(self.points), 'point')}"
        )
        limits = f" limits {_span(self.lower)} to {_span(self.upper)}, centre {_span(self.centre)}."
        if not self.outside:
            return (
                f"{looked_at} none lies outside the limits;{limits} This does not show that the "
                "process did not change: small shifts take many points to show."
            )
        named = ", ".join(str(place + 1) for place in self.outside)
        return (
            f"{looked_at} {len(self.outside)} "
            f"{'lies' if len(self.outside) == 1 else 'lie'} outside the limits (counting from 1: "
            f"{named});{limits} A point outside asks what differed there; now and then one comes "
            "by chance, more often the longer the chart."
        )


@dataclass(frozen=True)
class ChartPair:
    """A chart of location with its chart of spread.

    Args:
        location: Chart of the values or means.
        spread: Chart of moving ranges, ranges or standard deviations.
        mean: Grand mean, or the one given.
        sigma: Standard deviation within subgroups that the limits rest on.
        sizes: Values per subgroup (1 for individuals).
    """

    location: ControlChart
    spread: ControlChart
    mean: float
    sigma: float
    sizes: tuple[int, ...]

    @property
    def method(self) -> str:
        """How the limits were found."""
        return self.location.method

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What must hold, with what was checked."""
        return tuple(dict.fromkeys(self.location.assumptions + self.spread.assumptions))

    @property
    def is_stable(self) -> bool:
        """Whether no point of either chart lies outside its limits."""
        return not (self.location.outside or self.spread.outside)

    @property
    def sentence(self) -> str:
        """Both charts in words."""
        return f"{self.spread.sentence} {self.location.sentence}"


def _span(values: Sequence[float]) -> str:
    low, high = min(values), max(values)
    return f"{low:.5g}" if math.isclose(low, high) else f"{low:.5g}–{high:.5g}"


def chart(
    kind: str,
    points: Numbers,
    centre: Numbers,
    error: Numbers,
    method: str,
    assumptions: tuple[str, ...],
    floor: float = -math.inf,
    width: float = LIMIT_SIGMAS,
) -> ControlChart:
    """Gives the chart of points with centre ± width standard errors, cut at what is possible.

    Args:
        kind: What is plotted.
        points: The plotted values.
        centre: Centre at each point.
        error: Standard error at each point.
        method: How the limits were found.
        assumptions: What must hold.
        floor: Least possible value of a point; a lower limit is not drawn below it.
        width: Limits in standard errors.

    Returns:
        The chart.

    Shapes:
        points, centre, error: (n_points,)

    Units:
        As the points; z in standard errors.

    Source:
        Shewhart, Economic Control of Quality of Manufactured Product, 1931 (memory).

    Examples:
        >>> x = np.array([1.0, 2.0, 9.0])
        >>> chart("values", x, np.full(3, 2.0), np.ones(3), "given", ()).outside
        (2,)
    """
    z = (points - centre) / error
    lower = np.maximum(centre - width * error, floor)
    low = (centre - lower) / error
    outside = np.flatnonzero((z > width + ROUNDING) | (z < -low - ROUNDING))
    return ControlChart(
        kind,
        tuple(points.tolist()),
        tuple(centre.tolist()),
        tuple(lower.tolist()),
        tuple((centre + width * error).tolist()),
        tuple(z.tolist()),
        tuple(outside.tolist()),
        method,
        assumptions,
    )


def enough_points(n: int) -> str:
    """Says in an assumption whether the points are many enough for settled limits.

    Args:
        n: Number of points.

    Returns:
        A sentence.

    Shapes:
        n: one number.

    Units:
        None.

    Source:
        Common practice, no source: at least 20 points.

    Examples:
        >>> enough_points(12)
        'Limits settled: 12 points, fewer than 20, so the limits are provisional.'
    """
    if n < SETTLED_POINTS:
        return (
            f"Limits settled: {counted(n, 'point')}, fewer than {SETTLED_POINTS}, so the limits "
            "are provisional."
        )
    return f"Limits settled: {counted(n, 'point')}, at least {SETTLED_POINTS}."
