"""How far a sample pins a capability index down, and what it must show to meet a requirement.

Plain arithmetic on an observed index; whether the process was stable is judged in `capability`.
"""

import math
from dataclasses import dataclass
from typing import Literal

from scipy.optimize import brentq
from scipy.stats import chi2, nct, norm

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.capability_index import NORMAL
from witnessmark.stats.result import percent

Sides = Literal["two-sided", "lower"]


@dataclass(frozen=True)
class IndexLimits:
    """An observed index with its limits.

    Args:
        value: The observed index.
        lower: Lower limit.
        upper: Upper limit; None for a lower limit alone.
        n: Values it was found from.
        confidence: Confidence of the limits.
        method: How they were found.
    """

    value: float
    lower: float
    upper: float | None
    n: int
    confidence: float
    method: str
    assumptions: tuple[str, ...] = NORMAL

    @property
    def sentence(self) -> str:
        """The index in words."""
        known = (
            f"at least {self.lower:.2f}"
            if self.upper is None
            else f"between {self.lower:.2f} and {self.upper:.2f}"
        )
        return (
            f"An observed index of {self.value:.2f} from {self.n} values says, with "
            f"{percent(self.confidence)} confidence, that the true one is {known}, if the process "
            "was stable and its values normal."
        )


@dataclass(frozen=True)
class NeededIndex:
    """What a sample must show before an index may be said to reach a requirement.

    Args:
        needed: Least observed index.
        required: Index required.
        n: Values in the sample.
        confidence: One-sided confidence.
        chance: Chance that a process exactly at the requirement shows it: 1 - confidence.
    """

    needed: float
    required: float
    n: int
    confidence: float
    method: str = "one-sided limit of Bissell's approximation, turned round"
    assumptions: tuple[str, ...] = NORMAL

    @property
    def sentence(self) -> str:
        """The need in words."""
        return (
            f"To say with {percent(self.confidence)} confidence that an index is at least "
            f"{self.required:g}, {self.n} values must show at least {self.needed:.2f}. A lower "
            "observed index does not show that the requirement is missed."
        )


def cp_limits(
    cp: float, n: int, confidence: float = 0.95, sides: Sides = "two-sided"
) -> IndexLimits:
    """Gives the exact limits of an observed Cp or Pp.

    Cp sqrt(chi-square quantile / (n - 1)), with n - 1 degrees of freedom.

    Args:
        cp: Observed index, from the standard deviation of all n values.
        n: Number of values, at least 2.
        confidence: Confidence, between 0 and 1.
        sides: "two-sided", or "lower" for a lower limit alone.

    Returns:
        The index with its limits.

    Raises:
        UnfitNumbersError: cp not above 0, n below 2, or confidence outside (0, 1).

    Shapes:
        One number each.

    Units:
        None.

    Assumes:
        Stable process, independent normal values.

    Source:
        Kotz and Johnson, Process Capability Indices, 1993, chapter 2 (memory).

    Examples:
        >>> found = cp_limits(2.29, 20)
        >>> round(found.lower, 2), round(found.upper, 2)
        (1.57, 3.01)
    """
    value, df = require.above("cp", cp), require.count("n", n, least=2) - 1
    tail = _tail(confidence, sides)
    low = value * math.sqrt(float(chi2.ppf(tail, df)) / df)
    high = value * math.sqrt(float(chi2.ppf(1 - tail, df)) / df)
    method = "chi-square limits of a standard deviation (exact)"
    return IndexLimits(value, low, _kept(high, sides), df + 1, confidence, method)


def cpk_limits(
    cpk: float, n: int, confidence: float = 0.95, sides: Sides = "two-sided"
) -> IndexLimits:
    """Gives the approximate limits of an observed Cpk or Ppk of a two-sided tolerance.

    Cpk ± z sqrt(1 / (9 n) + Cpk^2 / (2 (n - 1))).

    Args:
        cpk: Observed index, from the standard deviation of all n values.
        n: Number of values, at least 2.
        confidence: Confidence, between 0 and 1.
        sides: "two-sided", or "lower" for a lower limit alone.

    Returns:
        The index with its limits.

    Raises:
        UnfitNumbersError: cpk not finite, n below 2, or confidence outside (0, 1).

    Shapes:
        One number each.

    Units:
        None.

    Assumes:
        Stable process, independent normal values, n of about 30 or more.

    Source:
        Bissell, Applied Statistics 39 (1990) 331-340 (memory).

    Examples:
        >>> found = cpk_limits(1.33, 20)
        >>> round(found.lower, 2), round(found.upper, 2)
        (0.88, 1.78)
        >>> [round(cpk_limits(1.33, n, sides="lower").lower, 2) for n in (30, 50, 125, 300)]
        [1.03, 1.1, 1.18, 1.24]
    """
    value = float(require.numbers("cpk", [cpk])[0])
    size = require.count("n", n, least=2)
    reach = float(norm.isf(_tail(confidence, sides))) * _error(value, size)
    method = "normal approximation (Bissell)"
    return IndexLimits(value, value - reach, _kept(value + reach, sides), size, confidence, method)


def one_sided_index_limits(
    index: float, n: int, confidence: float = 0.95, sides: Sides = "two-sided"
) -> IndexLimits:
    """Gives the exact limits of an observed Cpu or Cpl, the index of a one-sided tolerance.

    3 sqrt(n) times the observed index follows a noncentral t distribution with n - 1 degrees of
    freedom and noncentrality 3 sqrt(n) times the true one.

    Args:
        index: Observed index, from the standard deviation of all n values.
        n: Number of values, at least 2.
        confidence: Confidence, between 0 and 1.
        sides: "two-sided", or "lower" for a lower limit alone.

    Returns:
        The index with its limits.

    Raises:
        UnfitNumbersError: index not finite, n below 2, or confidence outside (0, 1).

    Shapes:
        One number each.

    Units:
        None.

    Assumes:
        Stable process, independent normal values.

    Source:
        Chou, Owen and Borrego, Journal of Quality Technology 22 (1990) 223-229 (memory).

    Examples:
        >>> found = one_sided_index_limits(1.33, 20)
        >>> round(found.lower, 2), round(found.upper, 2)
        (0.88, 1.77)
    """
    value = float(require.numbers("index", [index])[0])
    size, tail = require.count("n", n, least=2), _tail(confidence, sides)
    scale = 3 * math.sqrt(size)

    def true_index(beyond: float) -> float:
        """The true index for which the observed one leaves `beyond` above it."""
        reach = 12 * _error(value, size) + 1

        def off(true: float) -> float:
            return float(nct.sf(value * scale, size - 1, true * scale)) - beyond

        return float(brentq(off, value - reach, value + reach, xtol=1e-10))

    method = "noncentral t distribution (exact)"
    high = None if sides == "lower" else true_index(1 - tail)
    return IndexLimits(value, true_index(tail), high, size, confidence, method)


def needed_index(required: float, n: int, confidence: float = 0.95) -> NeededIndex:
    """Gives the observed Cpk or Ppk needed to say that the true one reaches a requirement.

    The observed value whose one-sided lower limit (`cpk_limits`) is the requirement.

    Args:
        required: Index required, above 0.
        n: Number of values.
        confidence: One-sided confidence.

    Returns:
        The least observed index.

    Raises:
        UnfitNumbersError: required not above 0, n too small for any observed value to do, or
            confidence outside (0, 1).

    Shapes:
        One number each.

    Units:
        None.

    Assumes:
        Stable process, independent normal values, n of about 30 or more.

    Source:
        Bissell, Applied Statistics 39 (1990) 331-340 (memory), solved for the observed index.

    Examples:
        >>> [round(needed_index(1.33, n).needed, 2) for n in (50, 125, 300)]
        [1.61, 1.49, 1.43]
    """
    wanted, size = require.above("required", required), require.count("n", n, least=2)
    z = float(norm.isf(_tail(confidence, "lower")))
    room = 1 - z**2 / (2 * (size - 1))
    if room <= 0:
        raise UnfitNumbersError(
            f"n = {size} at {percent(confidence)} confidence", "more values for any index to do"
        )
    # (needed - wanted)^2 = z^2 (1 / (9 n) + needed^2 / (2 (n - 1))), the larger root
    inner = wanted**2 - room * (wanted**2 - z**2 / (9 * size))
    return NeededIndex((wanted + math.sqrt(inner)) / room, wanted, size, confidence)


def _error(index: float, n: int) -> float:
    return math.sqrt(1 / (9 * n) + index**2 / (2 * (n - 1)))


def _tail(confidence: float, sides: Sides) -> float:
    missed = 1 - require.share("confidence", confidence)
    return missed if sides == "lower" else missed / 2


def _kept(high: float, sides: Sides) -> float | None:
    return None if sides == "lower" else high
