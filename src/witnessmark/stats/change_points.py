"""When a row of values changed its level: one change by least squares, by ranks, by cusum.

Several changes are in `change_segments`, changes of a share in `change_share`.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.stats import rankdata

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.require import Numbers
from witnessmark.stats.result import amount, counted, percent

LEAST = 4
SHUFFLES = 1999
BLOCK = 200_000
NO_CAUSE = "It does not show what caused a change."


@dataclass(frozen=True)
class MeanShift:
    """The single change of mean that fits best.

    Args:
        n: Number of values.
        before: Number of values before the change (the last of them has this number, from 1).
        mean_before: Mean up to it.
        mean_after: Mean after it.
        rss_no_change: Sum of squares about one mean.
        rss: Sum of squares about the two means.
        sup_f: Largest F statistic over all places; None where the two means leave no rest.
        p: Probability of as clear a change in shuffled values; None without a generator.
        earliest: Smallest `before` that fits nearly as well.
        latest: Largest `before` that fits nearly as well.
        confidence: Confidence of earliest to latest.
        assumptions: What must hold.
    """

    n: int
    before: int
    mean_before: float
    mean_after: float
    rss_no_change: float
    rss: float
    sup_f: float | None
    p: float | None
    earliest: int
    latest: int
    confidence: float
    assumptions: tuple[str, ...]
    method: str = "least squares, one change of mean; place by likelihood ratio"

    @property
    def sentence(self) -> str:
        """The change in words."""
        chance = (
            "How often chance alone would look so was not calculated."
            if self.p is None
            else f"In shuffled order a change this clear has probability {self.p:.2g}."
        )
        return (
            f"Among {counted(self.n, 'value')} in order, one change of mean fits best after value "
            f"{self.before} (between {self.earliest} and {self.latest} with "
            f"{percent(self.confidence)} confidence, if there is one): {amount(self.mean_before)} "
            f"before, {amount(self.mean_after)} after. {chance} {NO_CAUSE}"
        )


@dataclass(frozen=True)
class Cusum:
    """Cumulative sums of the deviations from the mean.

    Args:
        sums: S_1 .. S_n; S_0 = 0.
        peak: Number (from 1) of the value with the largest absolute sum.
        highest: Largest sum, S_0 included.
        lowest: Smallest sum, S_0 included.
        spread: highest - lowest.
        p: Probability of as large a spread in shuffled values; None without a generator.
        assumptions: What must hold.
    """

    sums: tuple[float, ...]
    peak: int
    highest: float
    lowest: float
    spread: float
    p: float | None
    assumptions: tuple[str, ...]
    method: str = "cumulative sum of deviations from the mean"

    @property
    def sentence(self) -> str:
        """The cusum in words."""
        chance = "" if self.p is None else f"; in shuffled order it has probability {self.p:.2g}"
        return (
            f"The cumulative sum of {counted(len(self.sums), 'value')} about their mean turns at "
            f"value {self.peak}, with a spread of {amount(self.spread)}{chance}. {NO_CAUSE}"
        )


@dataclass(frozen=True)
class Pettitt:
    """A change of level by ranks.

    Args:
        n: Number of values.
        k: The statistic, largest |U|.
        before: Number of values before the change.
        median_before: Median up to it.
        median_after: Median after it.
        p: Approximate probability of as large a statistic without a change.
        assumptions: What must hold.
    """

    n: int
    k: float
    before: int
    median_before: float
    median_after: float
    p: float
    assumptions: tuple[str, ...]
    method: str = "Pettitt's rank test"

    @property
    def sentence(self) -> str:
        """The change in words."""
        return (
            f"By ranks the clearest change among {counted(self.n, 'value')} comes after value "
            f"{self.before} (median {amount(self.median_before)} before, "
            f"{amount(self.median_after)} after); without a change one as clear has a probability "
            f"of about {self.p:.2g}. {NO_CAUSE}"
        )


def mean_shift(
    x: ArrayLike,
    *,
    least_segment: int = 1,
    confidence: float = 0.95,
    generator: np.random.Generator | None = None,
) -> MeanShift:
    """Answers after which value the mean of a row changed, if it changed once.

    The place k with the least RSS(k) = sum of squares about the means of both parts;
    sup F = (RSS - RSS(k)) / (RSS(k) / (n - 2)); places with
    n (RSS(k) / least RSS - 1) <= -2 ln(1 - sqrt(confidence)) fit nearly as well.

    Args:
        x: Values in their order.
        least_segment: Fewest values on either side.
        confidence: Confidence of the range of places.
        generator: For the probability by 1,999 shuffles; None: no probability.

    Returns:
        The change that fits best. One always does: `p` says whether chance alone would look so.

    Raises:
        UnfitNumbersError: Fewer than 4 values, missing ones, all alike, or a segment too long.

    Shapes:
        x: (n,)

    Units:
        Those of x.

    Assumes:
        Values independent of one another but for the change, with one spread; at most one change.

    Source:
        Hinkley, Biometrika 57 (1970) 1-17; range of places: Hansen, Econometrica 68 (2000)
        575-603, equation 2.3 ff. (memory); probability by shuffling: exact under exchangeability.

    Examples:
        >>> found = mean_shift([10.1, 9.8, 10.2, 9.9, 11.4, 11.6, 11.2, 11.5])
        >>> found.before, round(found.mean_before, 3), round(found.mean_after, 3)
        (4, 10.0, 11.425)
    """
    values = _varied(x)
    n, least = len(values), require.count("least_segment", least_segment, 1)
    require.share("confidence", confidence)
    if n < 2 * least:
        raise UnfitNumbersError(f"{n} values with least_segment = {least}", f"at least {2 * least}")
    total = float(np.sum((values - values.mean()) ** 2))
    gains = _gains(values[np.newaxis, :], least)[0]
    rss = np.maximum(total - gains, 0.0)
    best = int(np.argmax(gains))
    # What is left of a perfect fit is rounding.
    left = float(rss[best]) if rss[best] > 1e-12 * total else 0.0
    bound = -2 * np.log(1 - np.sqrt(confidence))
    near = np.flatnonzero(n * (rss - rss[best]) <= bound * left + 1e-12 * total) + least
    k = best + least
    return MeanShift(
        n=n,
        before=k,
        mean_before=float(values[:k].mean()),
        mean_after=float(values[k:].mean()),
        rss_no_change=total,
        rss=left,
        sup_f=float(gains[best] / (left / (n - 2))) if left else None,
        p=_shuffled_p(values, gains[best], lambda rows: _gains(rows, least).max(axis=1), generator),
        earliest=int(near.min()),
        latest=int(near.max()),
        confidence=confidence,
        assumptions=(
            "There is at most one change, and the spread is the same on both sides.",
            _independence(
                values - np.where(np.arange(n) < k, values[:k].mean(), values[k:].mean())
            ),
        ),
    )


def cusum_of_deviations(x: ArrayLike, generator: np.random.Generator | None = None) -> Cusum:
    """Answers where a row of values turns about its mean.

    S_i = sum of (x_j - mean) over j = 1..i; a straight rise or fall is a stretch above or below
    the mean, a turn a change of level.

    Args:
        x: Values in their order.
        generator: For the probability of the spread by 1,999 shuffles; None: no probability.

    Returns:
        The sums, their turn and spread.

    Raises:
        UnfitNumbersError: Fewer than 4 values, missing ones, or all alike.

    Shapes:
        x: (n,)

    Units:
        Those of x.

    Assumes:
        Values independent of one another but for a change of level.

    Source:
        Page, Biometrika 42 (1955) 523-527; spread by shuffling: Taylor 2000 (memory).

    Examples:
        >>> cusum_of_deviations([1, 1, 1, 3, 3, 3]).peak
        3
    """
    values = _varied(x)
    sums = np.cumsum(values - values.mean())
    # The last sum is 0 but for rounding.
    sums[-1] = 0.0
    return Cusum(
        sums=tuple(sums.tolist()),
        peak=int(np.argmax(np.abs(sums))) + 1,
        highest=max(0.0, float(sums.max())),
        lowest=min(0.0, float(sums.min())),
        spread=float(_spreads(values[np.newaxis, :])[0]),
        p=_shuffled_p(values, _spreads(values[np.newaxis, :])[0], _spreads, generator),
        assumptions=(
            "Without a change every order of the values would be equally likely.",
            "Values are independent of their neighbours.",
            "Where neighbours hang together, the probability is too small.",
        ),
    )


def pettitt(x: ArrayLike) -> Pettitt:
    """Answers after which value the level of a row changed, by ranks only.

    U_k = 2 (sum of the first k ranks) - k (n + 1); K = largest |U_k|;
    p = 2 exp(-6 K^2 / (n^3 + n^2)), at most 1.

    Args:
        x: Values in their order; ties take mean ranks.

    Returns:
        Place, statistic and approximate probability.

    Raises:
        UnfitNumbersError: Fewer than 4 values, missing ones, or all alike.

    Shapes:
        x: (n,)

    Units:
        Those of x; nothing but their order is used.

    Assumes:
        Values independent of one another; one change at most. The probability is approximate and
        for few values too large.

    Source:
        Pettitt, Applied Statistics 28 (1979) 126-135.

    Examples:
        >>> found = pettitt([3, 1, 2, 4, 9, 8, 7, 10])
        >>> found.before, found.k, round(found.p, 3)
        (4, 16.0, 0.139)
    """
    values = _varied(x)
    n = len(values)
    place = np.arange(1, n + 1)
    u = 2 * np.cumsum(rankdata(values)) - place * (n + 1)
    before = int(np.argmax(np.abs(u[:-1]))) + 1
    k = float(np.abs(u[before - 1]))
    return Pettitt(
        n=n,
        k=k,
        before=before,
        median_before=float(np.median(values[:before])),
        median_after=float(np.median(values[before:])),
        p=min(1.0, 2 * float(np.exp(-6 * k**2 / (n**3 + n**2)))),
        assumptions=(
            "Values are independent of one another; there is at most one change of level.",
            f"The probability is approximate; with {n} values it is rather too large.",
        ),
    )


def _varied(x: ArrayLike) -> Numbers:
    values = require.numbers("x", x, LEAST)
    if np.ptp(values) == 0:
        raise UnfitNumbersError(f"x: all {len(values)} values are {values[0]:g}", "some variation")
    return values


def _gains(rows: Numbers, least: int) -> Numbers:
    """What two means explain over one, for each row and each place of the change."""
    n = rows.shape[1]
    sums = np.cumsum(rows - rows.mean(axis=1, keepdims=True), axis=1)[:, least - 1 : n - least]
    k = np.arange(least, n - least + 1)
    return np.asarray(sums**2 * n / (k * (n - k)), dtype=float)


def _spreads(rows: Numbers) -> Numbers:
    sums = np.cumsum(rows - rows.mean(axis=1, keepdims=True), axis=1)
    highest, lowest = sums.max(axis=1), sums.min(axis=1)
    return np.asarray(np.maximum(highest, 0) - np.minimum(lowest, 0), dtype=float)


def _shuffled_p(
    values: Numbers,
    seen: float,
    statistic: Callable[[Numbers], Numbers],
    generator: np.random.Generator | None,
) -> float | None:
    """Share of shuffles, the row itself counted, with a statistic at least as large."""
    if generator is None:
        return None
    at_once = max(1, BLOCK // len(values))
    as_large = 1
    for start in range(0, SHUFFLES, at_once):
        rows = np.tile(values, (min(at_once, SHUFFLES - start), 1))
        found = statistic(generator.permuted(rows, axis=1))
        as_large += int(np.sum(found >= seen * (1 - 1e-12)))
    return as_large / (SHUFFLES + 1)


def _independence(rest: Numbers) -> str:
    """What the rest shows of values that hang together."""
    squares = float(np.sum(rest**2))
    lag = float(np.sum(rest[1:] * rest[:-1])) / squares if squares else 0.0
    noticeable = abs(lag) > 2 / np.sqrt(len(rest))
    return (
        f"Values are independent of their neighbours: the correlation of what is left with the "
        f"next is {lag:.2f}"
        + (
            ", which is more than chance gives: the probability is too small."
            if noticeable
            else "."
        )
    )
