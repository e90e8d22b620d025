"""When a share changed: nonconforming pieces in samples taken one after another."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import xlogy

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.require import Numbers
from witnessmark.stats.result import counted, percent

DRAWS = 1999


@dataclass(frozen=True)
class ShareShift:
    """The single change of a share that fits best.

    Args:
        samples: Number of samples.
        before: Number of samples before the change.
        share_before: Share up to it.
        share_after: Share after it.
        deviance: Twice the logarithm of the likelihood ratio against no change.
        p: Probability of as clear a change where the share never changed; None without a generator.
        assumptions: What must hold.
    """

    samples: int
    before: int
    share_before: float
    share_after: float
    deviance: float
    p: float | None
    assumptions: tuple[str, ...]
    method: str = "largest binomial likelihood over all places of one change"

    @property
    def sentence(self) -> str:
        """The change in words."""
        chance = (
            "How often chance alone would look so was not calculated."
            if self.p is None
            else f"With one share throughout, a change this clear has probability {self.p:.2g}."
        )
        return (
            f"Among {counted(self.samples, 'sample')} in order, one change of the share fits best "
            f"after sample {self.before}: {percent(self.share_before)} before, "
            f"{percent(self.share_after)} after. {chance} It does not show what caused a change."
        )


def share_shift(
    found: ArrayLike, sizes: ArrayLike, generator: np.random.Generator | None = None
) -> ShareShift:
    """Answers after which sample a share changed, if it changed once.

    Largest 2 (l(before) + l(after) - l(all)) with l(x, n) = x ln(x / n) + (n - x) ln(1 - x / n).

    Args:
        found: Number found in each sample, in their order.
        sizes: Size of each sample.
        generator: For the probability by 1,999 draws that deal the same total out at random over
            the samples; None: no probability.

    Returns:
        The change that fits best. One always does: `p` says whether chance alone would look so.

    Raises:
        UnfitNumbersError: Fewer than 2 samples, not 0 <= found <= size, an empty sample, numbers
            that are not whole, or nothing (or everything) found in all of them.

    Shapes:
        found, sizes: (n_samples,)

    Units:
        Counts in, shares 0..1 out.

    Assumes:
        Pieces are independent within a sample; at most one change.

    Source:
        Hinkley and Hinkley, Biometrika 57 (1970) 477-488; probability: conditional on the total,
        exact under one share.

    Examples:
        >>> share_shift([1, 0, 2, 6, 5, 7], [50] * 6).before
        3
    """
    x, n = require.numbers("found", found, 2), require.numbers("sizes", sizes, 2)
    require.same_length(found=x, sizes=n)
    for name, row in (("found", x), ("sizes", n)):
        if np.any(row != np.round(row)) or np.any(row < 0):
            raise UnfitNumbersError(f"{name} has other than whole numbers", "counts of at least 0")
    if np.any(x > n) or np.any(n == 0):
        raise UnfitNumbersError("a sample that is empty or has more found than looked at", "x <= n")
    if x.sum() in {0, n.sum()}:
        raise UnfitNumbersError(f"{x.sum():.0f} of {n.sum():.0f} found", "some and not all found")
    deviances = _deviances(x[np.newaxis, :], n)[0]
    k = int(np.argmax(deviances)) + 1
    seen = float(deviances[k - 1])
    return ShareShift(
        samples=len(x),
        before=k,
        share_before=float(x[:k].sum() / n[:k].sum()),
        share_after=float(x[k:].sum() / n[k:].sum()),
        deviance=seen,
        p=None if generator is None else _p(x, n, seen, generator),
        assumptions=(
            "Pieces of a sample are independent; bad ones that come together feign changes.",
            "There is at most one change.",
        ),
    )


def _p(x: Numbers, n: Numbers, seen: float, generator: np.random.Generator) -> float:
    sizes: NDArray[np.int64] = n.astype(np.int64)
    dealt = generator.multivariate_hypergeometric(
        sizes, int(x.sum()), size=DRAWS, method="marginals"
    )
    highest = _deviances(dealt.astype(float), n).max(axis=1)
    return (1 + int(np.sum(highest >= seen * (1 - 1e-12)))) / (DRAWS + 1)


def _deviances(rows: Numbers, n: Numbers) -> Numbers:
    """Twice the log likelihood ratio, for each row of counts and each place of the change."""
    x, size = np.cumsum(rows, axis=1), np.cumsum(n)
    total = x[:, -1:], size[-1]
    before = _log_likelihood(x[:, :-1], size[:-1])
    after = _log_likelihood(total[0] - x[:, :-1], total[1] - size[:-1])
    return np.maximum(2 * (before + after - _log_likelihood(*total)), 0.0)


def _log_likelihood(x: Numbers, n: Numbers) -> Numbers:
    return np.asarray(xlogy(x, x / n) + xlogy(n - x, 1 - x / n), dtype=float)
