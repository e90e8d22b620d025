"""Whether delays of one group are longer than those of another, and by how much.

Such as the time until an attended machine is answered against that of one nobody watches. Delays
are skew, so that they are compared by ranks and not by means.
"""

from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
import scipy
from numpy.typing import ArrayLike

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.require import Numbers
from witnessmark.stats.result import amount, counted, percent

EXACT_UP_TO = 50
PERMUTED_UP_TO = 30
RESAMPLES = 9999


@dataclass(frozen=True)
class DelayComparison:
    """Delays of two groups.

    Args:
        names: Names of the groups.
        n: Number of delays in each.
        medians: Median of each.
        shift: By how much delays of the first group are longer (Hodges-Lehmann): the median of
            all differences first - second.
        lower: Lower limit of the shift; None where the groups are too small for limits.
        upper: Upper limit of the shift; None likewise.
        longer: Probability that a delay of the first group is longer than one of the second
            (equal ones count half).
        p: Probability of so large a difference by chance, two-sided.
        p_method: How p was found.
        confidence: Two-sided confidence of the limits.
        assumptions: What must hold.
    """

    names: tuple[str, str]
    n: tuple[int, int]
    medians: tuple[float, float]
    shift: float
    lower: float | None
    upper: float | None
    longer: float
    p: float
    p_method: str
    confidence: float
    assumptions: tuple[str, ...]
    method: str = "Mann-Whitney test, Hodges-Lehmann shift"

    @property
    def sentence(self) -> str:
        """The comparison in words."""
        (first, second), (m, n) = self.names, self.n
        medians = [amount(median) for median in self.medians]
        way = "longer" if self.shift >= 0 else "shorter"
        return (
            f"The median delay is {medians[0]} min where {first} ({counted(m, 'case')}) and "
            f"{medians[1]} min where {second} ({counted(n, 'case')}); a delay where {first} is "
            f"{amount(abs(self.shift))} min {way} than one where {second} ({self._limit_words()}), "
            f"and longer in {percent(self.longer)} of all pairs. By chance so large a difference "
            f"has probability {self.p:.2g}. It does not show that {first} or {second} is the "
            "cause: the groups may differ in machines, parts or hours."
        )

    def _limit_words(self) -> str:
        """Limits in the direction that the sentence names."""
        if self.lower is None or self.upper is None:
            return "too few cases for limits"
        low, high = (self.lower, self.upper) if self.shift >= 0 else (-self.upper, -self.lower)
        # + 0.0 keeps a zero from being written as negative.
        limits = f"{amount(low + 0.0)} to {amount(high + 0.0)} min"
        return f"{limits}; {percent(self.confidence)} confidence"


def compare_delays(
    first: ArrayLike,
    second: ArrayLike,
    names: tuple[str, str] = ("first", "second"),
    *,
    confidence: float = 0.95,
    generator: np.random.Generator | None = None,
) -> DelayComparison:
    """Answers by how much delays of a group are longer than those of another.

    U counts the pairs with first > second (equal ones half); the shift is the median of all m n
    differences, its limits the differences of rank k and m n + 1 - k, k from the distribution of
    U without a difference.

    Args:
        first: Delays of the first group. A case not answered to the end has no delay: compare by
            `survival_curve` and `logrank` where there are some.
        second: Delays of the second group.
        names: What the groups are, as words that follow "where", such as "attended".
        confidence: Two-sided confidence of the limits.
        generator: For small groups with equal values: p by permutation (all orders where there
            are fewer than 9,999); None: the normal approximation with correction for ties.

    Returns:
        Medians, shift with limits, and the probability. Limits are None where the groups are so
        small that even the extreme differences do not reach the confidence.

    Raises:
        UnfitNumbersError: An empty group, or missing values.

    Shapes:
        first: (m,); second: (n,)

    Units:
        Minutes in the sentence, any one unit else.

    Assumes:
        Cases are independent of one another (cases of one shift often are not); for the shift,
        the delays of both groups are spread alike but for it.

    Source:
        Mann and Whitney, Ann. Math. Statist. 18 (1947) 50-60; Hodges and Lehmann, ibid. 34 (1963)
        598-611; limits: Hollander and Wolfe, Nonparametric Statistical Methods, 2nd ed. 1999, 4.3.

    Examples:
        >>> found = compare_delays([12, 30, 45, 50, 61], [5, 8, 9, 14, 20])
        >>> found.shift, round(found.p, 3), (found.lower, found.upper)
        (31.0, 0.032, (3.0, 52.0))
    """
    x, y = require.numbers("first", first), require.numbers("second", second)
    require.share("confidence", confidence)
    differences = np.sort(np.subtract.outer(x, y).ravel())
    tied = len(np.unique(np.concatenate([x, y]))) < len(x) + len(y)
    p, p_method = _p(x, y, tied, generator)
    outside = _outside(len(x), len(y), confidence)
    return DelayComparison(
        names=names,
        n=(len(x), len(y)),
        medians=(float(np.median(x)), float(np.median(y))),
        shift=float(np.median(differences)),
        lower=float(differences[outside - 1]) if outside else None,
        upper=float(differences[-outside]) if outside else None,
        longer=float(np.mean(differences > 0) + np.mean(differences == 0) / 2),
        p=p,
        p_method=p_method,
        confidence=confidence,
        assumptions=(
            "Cases are independent; cases of one shift or one stop of several machines are not.",
            "Both groups are spread alike but for the shift; else only ranks are compared.",
            f"The probability is by {p_method}"
            + ("; equal delays occur, for which the limits are rather too wide." if tied else "."),
        ),
    )


def compare_delay_groups(
    groups: dict[str, ArrayLike],
    *,
    confidence: float = 0.95,
    generator: np.random.Generator | None = None,
) -> tuple[DelayComparison, ...]:
    """Answers by how much delays differ between any two of several groups.

    Probabilities are corrected for the number of pairs (Holm) and limits are of the confidence
    1 - (1 - confidence) / pairs (Bonferroni), so that all of them hold together.

    Args:
        groups: Name of each group and its delays, such as attended, covered, uncovered.
        confidence: Confidence that all limits hold together.
        generator: As `compare_delays`.

    Returns:
        One comparison for each pair, in the order of the groups.

    Raises:
        UnfitNumbersError: Fewer than two groups, an empty one, or missing values.

    Shapes:
        groups: (n_groups,) rows of any length

    Units:
        As `compare_delays`.

    Assumes:
        As `compare_delays`.

    Source:
        Holm, Scand. J. Statist. 6 (1979) 65-70.

    Examples:
        >>> found = compare_delay_groups({"attended": [3, 4, 6, 7], "uncovered": [31, 45, 50, 70]})
        >>> [one.names for one in found]
        [('attended', 'uncovered')]
    """
    pairs = list(combinations(groups, 2))
    if not pairs:
        raise UnfitNumbersError(f"{counted(len(groups), 'group')}", "at least 2")
    each = 1 - (1 - require.share("confidence", confidence)) / len(pairs)
    found = [
        compare_delays(groups[a], groups[b], (a, b), confidence=each, generator=generator)
        for a, b in pairs
    ]
    corrected = _holm([one.p for one in found])
    said = f"All {len(pairs)} comparisons hold together with {percent(confidence)} (Holm)."
    return tuple(
        replace(one, p=p, assumptions=(*one.assumptions, said))
        for one, p in zip(found, corrected, strict=True)
    )


def _p(
    x: Numbers, y: Numbers, tied: bool, generator: np.random.Generator | None
) -> tuple[float, str]:
    smaller = min(len(x), len(y))
    if np.ptp(np.concatenate([x, y])) == 0:
        return 1.0, "no test, as all delays are equal"
    if not tied and smaller <= EXACT_UP_TO:
        return float(
            scipy.stats.mannwhitneyu(x, y, method="exact").pvalue
        ), "the exact distribution"
    if tied and generator is not None and smaller <= PERMUTED_UP_TO:
        way = scipy.stats.PermutationMethod(n_resamples=RESAMPLES, rng=generator)
        return float(scipy.stats.mannwhitneyu(x, y, method=way).pvalue), "permutation"
    found = scipy.stats.mannwhitneyu(x, y, method="asymptotic").pvalue
    return float(found), "the normal approximation"


def _outside(m: int, n: int, confidence: float) -> int:
    """Rank k of the difference that is a limit; 0 where there is none."""
    tail = (1 - confidence) / 2
    if min(m, n) > EXACT_UP_TO or max(m, n) > 4 * EXACT_UP_TO:
        spread = np.sqrt(m * n * (m + n + 1) / 12)
        return max(0, int(np.floor(m * n / 2 - scipy.stats.norm.ppf(1 - tail) * spread)))
    below = np.cumsum(_u_shares(m, n))
    return int(np.searchsorted(below, tail * (1 + 1e-12), side="right"))


def _u_shares(m: int, n: int) -> Numbers:
    """Distribution of U = 0, 1, .. without a difference, up to its middle.

    The count of orders with U = u is the coefficient of q^u in the product over i = 1..m of
    (1 - q^(n + i)) / (1 - q^i).
    """
    shares = np.zeros(m * n // 2 + 1)
    shares[0] = 1.0
    for i in range(1, m + 1):
        # Shares instead of counts keep large groups within range.
        if n + i < len(shares):
            shares[n + i :] -= shares[: -(n + i)].copy()
        for rest in range(min(i, len(shares))):
            shares[rest::i] = np.cumsum(shares[rest::i])
        shares *= i / (n + i)
    return shares


def _holm(p: list[float]) -> list[float]:
    order = np.argsort(p)
    stepped = np.maximum.accumulate((len(p) - np.arange(len(p))) * np.asarray(p)[order])
    corrected = np.empty(len(p))
    corrected[order] = np.minimum(stepped, 1.0)
    return [float(value) for value in corrected]
