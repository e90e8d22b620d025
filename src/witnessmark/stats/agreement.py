"""Agreement of judges beyond chance: kappa of two judges, weighted kappa, kappa of many.

Kappa alone hides which way judges disagree; `attribute_study` counts misses and false alarms.
"""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike
from scipy.stats import norm

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.require import Numbers
from witnessmark.stats.result import counted, percent

Weights = Literal["none", "linear", "quadratic"]
MOST_LIKELY_SOUND = 30  # fewer units: normal limits are rough (common practice, no source)


@dataclass(frozen=True)
class Kappa:
    """Agreement of two judges on the same units.

    Args:
        n: Units judged by both.
        observed: Share of agreement, weighted where weights are.
        expected: Share that the two margins give by chance.
        kappa: (observed - expected) / (1 - expected); None where expected is 1.
        se: Standard error of kappa; None likewise.
        lower: Lower limit; None likewise.
        upper: Upper limit; None likewise.
        se0: Standard error if there were no agreement beyond chance; None likewise or if it is 0.
        z: kappa / se0; None likewise.
        p: Two-sided chance of a z as large without agreement beyond chance; None likewise.
        confidence: Two-sided confidence of the limits.
        method: How it was found.
        assumptions: What must hold.
    """

    n: int
    observed: float
    expected: float
    kappa: float | None
    se: float | None
    lower: float | None
    upper: float | None
    se0: float | None
    z: float | None
    p: float | None
    confidence: float
    method: str
    assumptions: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """The agreement in words."""
        seen = f"On {counted(self.n, 'unit')} two judges agree in {percent(self.observed)}"
        if self.kappa is None or self.lower is None or self.upper is None:
            return (
                f"{seen}; both use one and the same category throughout, so nothing can be said "
                "about agreement beyond chance (kappa is not defined)."
            )
        return (
            f"{seen}, {percent(self.expected)} would come by chance: kappa {self.kappa:.2f} "
            f"({percent(self.confidence)} limits {self.lower:.2f} to {self.upper:.2f}). It does "
            "not show which way they disagree, nor who is right."
        )


@dataclass(frozen=True)
class FleissKappa:
    """Agreement of several judges on the same units.

    Args:
        units: Number of units.
        raters: Judgements of each unit.
        agreement: Mean share of agreeing pairs of judgements (P-bar).
        expected: Share by chance (P-e).
        by_unit: Share of agreeing pairs of each unit.
        shares: Share of each category among all judgements.
        kappa: Agreement beyond chance; None where only one category was used.
        se0: Standard error without agreement beyond chance; None likewise.
        z: kappa / se0; None likewise.
        by_category: Kappa of each category against all others; None for one never or always used.
        z_by_category: Likewise over its standard error.
    """

    units: int
    raters: int
    agreement: float
    expected: float
    by_unit: tuple[float, ...]
    shares: tuple[float, ...]
    kappa: float | None
    se0: float | None
    z: float | None
    by_category: tuple[float | None, ...]
    z_by_category: tuple[float | None, ...]
    method: str = "kappa of Fleiss; standard errors without agreement beyond chance"
    assumptions: tuple[str, ...] = (
        "Units independent; judgements of a unit made without knowledge of one another.",
        "The standard error tests for no agreement; it makes no limits for kappa.",
    )

    @property
    def sentence(self) -> str:
        """The agreement in words."""
        seen = (
            f"{counted(self.units, 'unit')} judged {self.raters} times each: "
            f"{percent(self.agreement)} of pairs of judgements agree"
        )
        if self.kappa is None:
            return f"{seen}; only one category was used, so kappa is not defined."
        return (
            f"{seen}, {percent(self.expected)} would by chance: kappa {self.kappa:.2f}. It does "
            "not show who is right, and no limits are given."
        )


def cohen_kappa(counts: ArrayLike, weights: Weights = "none", confidence: float = 0.95) -> Kappa:
    """Gives the agreement of two judges beyond chance, with its limits.

    With shares p[i, j], margins r[i] and c[j] and weights w (1 on the diagonal):
    observed = sum w p; expected = sum w r c; kappa = (observed - expected) / (1 - expected).

    Args:
        counts: Units by category of the first judge (rows) and the second (columns).
        weights: "none": a disagreement counts 0. "linear": 1 - |i - j| / (k - 1). "quadratic":
            1 - (i - j)^2 / (k - 1)^2. Weights need categories in order.
        confidence: Two-sided confidence of the limits.

    Returns:
        Kappa with limits; None where both judges use one and the same category throughout.

    Raises:
        UnfitNumbersError: Not square, fewer than two categories, counts that are missing,
            negative or broken, no unit at all (n = 0), or confidence outside (0, 1).

    Shapes:
        counts: (n_categories, n_categories)

    Units:
        Shares 0..1; kappa -1..1.

    Assumes:
        Independent units judged independently; some 30 or more for the limits.

    Source:
        Cohen, Psychological Bulletin 70 (1968) 213-220; standard errors: Fleiss, Cohen and
        Everitt, Psychological Bulletin 72 (1969) 323-327 (memory).

    Examples:
        >>> found = cohen_kappa([[88, 14, 18], [10, 40, 10], [2, 6, 12]])
        >>> round(found.kappa, 3), round(found.lower, 3), round(found.upper, 3)
        (0.492, 0.392, 0.591)
        >>> cohen_kappa([[20, 0], [0, 0]]).kappa is None
        True
    """
    table = _square(counts)
    n, size = int(table.sum()), len(table)
    missed = 1 - require.share("confidence", confidence)
    p, weight = table / n, _weights(size, weights)
    rows, columns = p.sum(axis=1), p.sum(axis=0)
    by_chance = np.outer(rows, columns)
    observed, expected = float((weight * p).sum()), float((weight * by_chance).sum())
    method = "kappa of Cohen" + ("" if weights == "none" else f", {weights} weights")
    rough = "fewer than" if n < MOST_LIKELY_SOUND else "at least"
    assumptions = (
        "Units independent; each judge without knowledge of the other (not checked).",
        f"Normal limits: {counted(n, 'unit')}, {rough} {MOST_LIKELY_SOUND}.",
    )
    if np.count_nonzero(rows) == 1 and np.array_equal(rows > 0, columns > 0):
        nothing = (None,) * 7
        return Kappa(n, observed, expected, *nothing, confidence, method, assumptions)
    kappa = (observed - expected) / (1 - expected)
    margins = (weight @ columns)[:, None] + (rows @ weight)[None, :]
    spread = (p * (weight - margins * (1 - kappa)) ** 2).sum()
    spread -= (kappa - expected * (1 - kappa)) ** 2
    spread0 = float((by_chance * (weight - margins) ** 2).sum()) - expected**2
    scale = math.sqrt(n) * (1 - expected)
    se = math.sqrt(max(0.0, float(spread))) / scale
    se0 = math.sqrt(max(0.0, spread0)) / scale
    z = kappa / se0 if se0 > 0 else None
    reach = float(norm.isf(missed / 2)) * se
    return Kappa(
        n,
        observed,
        expected,
        kappa,
        se,
        max(-1.0, kappa - reach),
        min(1.0, kappa + reach),
        se0 if se0 > 0 else None,
        z,
        None if z is None else float(2 * norm.sf(abs(z))),
        confidence,
        method,
        assumptions,
    )


def fleiss_kappa(counts: ArrayLike) -> FleissKappa:
    """Gives the agreement of several judges beyond chance, over all and for each category.

    With m judgements of each of n units and x[i, j] of them in category j: P[i] = (sum of x^2 -
    m) / (m (m - 1)); P-bar their mean; p[j] the share of category j; P-e = sum of p^2; kappa =
    (P-bar - P-e) / (1 - P-e).

    Args:
        counts: Judgements by unit (rows) and category (columns).

    Returns:
        Kappa; None where only one category was used.

    Raises:
        UnfitNumbersError: Not two-dimensional, fewer than two categories or units, counts that
            are missing, negative or broken, units judged unequally often or only once.

    Shapes:
        counts: (n_units, n_categories)

    Units:
        Shares 0..1; kappa at most 1.

    Assumes:
        Independent units, judged equally often and independently.

    Source:
        Fleiss, Psychological Bulletin 76 (1971) 378-382; standard errors: Fleiss, Nee and Landis,
        Psychological Bulletin 86 (1979) 974-977 (memory).

    Examples:
        >>> found = fleiss_kappa([[6, 0], [5, 1], [0, 6], [1, 5], [3, 3]])
        >>> round(found.kappa, 3), [round(value, 3) for value in found.by_category]
        (0.493, [0.493, 0.493])
    """
    table = _counts(counts)
    if min(table.shape) <= 1:
        raise UnfitNumbersError(
            f"counts of shape {table.shape}", "at least 2 units and 2 categories"
        )
    n, m = len(table), int(table[0].sum())
    if np.any(table.sum(axis=1) != m) or m <= 1:
        raise UnfitNumbersError(
            "units judged unequally often or once", "at least 2 judgements, as many of each unit"
        )
    by_unit = ((table**2).sum(axis=1) - m) / (m * (m - 1))
    p = table.sum(axis=0) / (n * m)
    q = 1 - p
    agreement, expected = float(by_unit.mean()), float((p**2).sum())
    used = (p > 0) & (p < 1)
    apart = (table * (m - table)).sum(axis=0)
    each_se = math.sqrt(2 / (n * m * (m - 1)))
    each = [
        float(1 - apart[j] / (n * m * (m - 1) * p[j] * q[j])) if used[j] else None
        for j in range(len(p))
    ]
    kappa = se0 = z = None
    if np.any(used):
        kappa = (agreement - expected) / (1 - expected)
        both = float((p * q).sum())
        inner = both**2 - float((p * q * (q - p)).sum())
        se0 = each_se * math.sqrt(inner) / both
        z = kappa / se0 if se0 > 0 else None
    return FleissKappa(
        n,
        m,
        agreement,
        expected,
        tuple(by_unit.tolist()),
        tuple(p.tolist()),
        kappa,
        se0,
        z,
        tuple(each),
        tuple(None if value is None else value / each_se for value in each),
    )


def _counts(counts: ArrayLike) -> Numbers:
    table = np.asarray(counts, dtype=float)
    if table.ndim != len(("rows", "columns")):
        raise UnfitNumbersError(f"counts with {table.ndim} dimensions", "a table")
    for value in table[~(table >= 0) | (table != np.floor(table))]:
        require.count("counts", value)
    return table


def _square(counts: ArrayLike) -> Numbers:
    table = _counts(counts)
    if table.shape[0] != table.shape[1] or len(table) <= 1:
        raise UnfitNumbersError(
            f"counts of shape {table.shape}", "the same categories for both judges, at least 2"
        )
    if table.sum() == 0:
        raise UnfitNumbersError("counts: no unit", "at least one unit judged by both")
    return table


def _weights(size: int, weights: Weights) -> Numbers:
    apart = np.abs(np.subtract.outer(np.arange(size), np.arange(size))) / (size - 1)
    if weights == "none":
        return np.eye(size)
    if weights not in {"linear", "quadratic"}:
        raise UnfitNumbersError(f"weights = {weights}", "none, linear or quadratic")
    return np.asarray(1 - (apart if weights == "linear" else apart**2))
