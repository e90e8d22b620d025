"""The factors of control charts, all computed.

Nothing here is copied from a printed table: ranges of normal samples are integrated, standard
deviations follow from the gamma function. Knows no data.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy.integrate import fixed_quad
from scipy.optimize import brentq
from scipy.special import gammaln, ndtr

from witnessmark.stats import require
from witnessmark.stats.require import Numbers

REACH = 9.0  # standard deviations; what lies beyond weighs less than 1e-18
NODES = 200  # of the Gauss-Legendre rule; more change nothing at 1e-11


@dataclass(frozen=True)
class ControlConstants:
    """The factors for subgroups of n values, named as in the tables of the field.

    Args:
        n: Values per subgroup.
        d2: Mean range in sigmas.
        d3: Standard deviation of the range in sigmas.
        c4: Mean standard deviation in sigmas.
        A2: Limits of means from the mean range, 3 / (d2 sqrt n).
        A3: Limits of means from the mean standard deviation, 3 / (c4 sqrt n).
        B3: Lower limit of standard deviations from their mean, never below 0.
        B4: Upper limit of standard deviations from their mean.
        B5: Lower limit of standard deviations from a given sigma, never below 0.
        B6: Upper limit of standard deviations from a given sigma.
        D1: Lower limit of ranges from a given sigma, never below 0.
        D2: Upper limit of ranges from a given sigma.
        D3: Lower limit of ranges from the mean range, never below 0.
        D4: Upper limit of ranges from the mean range.
        E2: Limits of individual values from the mean range, 3 / d2.
    """

    n: int
    d2: float
    d3: float
    c4: float
    A2: float
    A3: float
    B3: float
    B4: float
    B5: float
    B6: float
    D1: float
    D2: float
    D3: float
    D4: float
    E2: float
    method: str = "integration of the normal distribution; limits at 3 standard errors"

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What must hold for the factors to mean what they say."""
        return ("Values within a subgroup are independent and normal with one spread.",)

    @property
    def sentence(self) -> str:
        """The factors in words."""
        return (
            f"For subgroups of {self.n} the mean range is {self.d2:.4g} sigma and the mean "
            f"standard deviation {self.c4:.4g} sigma, if values are independent and normal."
        )


def _range_cdf(w: Numbers, n: int) -> Numbers:
    """P(range of n standard normal values <= w), for each w."""

    def density(x: Numbers) -> Numbers:
        inside = ndtr(x + w[:, None]) - ndtr(x)
        found: Numbers = n * np.exp(-(x**2) / 2) / np.sqrt(2 * np.pi) * inside ** (n - 1)
        return found

    return np.asarray(fixed_quad(density, -REACH, REACH, n=NODES)[0], dtype=float)


@cache
def d2(n: int) -> float:
    """Gives the mean range of n independent normal values, in sigmas.

    d2 = integral of P(range > w) over w from 0 on.

    Args:
        n: Values per subgroup, at least 2.

    Returns:
        The factor.

    Raises:
        UnfitNumbersError: n not whole or below 2 (n = 0 and missing included).

    Shapes:
        n: one number.

    Units:
        Standard deviations of the single value.

    Assumes:
        Independent normal values of one spread.

    Source:
        Tippett, Biometrika 17 (1925) 364-387 (memory); checked against the ASTM table of factors.

    Examples:
        >>> round(d2(5), 5)
        2.32593
    """
    size = require.count("n", n, least=2)

    def beyond(w: Numbers) -> Numbers:
        return 1 - _range_cdf(w, size)

    return float(fixed_quad(beyond, 0, 2 * REACH, n=NODES)[0])


@cache
def d3(n: int) -> float:
    """Gives the standard deviation of the range of n independent normal values, in sigmas.

    d3^2 = 2 x integral of w P(range > w) over w, less d2^2.

    Args:
        n: Values per subgroup, at least 2.

    Returns:
        The factor.

    Raises:
        UnfitNumbersError: n not whole or below 2.

    Shapes:
        n: one number.

    Units:
        Standard deviations of the single value.

    Assumes:
        Independent normal values of one spread.

    Source:
        Tippett, Biometrika 17 (1925) 364-387 (memory); checked against the ASTM table of factors.

    Examples:
        >>> round(d3(5), 5)
        0.86408
    """
    size = require.count("n", n, least=2)

    def beyond(w: Numbers) -> Numbers:
        return 2 * w * (1 - _range_cdf(w, size))

    square = fixed_quad(beyond, 0, 2 * REACH, n=NODES)[0]
    return float(np.sqrt(square - d2(size) ** 2))


@cache
def c4(n: int) -> float:
    """Gives the mean standard deviation of n independent normal values, in sigmas.

    c4 = sqrt(2 / (n - 1)) gamma(n / 2) / gamma((n - 1) / 2).

    Args:
        n: Values per subgroup, at least 2.

    Returns:
        The factor.

    Raises:
        UnfitNumbersError: n not whole or below 2.

    Shapes:
        n: one number.

    Units:
        Standard deviations of the single value.

    Assumes:
        Independent normal values of one spread.

    Source:
        NIST/SEMATECH e-Handbook, section 6.3.2.1.

    Examples:
        >>> round(c4(5), 6)
        0.939986
    """
    size = require.count("n", n, least=2)
    return float(np.sqrt(2 / (size - 1)) * np.exp(gammaln(size / 2) - gammaln((size - 1) / 2)))


@cache
def median_range(n: int) -> float:
    """Gives the median range of n independent normal values, in sigmas (d4 in some tables).

    Args:
        n: Values per subgroup, at least 2.

    Returns:
        The factor.

    Raises:
        UnfitNumbersError: n not whole or below 2.

    Shapes:
        n: one number.

    Units:
        Standard deviations of the single value.

    Assumes:
        Independent normal values of one spread.

    Source:
        Median of the distribution of the range; n = 2 in closed form is sqrt 2 x 0.6745.

    Examples:
        >>> round(median_range(2), 6)
        0.953873
    """
    size = require.count("n", n, least=2)
    return float(brentq(lambda w: _range_cdf(np.array([w]), size)[0] - 0.5, 0, REACH, xtol=1e-13))


@cache
def control_constants(n: int) -> ControlConstants:
    """Gives all factors of control charts for subgroups of n values.

    Args:
        n: Values per subgroup, at least 2.

    Returns:
        The factors, named as in the tables of the field.

    Raises:
        UnfitNumbersError: n not whole or below 2.

    Shapes:
        n: one number.

    Units:
        Factors of a mean range, a mean standard deviation or sigma, as each is described.

    Assumes:
        Independent normal values of one spread within a subgroup.

    Source:
        ASTM Manual on Presentation of Data and Control Chart Analysis, table of factors (memory);
        NIST/SEMATECH e-Handbook, section 6.3.2.1.

    Examples:
        >>> found = control_constants(5)
        >>> round(found.A2, 3), round(found.D4, 3), round(found.B4, 3), round(found.E2, 3)
        (0.577, 2.114, 2.089, 1.29)
    """
    mean_range, spread, mean_sd = d2(n), d3(n), c4(n)
    wide = 3 * np.sqrt(1 - mean_sd**2)
    return ControlConstants(
        n=int(n),
        d2=mean_range,
        d3=spread,
        c4=mean_sd,
        A2=float(3 / (mean_range * np.sqrt(n))),
        A3=float(3 / (mean_sd * np.sqrt(n))),
        B3=float(max(0.0, 1 - wide / mean_sd)),
        B4=float(1 + wide / mean_sd),
        B5=float(max(0.0, mean_sd - wide)),
        B6=float(mean_sd + wide),
        D1=max(0.0, mean_range - 3 * spread),
        D2=mean_range + 3 * spread,
        D3=max(0.0, 1 - 3 * spread / mean_range),
        D4=1 + 3 * spread / mean_range,
        E2=3 / mean_range,
    )
