"""Intraclass correlations: how far readings of one subject by several judges are alike."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require

ROUNDING = 1e-12  # subjects whose means differ by less do not differ


@dataclass(frozen=True)
class IntraclassCorrelations:
    """The six intraclass correlations of Shrout and Fleiss.

    Args:
        single: One reading: judges drawn anew for each subject (1,1), the same random judges for
            all (2,1), these judges only (3,1).
        average: Mean of all judges' readings, in the same three cases.
        ms_between: Mean square between subjects.
        ms_within: Mean square within subjects.
        ms_judges: Mean square between judges.
        ms_error: Mean square of what remains.
        subjects: Number of subjects.
        judges: Number of judges.
    """

    single: tuple[float, float, float]
    average: tuple[float, float, float]
    ms_between: float
    ms_within: float
    ms_judges: float
    ms_error: float
    subjects: int
    judges: int
    method: str = "intraclass correlations from the two-way analysis of variance"
    assumptions: tuple[str, ...] = (
        "Subjects drawn at random; the value depends on how widely they spread.",
        "Judges independent of one another (not checked).",
    )

    @property
    def sentence(self) -> str:
        """The correlations in words."""
        return (
            f"{self.subjects} subjects by {self.judges} judges: of the spread of single readings "
            f"{self.single[1]:.2f} lies between subjects if other judges of the kind might read, "
            f"{self.single[2]:.2f} if only these do and their level does not matter. The values "
            "hold for subjects that spread like these; no limits are given."
        )


def intraclass_correlations(readings: ArrayLike) -> IntraclassCorrelations:
    """Gives how far readings of the same subject by different judges are alike.

    With B, W, J, E the mean squares between subjects, within subjects, between judges and of the
    rest, n subjects, k judges: (B - W) / (B + (k - 1) W); (B - E) / (B + (k - 1) E + k (J - E) /
    n); (B - E) / (B + (k - 1) E); means of k: (B - W) / B; (B - E) / (B + (J - E) / n);
    (B - E) / B. A value below 0 is given as it is: subjects differ less than chance makes them.

    Args:
        readings: One row per subject, one column per judge.

    Returns:
        The six correlations with the mean squares.

    Raises:
        UnfitNumbersError: Not two-dimensional, fewer than two subjects or judges, missing
            readings, or subjects that do not differ.

    Shapes:
        readings: (n_subjects, n_judges), each at least 2.

    Units:
        None; mean squares in the square of the unit of the readings.

    Assumes:
        Random subjects, independent judges. Missing readings are refused.

    Source:
        Shrout and Fleiss, Psychological Bulletin 86 (1979) 420-428.

    Examples:
        >>> rows = [[9, 2, 5, 8], [6, 1, 3, 2], [8, 4, 6, 8]]
        >>> rows += [[7, 1, 2, 6], [10, 5, 6, 9], [6, 2, 4, 7]]
        >>> [round(value, 2) for value in intraclass_correlations(rows).single]
        [0.17, 0.29, 0.71]
    """
    data = np.asarray(readings, dtype=float)
    if data.ndim != len(("subjects", "judges")) or min(data.shape) <= 1:
        raise UnfitNumbersError(
            f"readings of shape {data.shape}", "subjects by judges, at least 2 of each"
        )
    require.numbers("readings", data.ravel())
    n, k = data.shape
    data = data - data.mean()
    rows, columns = data.mean(axis=1), data.mean(axis=0)
    between = k * math.fsum(rows**2) / (n - 1)
    within = math.fsum(((data - rows[:, None]) ** 2).ravel()) / (n * (k - 1))
    judges = n * math.fsum(columns**2) / (k - 1)
    rest = math.fsum(((data - rows[:, None] - columns) ** 2).ravel()) / ((n - 1) * (k - 1))
    if between <= ROUNDING * within:
        raise UnfitNumbersError("readings: subjects do not differ", "subjects that differ")
    single = (
        (between - within) / (between + (k - 1) * within),
        (between - rest) / (between + (k - 1) * rest + k * (judges - rest) / n),
        (between - rest) / (between + (k - 1) * rest),
    )
    average = (
        (between - within) / between,
        (between - rest) / (between + (judges - rest) / n),
        (between - rest) / between,
    )
    return IntraclassCorrelations(single, average, between, within, judges, rest, n, k)
