"""Whether groups of actions stay open equally long, open ones counted.

The curve of one group is in `survival`.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.stats import chi2

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.result import counted
from witnessmark.stats.survival import closures

FEW = 5
CLOSE = 1e-9


@dataclass(frozen=True)
class LogRank:
    """Comparison of the time to closure between groups.

    Args:
        names: Names of the groups.
        sizes: Actions in each.
        observed: Closures in each.
        expected: Closures that each would have, did all close at one rate.
        chi2: The statistic.
        df: Its degrees of freedom.
        p: Probability of a difference as large by chance where the groups do not differ; None
            where nothing can be compared.
        assumptions: What must hold.
    """

    names: tuple[str, ...]
    sizes: tuple[int, ...]
    observed: tuple[float, ...]
    expected: tuple[float, ...]
    chi2: float
    df: int
    p: float | None
    assumptions: tuple[str, ...]
    method: str = "log-rank test"

    @property
    def sentence(self) -> str:
        """The comparison in words."""
        if self.p is None:
            return (
                f"The groups ({', '.join(self.names)}) cannot be compared: no action was closed "
                "while more than one group had actions open."
            )
        groups = "; ".join(
            f"{name}: {counted(size, 'action')}, {seen:.0f} closed against {due:.1f} expected"
            for name, size, seen, due in zip(
                self.names, self.sizes, self.observed, self.expected, strict=True
            )
        )
        return (
            f"{groups} if all groups closed at one rate. A difference this large would come about "
            f"by chance with probability {self.p:.2g}. It does not show why groups differ."
        )


def logrank(
    groups: Sequence[tuple[ArrayLike, ArrayLike]], names: Sequence[str] | None = None
) -> LogRank:
    """Answers whether two or more groups of actions stay open equally long.

    At every closing time the closures are shared out over the groups in proportion to the actions
    at risk; chi2 = (O - E)' V^-1 (O - E) over all groups but one, V hypergeometric.

    Args:
        groups: For each group the times and whether each action was closed (as `survival_curve`).
        names: Names of the groups; None: 1, 2, ..

    Returns:
        Observed and expected closures and the probability. p is None where no closing time has
        more than one group at risk.

    Raises:
        UnfitNumbersError: Fewer than two groups, or a group that `survival_curve` would refuse.

    Shapes:
        groups: (n_groups,) pairs of (n_i,)

    Units:
        Any one unit of time; p 0..1.

    Assumes:
        Being still open has nothing to do with the group but through its time; the curves do not
        cross (where they do, a real difference may not be seen).

    Source:
        Mantel, Cancer Chemotherapy Reports 50 (1966) 163-170; Peto and Peto, J. Roy. Statist. Soc.
        A 135 (1972) 185-207.

    Examples:
        >>> found = logrank([([3, 5, 7, 9], [1, 1, 1, 0]), ([10, 14, 20, 21], [1, 1, 0, 1])])
        >>> found.df, round(found.p, 3)
        (1, 0.04)
    """
    if len(groups) < 2:  # noqa: PLR2004 - a comparison takes two
        raise UnfitNumbersError(f"{len(groups)} groups", "at least 2")
    checked = [closures(days, closed) for days, closed in groups]
    said = tuple(names) if names is not None else tuple(str(i + 1) for i in range(len(groups)))
    require.same_length(groups=checked, names=said)
    times = np.unique(np.concatenate([days[ended] for days, ended in checked]))
    risk = np.array([[np.sum(days >= t) for t in times] for days, _ in checked], dtype=float)
    closed = np.array([[np.sum(d[e] == t) for t in times] for d, e in checked], dtype=float)
    n, d = risk.sum(axis=0), closed.sum(axis=0)
    expected = (risk * d / n).sum(axis=1) if len(times) else np.zeros(len(checked))
    shares = risk / n
    weight = d * (n - d) / np.maximum(n - 1, 1)
    variance = np.diag((shares * weight).sum(axis=1)) - (shares * weight) @ shares.T
    surplus = closed.sum(axis=1) - expected
    # The groups' surpluses add up to 0, so that one direction at least carries no information.
    df = int(np.linalg.matrix_rank(variance, tol=CLOSE * max(1.0, variance.max(initial=0.0))))
    statistic = float(surplus @ np.linalg.pinv(variance, rcond=CLOSE, hermitian=True) @ surplus)
    few = [name for name, due in zip(said, expected, strict=True) if due < FEW]
    return LogRank(
        names=said,
        sizes=tuple(len(days) for days, _ in checked),
        observed=tuple(closed.sum(axis=1).tolist()),
        expected=tuple(expected.tolist()),
        chi2=statistic,
        df=df,
        p=float(chi2.sf(statistic, df)) if df else None,
        assumptions=(
            "Actions are independent, and the groups were formed before their outcome was known.",
            "The curves of the groups do not cross; where they do, a difference may stay unseen.",
            f"Fewer than {FEW} closures are expected in {', '.join(few)}: the probability is rough."
            if few
            else f"At least {FEW} closures are expected in every group.",
        ),
    )
