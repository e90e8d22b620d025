"""Mean, spread and one-way analysis of variance, kept accurate for numbers with many digits.

Every sum is taken of differences from the first value: subtracting numbers that lie close together
is exact, and what remains no longer carries the leading digits that spoil a sum of squares. Knows
no chart and no gauge.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.stats import f as f_distribution

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.result import counted


@dataclass(frozen=True)
class Summary:
    """Mean, standard deviation and likeness of neighbours of a row of numbers.

    Args:
        n: How many numbers.
        mean: Their mean.
        sd: Standard deviation with n - 1.
        lag1: Autocorrelation at lag 1, or None where all numbers are the same.
    """

    n: int
    mean: float
    sd: float
    lag1: float | None
    method: str = "mean, standard deviation (n - 1) and lag-1 autocorrelation, centred sums"

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What must hold, with what was looked at."""
        if self.lag1 is None:
            return ("All values are the same: the likeness of neighbours is not defined.",)
        band = 2 / math.sqrt(self.n)
        judged = "more than" if abs(self.lag1) > band else "within"
        return (
            (
                f"Values independent in time order: lag-1 autocorrelation {self.lag1:.2f}, "
                f"{judged} the ±{band:.2f} that chance explains."
            ),
        )

    @property
    def sentence(self) -> str:
        """The result in words."""
        return (
            f"{counted(self.n, 'value')}: mean {self.mean:.6g}, standard deviation {self.sd:.4g}. "
            "This describes these values; it sets no limits on the process."
        )


def summary(x: ArrayLike) -> Summary:
    """Gives mean, standard deviation and lag-1 autocorrelation of a row in its time order.

    mean = sum(x) / n; sd^2 = sum((x - mean)^2) / (n - 1);
    lag1 = sum over i of (x[i] - mean)(x[i + 1] - mean) / sum((x - mean)^2).

    Args:
        x: The numbers in time order.

    Returns:
        The summary; `lag1` is None where all numbers are the same.

    Raises:
        UnfitNumbersError: Fewer than two numbers, missing or infinite ones.

    Shapes:
        x: (n,), n of at least 2.

    Units:
        As x; lag1 has none (-1..1).

    Assumes:
        Nothing for the description; n = 0 and missing values are refused.

    Source:
        NIST Statistical Reference Datasets, univariate summary statistics (definitions).

    Examples:
        >>> found = summary([10000001.0, 10000003.0, 10000002.0])
        >>> found.mean, found.sd, found.lag1
        (10000002.0, 1.0, -0.5)
    """
    row = require.numbers("x", x, least=2)
    moved = row - row[0]
    middle = math.fsum(moved) / len(row)
    off = moved - middle
    squares = math.fsum(off**2)
    constant = bool(np.all(row == row[0]))
    lag1 = None if constant else math.fsum(off[:-1] * off[1:]) / squares
    sd = 0.0 if constant else math.sqrt(squares / (len(row) - 1))
    return Summary(len(row), float(row[0] + middle), sd, lag1)


@dataclass(frozen=True)
class OneWayAnova:
    """A one-way analysis of variance.

    Args:
        df_between: Degrees of freedom between groups.
        ss_between: Sum of squares between groups.
        ms_between: Mean square between groups.
        df_within: Degrees of freedom within groups.
        ss_within: Sum of squares within groups.
        ms_within: Mean square within groups.
        f: ms_between / ms_within, or None where the groups do not vary within themselves.
        p: Chance of an F as large or larger if all groups had one mean; None as f.
        r2: Share of the total sum of squares that lies between groups.
        group_means: Mean of each group.
    """

    df_between: int
    ss_between: float
    ms_between: float
    df_within: int
    ss_within: float
    ms_within: float
    f: float | None
    p: float | None
    r2: float
    group_means: tuple[float, ...]
    method: str = "one-way analysis of variance, centred sums"

    @property
    def residual_sd(self) -> float:
        """Standard deviation within groups."""
        return math.sqrt(self.ms_within)

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What must hold."""
        return (
            (
                "Values independent of one another, within groups as well as between them (not "
                "checked)."
            ),
            (
                "Equal spread within groups; roughly normal values where groups are small (not "
                "checked)."
            ),
        )

    @property
    def sentence(self) -> str:
        """The result in words."""
        looked_at = f"{counted(self.df_within + self.df_between + 1, 'value')} in " + counted(
            self.df_between + 1, "group"
        )
        if self.f is None or self.p is None:
            return f"{looked_at}: the groups do not vary within themselves, so no test follows."
        return (
            f"{looked_at}: if all groups had one mean, means as far apart as these or further "
            f"would come by chance with p = {self.p:.2g} (F = {self.f:.3g}). This does not say "
            "which group differs, nor why; a large p does not show that they are alike."
        )


def one_way_anova(groups: Sequence[ArrayLike]) -> OneWayAnova:
    """Says how much of the spread of numbers lies between groups and how much within.

    Args:
        groups: One row of numbers per group; sizes may differ.

    Returns:
        Sums of squares, mean squares, F and its probability; F and p are None where no group
        varies within itself.

    Raises:
        UnfitNumbersError: Fewer than two groups, an empty group, no group with two values,
            missing or infinite values, or all values the same.

    Shapes:
        groups: n_groups rows, each (n_i,)

    Units:
        Sums of squares in the square of the unit of the values; p and r2 are shares 0..1.

    Assumes:
        Independent values, equal spread within groups, roughly normal.

    Source:
        NIST Statistical Reference Datasets, analysis of variance (definitions).

    Examples:
        >>> found = one_way_anova([[1.0, 2.0, 3.0], [3.0, 4.0, 5.0]])
        >>> found.f, round(found.p, 4)
        (6.0, 0.0705)
    """
    if len(groups) <= 1:
        raise UnfitNumbersError(f"groups: {len(groups)}", "at least 2")
    rows = [require.numbers(f"groups[{place}]", group) for place, group in enumerate(groups)]
    origin = rows[0][0]
    moved = [row - origin for row in rows]
    sizes = np.array([len(row) for row in rows])
    n, df_between = int(sizes.sum()), len(rows) - 1
    if n <= len(rows):
        raise UnfitNumbersError("groups with one value each", "a group with at least 2 values")
    if all(np.all(row == 0) for row in moved):
        raise UnfitNumbersError("groups: all values are the same", "values that vary")
    means = np.array([math.fsum(row) / len(row) for row in moved])
    middle = math.fsum(math.fsum(row) for row in moved) / n
    between = math.fsum(sizes * (means - middle) ** 2)
    within = math.fsum(math.fsum((row - mean) ** 2) for row, mean in zip(moved, means, strict=True))
    constant = all(np.all(row == row[0]) for row in moved)
    within = 0.0 if constant else within
    df_within = n - len(rows)
    ms_between, ms_within = between / df_between, within / df_within
    f = None if constant else ms_between / ms_within
    p = None if f is None else float(f_distribution.sf(f, df_between, df_within))
    r2 = between / (between + within)
    placed = tuple(float(origin + mean) for mean in means)
    return OneWayAnova(
        df_between, between, ms_between, df_within, within, ms_within, f, p, r2, placed
    )
