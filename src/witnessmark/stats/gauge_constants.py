"""The factors of the average-and-range gauge study, all computed. Knows no data."""

from functools import cache

import numpy as np

from witnessmark.stats import require
from witnessmark.stats.control_constants import d2, d3


@cache
def d2_star(m: int, g: int) -> float:
    """Gives the divisor of the mean of g ranges of m values, right for the square of the estimate.

    d2* = sqrt(d2(m)^2 + d3(m)^2 / g); it nears d2 as ranges grow many.

    Args:
        m: Values in each range, at least 2.
        g: Number of ranges averaged, at least 1.

    Returns:
        The factor.

    Raises:
        UnfitNumbersError: m below 2, g below 1, or not whole.

    Shapes:
        m, g: one number each.

    Units:
        Standard deviations of the single value.

    Assumes:
        Independent normal values of one spread.

    Source:
        Duncan, Quality Control and Industrial Statistics, table of d2* (memory).

    Examples:
        >>> round(d2_star(10, 1), 5)
        3.17905
    """
    ranges = require.count("g", g, least=1)
    return float(np.sqrt(d2(m) ** 2 + d3(m) ** 2 / ranges))


def k1(trials: int) -> float:
    """Gives the factor from the mean range of trials to the repeatability, 1 / d2(trials).

    Args:
        trials: Readings of one part by one appraiser, at least 2.

    Returns:
        The factor.

    Raises:
        UnfitNumbersError: trials not whole or below 2.

    Shapes:
        trials: one number.

    Units:
        A factor without unit.

    Assumes:
        Many ranges are averaged (15 or more), so that d2 may stand for d2*.

    Source:
        AIAG, Measurement Systems Analysis, average and range method (memory).

    Examples:
        >>> round(k1(3), 4)
        0.5908
    """
    return 1 / d2(trials)


def k2(appraisers: int) -> float:
    """Gives the factor from the range of appraiser means to their spread, 1 / d2*(appraisers, 1).

    Args:
        appraisers: Number of appraisers, at least 2.

    Returns:
        The factor.

    Raises:
        UnfitNumbersError: appraisers not whole or below 2.

    Shapes:
        appraisers: one number.

    Units:
        A factor without unit.

    Assumes:
        One range, of normal values.

    Source:
        AIAG, Measurement Systems Analysis, average and range method (memory).

    Examples:
        >>> round(k2(3), 4)
        0.5231
    """
    return 1 / d2_star(appraisers, 1)


def k3(parts: int) -> float:
    """Gives the factor from the range of part means to their spread, 1 / d2*(parts, 1).

    Args:
        parts: Number of parts, at least 2.

    Returns:
        The factor.

    Raises:
        UnfitNumbersError: parts not whole or below 2.

    Shapes:
        parts: one number.

    Units:
        A factor without unit.

    Assumes:
        One range, of normal values.

    Source:
        AIAG, Measurement Systems Analysis, average and range method (memory).

    Examples:
        >>> round(k3(10), 4)
        0.3146
    """
    return 1 / d2_star(parts, 1)
