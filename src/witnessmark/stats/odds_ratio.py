"""Two shares held against each other: exact for one table, Mantel-Haenszel over several.

Pure arithmetic over scipy; knows no record.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.stats import chi2, fisher_exact, norm
from scipy.stats.contingency import odds_ratio

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.result import amount, chance, counted, percent

PAIR = (2, 2)


@dataclass(frozen=True)
class ExactTable:
    """Two shares a/(a+b) and c/(c+d) held against each other.

    Args:
        a: Found in the first group.
        b: Not found in the first group.
        c: Found in the second group.
        d: Not found in the second group.
        odds_ratio: Conditional maximum likelihood estimate; None where it is endless or unknown.
        lower: Lower limit of the odds ratio.
        upper: Upper limit; None where there is none.
        p_two_sided: Two-sided p, sum over tables no more likely than the one found.
        p_greater: Probability of as many or more in the first group by chance.
        p_less: Probability of as few or fewer in the first group by chance.
        confidence: Confidence of the limits.
    """

    a: int
    b: int
    c: int
    d: int
    odds_ratio: float | None
    lower: float
    upper: float | None
    p_two_sided: float
    p_greater: float
    p_less: float
    confidence: float
    method: str = "exact (Fisher), given all four margins; two-sided by minimum likelihood"
    assumptions: tuple[str, ...] = (
        "Items are independent, within and between the groups.",
        "The groups were not formed after looking at what was found.",
    )

    @property
    def sentence(self) -> str:
        """Both shares, and how often chance alone would part them so far."""
        first, second = self.a + self.b, self.c + self.d
        if not first or not second:
            return "One of the groups is empty: there is nothing to hold against each other."
        return (
            f"{self.a:,} of {first:,} ({percent(self.a / first)}) against {self.c:,} of "
            f"{second:,} ({percent(self.c / second)}); chance alone would part them at least so "
            f"far with probability p {chance(self.p_two_sided)}. This says nothing of the cause."
        )


def exact_table(a: int, b: int, c: int, d: int, confidence: float = 0.95) -> ExactTable:
    """Holds two shares a/(a+b) and c/(c+d) against each other, exactly.

    Args:
        a: Found in the first group.
        b: Not found in the first group.
        c: Found in the second group.
        d: Not found in the second group.
        confidence: Two-sided confidence of the odds ratio's limits.

    Returns:
        Odds ratio with limits, and p to each side. An empty row or column says nothing: no odds
        ratio, limits 0 and None, p 1.

    Raises:
        UnfitNumbersError: Counts missing, negative or not whole.

    Shapes:
        All single numbers.

    Units:
        Odds ratio, a number; probabilities 0..1.

    Assumes:
        Independent items; groups formed beforehand.

    Source:
        Fisher, Statistical Methods for Research Workers, 1934, section 21.02; limits: Cornfield
        1956 as in scipy.stats.contingency.odds_ratio (conditional).

    Examples:
        >>> found = exact_table(7, 1, 3, 17)
        >>> round(found.p_two_sided, 4), round(found.odds_ratio, 1)
        (0.0007, 32.3)
    """
    a, b, c, d = (require.count(k, n) for k, n in zip("abcd", (a, b, c, d), strict=True))
    table = np.array([[a, b], [c, d]])
    require.share("confidence", confidence)
    if 0 in {*table.sum(axis=0).tolist(), *table.sum(axis=1).tolist()}:
        return ExactTable(a, b, c, d, None, 0.0, None, 1.0, 1.0, 1.0, confidence)
    ratio = odds_ratio(table)
    limits = ratio.confidence_interval(confidence)
    return ExactTable(
        a,
        b,
        c,
        d,
        _finite(ratio.statistic),
        float(limits.low),
        _finite(limits.high),
        float(fisher_exact(table).pvalue),
        float(fisher_exact(table, alternative="greater").pvalue),
        float(fisher_exact(table, alternative="less").pvalue),
        confidence,
    )


@dataclass(frozen=True)
class CommonOddsRatio:
    """An odds ratio common to several tables, such as machines or weeks.

    Args:
        odds_ratio: Mantel-Haenszel estimate; None where no table holds it.
        lower: Lower limit; None without estimate.
        upper: Upper limit; None without estimate.
        statistic: Test statistic with continuity correction, one degree of freedom.
        p_two_sided: Its p; 1 where no table tells anything.
        tables: Tables given.
        informative: Tables that tell something (no empty margin).
        same_direction: Informative tables that lean to the same side as the estimate.
        confidence: Confidence of the limits.
    """

    odds_ratio: float | None
    lower: float | None
    upper: float | None
    statistic: float
    p_two_sided: float
    tables: int
    informative: int
    same_direction: int
    confidence: float
    method: str = (
        "Mantel-Haenszel odds ratio, Robins-Breslow-Greenland limits; Cochran-Mantel-Haenszel test "
        "with continuity correction"
    )

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What must hold, and how far the tables agree."""
        agree = f"{self.same_direction} of {self.informative} that tell something"
        return (
            "Items are independent within each table.",
            f"The odds ratio is alike in all tables: {agree} lean to the same side.",
        )

    @property
    def sentence(self) -> str:
        """The common ratio with its limits."""
        told = f"{self.informative:,} of {counted(self.tables, 'table')} tell something"
        if self.odds_ratio is None or self.lower is None or self.upper is None:
            return f"{told}; no common odds ratio can be stated (p {chance(self.p_two_sided)})."
        return (
            f"{told}; compared like with like, the odds are {amount(self.odds_ratio)} times those "
            f"of the second group, with {percent(self.confidence)} confidence between "
            f"{amount(self.lower)} and {amount(self.upper)} (p {chance(self.p_two_sided)})."
        )


def mantel_haenszel(
    tables: Sequence[ArrayLike] | NDArray[np.int64], confidence: float = 0.95
) -> CommonOddsRatio:
    """Gives the odds ratio common to several tables: like is compared with like only.

    Ratio = sum(a d / n) / sum(b c / n). Limits: variance of its logarithm
    sum(P R) / 2R+^2 + sum(P S + Q R) / 2 R+ S+ + sum(Q S) / 2S+^2 with P = (a + d) / n,
    Q = (b + c) / n, R = a d / n, S = b c / n.

    Args:
        tables: Tables [[a, b], [c, d]] of found and not found in two groups, one per stratum.
        confidence: Two-sided confidence.

    Returns:
        The ratio with limits and test; None for the ratio where sum(a d / n) or sum(b c / n) is 0.

    Raises:
        UnfitNumbersError: Tables of another shape, or counts missing, negative or not whole.

    Shapes:
        tables: (strata, 2, 2)

    Units:
        Odds ratio, a number; probability 0..1.

    Assumes:
        Independent items; one odds ratio for all tables.

    Source:
        Mantel and Haenszel, JNCI 22 (1959) 719-748; Robins, Breslow and Greenland, Biometrics 42
        (1986) 311-323 (memory).

    Examples:
        >>> found = mantel_haenszel([[[8, 32], [4, 36]], [[6, 14], [3, 17]]])
        >>> round(found.odds_ratio, 2), found.informative
        (2.32, 2)
    """
    cells = np.asarray(tables, dtype=float)
    if cells.ndim != 1 + len(PAIR) or cells.shape[1:] != PAIR:
        raise UnfitNumbersError(f"tables of shape {cells.shape}", "the shape (strata, 2, 2)")
    if not np.all(np.isfinite(cells) & (cells >= 0) & (cells == np.floor(cells))):
        raise UnfitNumbersError("missing, negative or broken counts", "whole numbers from 0")
    z = float(norm.isf((1 - require.share("confidence", confidence)) / 2))
    telling = (cells.sum(axis=1) > 0).all(axis=1) & (cells.sum(axis=2) > 0).all(axis=1)
    a, b, c, d = cells[telling].reshape(-1, 4).T
    n = a + b + c + d
    statistic = _cochran(a, a + b, a + c, n)
    r, s = a * d / n, b * c / n
    over, under = float(r.sum()), float(s.sum())
    ratio = over / under if over and under else None
    lower = upper = None
    if ratio is not None:
        p, q = (a + d) / n, (b + c) / n
        mixed = float(np.sum(p * s + q * r)) / (2 * over * under)
        variance = float(p @ r) / (2 * over**2) + mixed + float(q @ s) / (2 * under**2)
        half = float(np.exp(z * np.sqrt(variance)))
        lower, upper = ratio / half, ratio * half
    return CommonOddsRatio(
        ratio,
        lower,
        upper,
        statistic,
        float(chi2.sf(statistic, 1)),
        len(cells),
        len(n),
        int(np.sum((r > s) if over > under else (r < s))),
        confidence,
    )


def _cochran(
    a: require.Numbers, row: require.Numbers, column: require.Numbers, n: require.Numbers
) -> float:
    if not len(n):
        return 0.0
    variance = row * (n - row) * column * (n - column) / (n**2 * (n - 1))
    apart = abs(float(np.sum(a - row * column / n)))
    return float(max(0.0, apart - 1 / 2) ** 2 / variance.sum())


def _finite(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
