"""Many looks at once: how many false alarms to expect, and which alarms to keep.

Rules that a record breaks are facts and need none of this; patterns found by looking do.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
import scipy
from numpy.typing import ArrayLike

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.result import amount, counted, percent

Dependence = Literal["positive", "any"]


@dataclass(frozen=True)
class FalseDiscovery:
    """Which of many alarms to keep.

    Args:
        adjusted: Each p adjusted: the smallest rate at which it would be kept.
        kept: Which are kept.
        rate: Share of false ones accepted among those kept.
        dependence: "positive" (Benjamini-Hochberg) or "any" (Benjamini-Yekutieli).
    """

    adjusted: tuple[float, ...]
    kept: tuple[bool, ...]
    rate: float
    dependence: Dependence

    @property
    def method(self) -> str:
        """Which procedure."""
        named = "Hochberg" if self.dependence == "positive" else "Yekutieli"
        return f"false discovery rate, Benjamini-{named}"

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What must hold."""
        among = "independent or lean the same way" if self.dependence == "positive" else "any"
        return (
            "All looks that were taken are in the list, also those without alarm.",
            f"Dependence of the looks: {among}.",
        )

    @property
    def sentence(self) -> str:
        """How many stay."""
        return (
            f"Of {counted(len(self.kept), 'look')}, {sum(self.kept):,} stand out when on average "
            f"at most {percent(self.rate)} of those kept may be chance."
        )


def false_discovery(
    p_values: ArrayLike, rate: float = 0.05, dependence: Dependence = "any"
) -> FalseDiscovery:
    """Says which of many looks stand out when only a share of those kept may be chance.

    Args:
        p_values: One p for each look, also for those without alarm; no look keeps none.
        rate: Share of false ones accepted among those kept.
        dependence: "positive" for looks that are independent or lean the same way, "any" otherwise
            (looks at the same machines and shifts mostly share data).

    Returns:
        Adjusted p and which are kept, in the order given.

    Raises:
        UnfitNumbersError: p missing or outside 0..1, rate outside (0, 1), or another dependence.

    Shapes:
        p_values: (looks,)

    Units:
        Probabilities 0..1.

    Assumes:
        Every look that was taken is given.

    Source:
        Benjamini and Hochberg, JRSS B 57 (1995) 289-300; Benjamini and Yekutieli, Annals of
        Statistics 29 (2001) 1165-1188; scipy.stats.false_discovery_control.

    Examples:
        >>> false_discovery([0.0005, 0.02, 0.03, 0.6], dependence="positive").kept
        (True, True, True, False)
        >>> false_discovery([0.0005, 0.02, 0.03, 0.6]).kept
        (True, False, False, False)
    """
    row = require.numbers("p_values", p_values, 0)
    if np.any((row < 0) | (row > 1)):
        raise UnfitNumbersError("p outside 0..1", "probabilities")
    if dependence not in {"positive", "any"}:
        raise UnfitNumbersError(f"dependence = {dependence!r}", "'positive' or 'any'")
    require.share("rate", rate)
    method: Literal["bh", "by"] = "bh" if dependence == "positive" else "by"
    adjusted = scipy.stats.false_discovery_control(row, method=method) if len(row) else row
    kept = tuple((adjusted <= rate).tolist())
    return FalseDiscovery(tuple(adjusted.tolist()), kept, rate, dependence)


@dataclass(frozen=True)
class FalseAlarms:
    """What many looks show by chance alone.

    Args:
        expected: Expected number of false alarms.
        chance_of_any: Chance of at least one, if the looks are independent.
        looks: Number of looks.
        alpha: Chance of a false alarm in one look.
    """

    expected: float
    chance_of_any: float
    looks: int
    alpha: float
    method: str = "looks * alpha"
    assumptions: tuple[str, ...] = (
        "Nothing is wrong anywhere; the expected number needs no independence, the chance does.",
    )

    @property
    def sentence(self) -> str:
        """The expected alarms in words."""
        return (
            f"{counted(self.looks, 'look')} at {percent(self.alpha)} each give about "
            f"{amount(self.expected)} false alarms where nothing is wrong."
        )


def expected_false_alarms(looks: int, alpha: float) -> FalseAlarms:
    """Gives how many alarms chance alone raises in many looks.

    Args:
        looks: Number of looks; 0 gives no alarm.
        alpha: Chance of a false alarm in one look.

    Returns:
        Expected number, and the chance of any.

    Raises:
        UnfitNumbersError: Looks not whole, alpha outside (0, 1).

    Shapes:
        All single numbers.

    Units:
        Alarms; probability 0..1.

    Assumes:
        Nothing is wrong anywhere.

    Source:
        Linearity of expectation.

    Examples:
        >>> expected_false_alarms(60 * 12, 0.05).expected
        36.0
    """
    looks, alpha = require.count("looks", looks), require.share("alpha", alpha)
    return FalseAlarms(looks * alpha, 1 - (1 - alpha) ** looks, looks, alpha)
