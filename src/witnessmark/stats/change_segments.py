"""Several changes of mean in one row of values, their number by a criterion.

One change alone, with its probability, is in `change_points`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.require import Numbers
from witnessmark.stats.result import amount, counted


@dataclass(frozen=True)
class Segmentation:
    """The best division for one number of breaks.

    Args:
        breaks: Number of changes.
        ends: Number (from 1) of the last value of each segment but the last.
        means: Mean of each segment.
        rss: Sum of squares about the means.
        bic: Bayesian information criterion; None where the means leave no rest.
    """

    breaks: int
    ends: tuple[int, ...]
    means: tuple[float, ...]
    rss: float
    bic: float | None


@dataclass(frozen=True)
class SegmentedMeans:
    """Best divisions for 0, 1, .. breaks, and the one with the least criterion.

    Args:
        n: Number of values.
        by_breaks: One division for each number of breaks.
        chosen: The one with the least criterion.
        least_segment: Fewest values in a segment.
        assumptions: What must hold.
    """

    n: int
    by_breaks: tuple[Segmentation, ...]
    chosen: Segmentation
    least_segment: int
    assumptions: tuple[str, ...]
    method: str = "least squares by dynamic programming, number of breaks by BIC"

    @property
    def sentence(self) -> str:
        """The division in words."""
        best = self.chosen
        most = len(self.by_breaks) - 1
        if not best.breaks:
            return (
                f"Among {counted(self.n, 'value')} in order, no change of mean (of 0 to {most} "
                "looked at) is worth its place. A small or short change may still be there."
            )
        ends = ", ".join(str(end) for end in best.ends)
        means = ", ".join(amount(mean) for mean in best.means)
        return (
            f"Among {counted(self.n, 'value')} in order, "
            f"{counted(best.breaks, 'change')} of mean (of 0 to {most}) gave the best division, "
            f"after value {ends}: means {means}. It does not show what caused them."
        )


def segmented_means(
    x: ArrayLike, *, most_breaks: int = 5, least_segment: int | None = None
) -> SegmentedMeans:
    """Answers after which values the mean of a row changed, if it changed several times.

    For each number of breaks the division with the least sum of squares, found exactly;
    BIC = n (ln 2 pi + 1 + ln(RSS / n)) + ln n (2 breaks + 2).

    Args:
        x: Values in their order.
        most_breaks: Largest number of breaks looked at; fewer where the row is too short.
        least_segment: Fewest values in a segment; None: 15 % of the values, at least 2.

    Returns:
        The best division for each number of breaks, and the one with the least BIC.

    Raises:
        UnfitNumbersError: Fewer than 4 values, missing ones, all alike, or a segment longer than
            the row.

    Shapes:
        x: (n,)

    Units:
        Those of x.

    Assumes:
        Values independent but for the changes, with one spread; the mean is steady between them.

    Source:
        Bai and Perron, J. Applied Econometrics 18 (2003) 1-22; criterion: Yao, Statist. Probab.
        Letters 6 (1988) 181-189.

    Examples:
        >>> segmented_means([1, 2, 1, 2, 8, 9, 8, 9, 4, 5, 4, 5], least_segment=3).chosen.ends
        (4, 8)
    """
    values = require.numbers("x", x, 4)
    n = len(values)
    if np.ptp(values) == 0:
        raise UnfitNumbersError(f"x: all {n} values are {values[0]:g}", "some variation")
    least = max(2, int(0.15 * n)) if least_segment is None else least_segment
    least = require.count("least_segment", least, 1)
    if least > n:
        raise UnfitNumbersError(f"least_segment = {least} of {n} values", "a segment in the row")
    most = min(require.count("most_breaks", most_breaks), n // least - 1)
    found = tuple(_segmentation(values, ends) for ends in _best_ends(_costs(values), least, most))
    chosen = min(found, key=lambda one: -np.inf if one.bic is None else one.bic)
    return SegmentedMeans(
        n=n,
        by_breaks=found,
        chosen=chosen,
        least_segment=least,
        assumptions=(
            "Values are independent but for the changes, with one spread throughout.",
            f"A segment has at least {least} values: a shorter change is not seen.",
            "The places are estimates; the criterion weighs their number and gives no probability.",
        ),
    )


def _costs(values: Numbers) -> Numbers:
    """Sum of squares about the mean of values i..j-1, at [i, j]; infinite where i >= j."""
    n = len(values)
    centred = values - values.mean()
    first = np.concatenate([[0.0], np.cumsum(centred)])
    second = np.concatenate([[0.0], np.cumsum(centred**2)])
    length = np.arange(n + 1)[np.newaxis, :] - np.arange(n + 1)[:, np.newaxis]
    sums = first[np.newaxis, :] - first[:, np.newaxis]
    squares = second[np.newaxis, :] - second[:, np.newaxis]
    costs = squares - sums**2 / np.where(length > 0, length, 1)
    return np.where(length > 0, np.maximum(costs, 0.0), np.inf)


def _best_ends(costs: Numbers, least: int, most: int) -> list[tuple[int, ...]]:
    """Ends of the best division of the whole row, for 0..most breaks."""
    n = len(costs) - 1
    length = np.arange(n + 1)[np.newaxis, :] - np.arange(n + 1)[:, np.newaxis]
    allowed = np.where(length >= least, costs, np.inf)
    best = allowed[0]
    earlier: list[list[int]] = []
    found: list[tuple[int, ...]] = [()]
    for _ in range(most):
        through = best[:, np.newaxis] + allowed
        earlier.append(through.argmin(axis=0).tolist())
        best = through.min(axis=0)
        ends, at = [], n
        for step in reversed(earlier):
            at = step[at]
            ends.append(at)
        found.append(tuple(reversed(ends)))
    return found


def _segmentation(values: Numbers, ends: tuple[int, ...]) -> Segmentation:
    parts = np.split(values, ends)
    n = len(values)
    rss = float(sum(np.sum((part - part.mean()) ** 2) for part in parts))
    # What is left of a perfect fit is rounding.
    perfect = rss <= 1e-12 * float(np.sum((values - values.mean()) ** 2))
    spread = None if perfect else n * (np.log(2 * np.pi) + 1 + np.log(rss / n))
    return Segmentation(
        breaks=len(ends),
        ends=ends,
        means=tuple(float(part.mean()) for part in parts),
        rss=0.0 if perfect else rss,
        bic=None if spread is None else float(spread + np.log(n) * (2 * len(ends) + 2)),
    )
