"""Control charts of counts: nonconforming pieces (p, np) and nonconformities (c, u).

Knows no plant; positions count from 0 in the results and from 1 in sentences.
"""

import numpy as np
from numpy.typing import ArrayLike
from scipy.stats import chi2

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.control_chart import ControlChart, chart, enough_points
from witnessmark.stats.control_charts import LEAST_POINTS
from witnessmark.stats.require import Numbers


def p_chart(found: ArrayLike, n: ArrayLike, p: float | None = None) -> ControlChart:
    """Gives the chart of shares nonconforming; subgroup sizes may differ.

    p-bar = sum(found) / sum(n); limits p-bar ± 3 sqrt(p-bar (1 - p-bar) / n), not below 0.

    Args:
        found: Nonconforming pieces in each subgroup, in time order.
        n: Pieces looked at: one number for all subgroups or one for each.
        p: Share adopted earlier; p-bar where None.

    Returns:
        The chart of shares.

    Raises:
        UnfitNumbersError: Fewer than five subgroups (one if p is given), missing or negative
            counts, more found than looked at, n = 0, or a p-bar of exactly 0 or 1.

    Shapes:
        found: (n_points,); n: one number or (n_points,)

    Units:
        Shares 0..1.

    Assumes:
        Pieces independent with one chance (binomial); the spread between subgroups is held
        against it and said.

    Source:
        NIST/SEMATECH e-Handbook, section 6.3.3.2.

    Examples:
        >>> found = p_chart([4, 6, 3, 15, 5, 3], 50)
        >>> round(found.centre[0], 2), found.outside
        (0.12, (3,))
    """
    counts, sizes, centre = _binomial(found, n, p)
    error = np.sqrt(centre * (1 - centre) / sizes)
    return chart(
        "shares nonconforming",
        counts / sizes,
        np.full(len(counts), centre),
        error,
        _method("binomial", p),
        _assumed((counts / sizes - centre) / error, p, "binomial"),
        floor=0.0,
    )


def np_chart(found: ArrayLike, n: ArrayLike, p: float | None = None) -> ControlChart:
    """Gives the chart of numbers nonconforming; where sizes differ the centre moves with them.

    Limits n p-bar ± 3 sqrt(n p-bar (1 - p-bar)), not below 0.

    Args:
        found: Nonconforming pieces in each subgroup, in time order.
        n: Pieces looked at: one number for all subgroups or one for each.
        p: Share adopted earlier; p-bar where None.

    Returns:
        The chart of numbers.

    Raises:
        UnfitNumbersError: As `p_chart`.

    Shapes:
        found: (n_points,); n: one number or (n_points,)

    Units:
        Pieces.

    Assumes:
        Pieces independent with one chance (binomial).

    Source:
        Montgomery, Introduction to Statistical Quality Control, np chart (memory).

    Examples:
        >>> found = np_chart([4, 6, 3, 15, 5, 3], 50)
        >>> found.centre[0], found.outside
        (6.0, (3,))
    """
    counts, sizes, centre = _binomial(found, n, p)
    error = np.sqrt(sizes * centre * (1 - centre))
    return chart(
        "numbers nonconforming",
        counts,
        sizes * centre,
        error,
        _method("binomial", p),
        _assumed((counts - sizes * centre) / error, p, "binomial"),
        floor=0.0,
    )


def c_chart(counts: ArrayLike, c: float | None = None) -> ControlChart:
    """Gives the chart of nonconformities in equal areas of opportunity.

    Limits c-bar ± 3 sqrt(c-bar), not below 0.

    Args:
        counts: Nonconformities in each subgroup, in time order.
        c: Mean count adopted earlier; the mean of counts where None.

    Returns:
        The chart of counts.

    Raises:
        UnfitNumbersError: Fewer than five counts (one if c is given), missing, negative or
            broken ones, or none found at all with no c given.

    Shapes:
        counts: (n_points,)

    Units:
        Nonconformities.

    Assumes:
        Independent nonconformities at a constant rate (Poisson); checked by their spread.

    Source:
        NIST/SEMATECH e-Handbook, section 6.3.3.1.

    Examples:
        >>> found = c_chart([16, 14, 28, 16, 12, 20, 6])
        >>> round(found.centre[0], 1), found.outside
        (16.0, ())
    """
    found = _counts("counts", counts, LEAST_POINTS if c is None else 1)
    centre = _rate(float(found.mean()), c, "c")
    error = np.full(len(found), np.sqrt(centre))
    return chart(
        "numbers of nonconformities",
        found,
        np.full(len(found), centre),
        error,
        _method("Poisson", c),
        _assumed((found - centre) / error, c, "Poisson"),
        floor=0.0,
    )


def u_chart(counts: ArrayLike, exposure: ArrayLike, u: float | None = None) -> ControlChart:
    """Gives the chart of nonconformities per unit of exposure.

    u-bar = sum(counts) / sum(exposure); limits u-bar ± 3 sqrt(u-bar / exposure), not below 0.

    Args:
        counts: Nonconformities in each subgroup, in time order.
        exposure: Area of opportunity of each: metres, hours, pieces.
        u: Rate adopted earlier; u-bar where None.

    Returns:
        The chart of rates.

    Raises:
        UnfitNumbersError: As `c_chart`; also an exposure of 0 or below, or another length.

    Shapes:
        counts, exposure: (n_points,)

    Units:
        Nonconformities per unit of exposure.

    Assumes:
        Independent nonconformities at a constant rate (Poisson); checked by their spread.

    Source:
        Montgomery, Introduction to Statistical Quality Control, u chart (memory).

    Examples:
        >>> found = u_chart([4, 3, 3, 4, 5, 9], [2.0, 2.0, 2.0, 2.5, 2.5, 3.0])
        >>> round(found.centre[0], 1), found.outside
        (2.0, ())
    """
    found = _counts("counts", counts, LEAST_POINTS if u is None else 1)
    over = require.numbers("exposure", exposure)
    require.same_length(counts=found, exposure=over)
    if np.any(over <= 0):
        raise UnfitNumbersError(f"exposure = {over.min()}", "exposures above 0")
    centre = _rate(float(found.sum() / over.sum()), u, "u")
    error = np.sqrt(centre / over)
    return chart(
        "nonconformities per unit",
        found / over,
        np.full(len(found), centre),
        error,
        _method("Poisson", u),
        _assumed((found / over - centre) / error, u, "Poisson"),
        floor=0.0,
    )


def _counts(name: str, values: ArrayLike, least: int) -> Numbers:
    row = require.numbers(name, values, least=least)
    for value in row[(row < 0) | (row != np.floor(row))]:
        require.count(name, value)
    return row


def _binomial(found: ArrayLike, n: ArrayLike, p: float | None) -> tuple[Numbers, Numbers, float]:
    counts = _counts("found", found, LEAST_POINTS if p is None else 1)
    given = np.asarray(n, dtype=float)
    sizes = _counts("n", np.full(len(counts), given) if given.ndim == 0 else given, 1)
    require.same_length(found=counts, n=sizes)
    for x, size in zip(counts, sizes, strict=True):
        require.found_of(x, require.count("n", size, least=1))
    if p is not None:
        return counts, sizes, require.share("p", p)
    centre = float(counts.sum() / sizes.sum())
    if centre in {0.0, 1.0}:
        raise UnfitNumbersError(
            f"found: a share of exactly {centre:g} in all subgroups",
            "some of both kinds, or a share adopted earlier; bound the share by an interval",
        )
    return counts, sizes, centre


def _rate(mean: float, given: float | None, name: str) -> float:
    if given is not None:
        return require.above(name, given)
    if mean == 0:
        raise UnfitNumbersError(
            "counts: none found", "at least one, or a rate adopted earlier; bound the rate"
        )
    return mean


def _method(family: str, given: float | None) -> str:
    where = "centre from these counts" if given is None else "centre given"
    return f"{family} 3-sigma limits, {where}"


def _assumed(z: Numbers, given: float | None, family: str) -> tuple[str, ...]:
    df = len(z) - (given is None)
    ratio = float(np.sum(z**2)) / df
    p = float(chi2.sf(ratio * df, df))
    return (
        (
            f"Counts {family} (independent, one chance): spread between subgroups "
            f"is {ratio:.2f} times what that gives (as large or larger by chance: p = {p:.2g}); "
            "well above 1 the limits are too narrow, well below 1 the subgroups are mixed or the "
            "counts smoothed."
        ),
        enough_points(len(z)),
    )
