"""Capability of several stations, cavities or machines: each by itself, never pooled."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.stats import levene

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats.capability import BEYOND_THREE, Capability, process_capability
from witnessmark.stats.result import counted, percent
from witnessmark.stats.run_rules import RunRule
from witnessmark.stats.variance import one_way_anova


@dataclass(frozen=True)
class StationCapabilities:
    """Capability of each station, and whether the stations look alike.

    Args:
        by_station: Station with its capability.
        means_p: Chance of means as far apart if all stations had one mean.
        spreads_p: Chance of spreads as far apart if all stations had one spread.
    """

    by_station: Mapping[str, Capability]
    means_p: float | None
    spreads_p: float
    method: str = (
        "each station by itself; means by one-way analysis of variance, spreads by the "
        "Brown-Forsythe test"
    )

    @property
    def least(self) -> str:
        """The station with the smallest Ppk: the one that product may have come from."""
        return min(self.by_station, key=lambda name: self.by_station[name].ppk.value)

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What must hold, with what was checked."""
        unstable = [name for name, found in self.by_station.items() if not found.is_stable]
        means = "not tested" if self.means_p is None else f"p = {self.means_p:.2g}"
        return (
            f"Each station stable: {len(unstable)} of {len(self.by_station)} are not"
            + (f" ({', '.join(unstable)})." if unstable else "."),
            (
                f"Stations alike, which pooling would need: means {means}, spreads p = "
                f"{self.spreads_p:.2g}. Values are not pooled even where no difference shows."
            ),
        )

    @property
    def sentence(self) -> str:
        """The capabilities in words."""
        each = "; ".join(
            f"{name}: Ppk {found.ppk.value:.2f} ({percent(found.ppk.confidence)} limits "
            f"{found.ppk.lower:.2f} to {found.ppk.upper:.2f})"
            + ("" if found.is_stable else ", not stable")
            for name, found in self.by_station.items()
        )
        return (
            f"{counted(len(self.by_station), 'station')}, each by itself: {each}. They are not "
            "pooled: one index over all stations would describe none of them. The least is that "
            f"of {self.least}."
        )


def station_capabilities(
    groups: Mapping[str, Sequence[ArrayLike]],
    lower: float | None = None,
    upper: float | None = None,
    target: float | None = None,
    confidence: float = 0.95,
    rules: Sequence[RunRule] = BEYOND_THREE,
) -> StationCapabilities:
    """Gives the capability of each station, cavity or machine by itself.

    Args:
        groups: Name of the station with its values in time order, as `process_capability` takes
            them: one row of values, or subgroups.
        lower: Lower tolerance limit, or None.
        upper: Upper tolerance limit, or None.
        target: Where the process should run, or None.
        confidence: Two-sided confidence of the limits of each station.
        rules: Run rules that the plant adopted.

    Returns:
        One capability for each station, and how far the stations differ. There is no pooled one.

    Raises:
        UnfitNumbersError: Fewer than two stations, or what `process_capability` refuses for one.

    Shapes:
        groups: each (n,) or n_subgroups rows of (n_i,)

    Units:
        Limits and target as the values; p as shares 0..1.

    Assumes:
        As `process_capability`, for each station. Limits of different stations hold one at a
        time, not all at once.

    Source:
        Brown and Forsythe, Journal of the American Statistical Association 69 (1974) 364-367
        (memory). That stations are kept apart is common practice, no source.

    Examples:
        >>> left, right = [5.0, 5.2, 4.9, 5.1, 5.0, 4.8], [6.2, 6.4, 6.1, 6.3, 6.2, 6.0]
        >>> found = station_capabilities({"left": left, "right": right}, lower=4, upper=7)
        >>> found.least, found.means_p < 0.001
        ('right', True)
    """
    if len(groups) <= 1:
        raise UnfitNumbersError(f"groups: {len(groups)}", "at least 2 stations")
    found = {
        name: process_capability(values, lower, upper, target, confidence, rules)
        for name, values in groups.items()
    }
    rows = [np.concatenate([np.atleast_1d(row) for row in values]) for values in groups.values()]
    return StationCapabilities(
        found, one_way_anova(rows).p, float(levene(*rows, center="median").pvalue)
    )
