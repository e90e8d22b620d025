"""Analysis of variance of a crossed gauge study: every part by every appraiser in every trial."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.stats import f as f_distribution

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.require import Numbers


@dataclass(frozen=True)
class CrossedAnova:
    """Analysis of variance of parts crossed with appraisers.

    Args:
        parts: Number of parts.
        appraisers: Number of appraisers.
        trials: Trials of each appraiser on each part.
        df: Degrees of freedom by source: part, appraiser, interaction, error.
        ss: Sums of squares by source.
        ms: Mean squares by source.
        interaction_f: Interaction over error; None where the error is 0.
        interaction_p: Chance of an F as large without interaction; None likewise.
    """

    parts: int
    appraisers: int
    trials: int
    df: dict[str, int]
    ss: dict[str, float]
    ms: dict[str, float]
    interaction_f: float | None
    interaction_p: float | None
    method: str = "two-way analysis of variance, parts and appraisers random, crossed"
    assumptions: tuple[str, ...] = (
        "Trials independent: appraisers did not see earlier readings, order random (not checked).",
        "Parts, appraisers and errors normal with one spread each (not checked).",
    )

    @property
    def sentence(self) -> str:
        """The table in words."""
        judged = (
            "the trials do not vary, so nothing can be tested"
            if self.interaction_p is None
            else f"appraisers differing from part to part: p = {self.interaction_p:.2g}"
        )
        return (
            f"{self.parts} parts by {self.appraisers} appraisers in {self.trials} trials: "
            f"{judged}. The table splits the spread seen; it holds for parts and people like "
            "these."
        )


def crossed_anova(readings: ArrayLike) -> CrossedAnova:
    """Gives the analysis of variance of a crossed gauge study.

    Args:
        readings: Every part by every appraiser in every trial.

    Returns:
        Degrees of freedom, sums and mean squares by source, and the test of the interaction.

    Raises:
        UnfitNumbersError: Not three-dimensional, fewer than two parts, appraisers or trials,
            missing readings, or all readings the same.

    Shapes:
        readings: (n_parts, n_appraisers, n_trials), each at least 2.

    Units:
        Sums of squares in the square of the unit of the readings.

    Assumes:
        Independent trials; random parts and appraisers. Missing readings are refused: the split
        used here needs every cell.

    Source:
        Montgomery and Runger, Quality Engineering 6 (1993) 115-135, two-way random effects
        (memory).

    Examples:
        >>> found = crossed_anova([[[1, 2], [1, 1]], [[5, 5], [4, 5]], [[9, 8], [8, 8]]])
        >>> found.df["error"], round(found.ms["part"], 3)
        (6, 49.0)
    """
    data = crossed_readings(readings)
    parts, appraisers, trials = data.shape
    data = data - data.mean()
    cells, rows, columns = data.mean(axis=2), data.mean(axis=(1, 2)), data.mean(axis=(0, 2))
    ss = {
        "part": appraisers * trials * math.fsum(rows**2),
        "appraiser": parts * trials * math.fsum(columns**2),
        "interaction": trials * math.fsum(((cells - rows[:, None] - columns) ** 2).ravel()),
        "error": math.fsum(((data - cells[:, :, None]) ** 2).ravel()),
    }
    df = {
        "part": parts - 1,
        "appraiser": appraisers - 1,
        "interaction": (parts - 1) * (appraisers - 1),
        "error": parts * appraisers * (trials - 1),
    }
    ms = {source: ss[source] / df[source] for source in ss}
    flat = bool(np.all(np.ptp(data, axis=2) == 0))
    f = None if flat else ms["interaction"] / ms["error"]
    p = None if f is None else float(f_distribution.sf(f, df["interaction"], df["error"]))
    return CrossedAnova(parts, appraisers, trials, df, ss, ms, f, p)


def crossed_readings(readings: ArrayLike) -> Numbers:
    """Gives the readings of a crossed study, which must be complete and must vary.

    Args:
        readings: Every part by every appraiser in every trial.

    Returns:
        The readings as an array.

    Raises:
        UnfitNumbersError: Ragged or not three-dimensional, fewer than two parts, appraisers or
            trials, missing readings, or all readings the same.

    Shapes:
        readings: (n_parts, n_appraisers, n_trials), each at least 2.

    Units:
        As given.

    Source:
        None: a refusal.

    Examples:
        >>> crossed_readings([[[1, 2], [1, 1]], [[5, 5], [4, 5]]]).shape
        (2, 2, 2)
    """
    try:
        data = np.asarray(readings, dtype=float)
    except ValueError as ragged:
        raise UnfitNumbersError(
            "readings of differing number", "every part by every appraiser in every trial"
        ) from ragged
    if data.ndim != len(("parts", "appraisers", "trials")) or min(data.shape) <= 1:
        raise UnfitNumbersError(
            f"readings of shape {data.shape}",
            "parts by appraisers by trials, at least 2 of each",
        )
    row = require.numbers("readings", data.ravel())
    if np.all(row == row[0]):
        raise UnfitNumbersError("readings: all are the same", "readings that vary")
    return data
