"""What share of the spread that a gauge shows is the gauge's own: crossed studies.

Every part measured by every appraiser in every trial. By analysis of variance or by average and
range. Share of the tolerance and share of the variation are kept apart: they answer different
questions. Knows no gauge list and no plant.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.stats import chi2

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.control_constants import control_constants
from witnessmark.stats.gauge_anova import crossed_anova, crossed_readings
from witnessmark.stats.gauge_constants import k1, k2, k3
from witnessmark.stats.result import counted, percent

POOL_ABOVE = 0.25  # interaction less clear than this is pooled (common practice, no source)
NDC_FACTOR = 1.41  # as the automotive manual rounds sqrt 2
STUDY_SIGMAS = 6.0


@dataclass(frozen=True)
class GaugeStudy:
    """The spread of a gauge beside that of the parts and the width of the tolerance.

    Args:
        repeatability: Standard deviation of one appraiser on one part (EV).
        reproducibility: Standard deviation between appraisers, interaction included (AV).
        gauge: Standard deviation of both together (GRR).
        part: Standard deviation between parts (PV).
        total: Standard deviation of all (TV).
        interaction: Standard deviation of appraiser by part; 0 where pooled or not estimated.
        gauge_share_of_variation: gauge / total, of these parts.
        gauge_share_of_tolerance: 6 gauge / tolerance; None without tolerance.
        tolerance_share_limits: Limits of the share of the tolerance; None where there are none.
        gauge_limits: Limits of `gauge`; None where the method has none.
        repeatability_limits: Limits of `repeatability`; None where the method has none.
        categories: 1.41 part / gauge, not cut to a whole number (ndc).
        confidence: Two-sided confidence of the limits; None without limits.
        method: How it was found.
        assumptions: What must hold, with what was checked.
    """

    repeatability: float
    reproducibility: float
    gauge: float
    part: float
    total: float
    interaction: float
    gauge_share_of_variation: float
    gauge_share_of_tolerance: float | None
    tolerance_share_limits: tuple[float, float] | None
    gauge_limits: tuple[float, float] | None
    repeatability_limits: tuple[float, float] | None
    categories: float
    confidence: float | None
    method: str
    assumptions: tuple[str, ...]

    @property
    def ndc(self) -> int:
        """Number of distinct categories, cut to a whole number."""
        return math.floor(self.categories)

    @property
    def sentence(self) -> str:
        """The study in words."""
        if self.gauge_share_of_tolerance is None:
            tolerance = "no tolerance was given"
        else:
            tolerance = f"{percent(self.gauge_share_of_tolerance)} of the tolerance"
            if self.tolerance_share_limits is not None and self.confidence is not None:
                low, high = self.tolerance_share_limits
                tolerance += (
                    f" ({percent(self.confidence)} limits {percent(low)} to {percent(high)})"
                )
        return (
            f"The gauge takes {tolerance} and {percent(self.gauge_share_of_variation)} of the "
            f"variation of parts and gauge together, both as standard deviations; it tells "
            f"{counted(self.ndc, 'category', 'categories')} of these parts apart. The share of the "
            "variation holds only if the parts spread as the process does, and all of it only for "
            "appraisers and conditions like these."
        )


def gauge_study(
    readings: ArrayLike,
    tolerance: float | None = None,
    confidence: float = 0.95,
    pool_above: float = POOL_ABOVE,
) -> GaugeStudy:
    """Gives the spread of a gauge by analysis of variance of a crossed study.

    With E, I, A, P the mean squares of error, interaction, appraisers and parts, r trials, a
    appraisers and p parts: repeatability^2 = E; interaction^2 = (I - E) / r; appraisers^2 =
    (A - I) / (p r); part^2 = (P - I) / (a r); below 0 counts as 0. An interaction with a
    probability above `pool_above` is pooled: E and I become one mean square. Limits of the gauge:
    modified large-sample limits of the sum of mean squares that estimates gauge^2; of the
    repeatability: chi-square.

    Args:
        readings: Every part by every appraiser in every trial.
        tolerance: Width of the tolerance, or None.
        confidence: Two-sided confidence of the limits.
        pool_above: Probability above which the interaction is pooled: 0 always pools, 1 never.

    Returns:
        The study. Limits of the part spread are not given: they lean on normal parts chosen at
        random, and study parts are mostly chosen.

    Raises:
        UnfitNumbersError: As `crossed_anova`; also trials that never vary, tolerance not above
            0, confidence outside (0, 1), pool_above outside 0..1.

    Shapes:
        readings: (n_parts, n_appraisers, n_trials), each at least 2.

    Units:
        Standard deviations in the unit of the readings; shares 0..1.

    Assumes:
        Independent trials; normal spreads; the parts spread as the process does (for the share
        of the variation). A gauge that is too coarse shows trials that never vary: refused.

    Source:
        AIAG, Measurement Systems Analysis, 4th ed., analysis of variance method (memory); limits:
        Burdick, Borror and Montgomery, Journal of Quality Technology 35 (2003) 342-354 (memory).

    Examples:
        >>> readings = [[[1, 2], [1, 1]], [[5, 5], [4, 5]], [[9, 8], [8, 8]], [[4, 4], [5, 4]]]
        >>> found = gauge_study(readings, tolerance=20)
        >>> round(found.gauge, 3), round(found.gauge_share_of_tolerance, 3), found.ndc
        (0.5, 0.15, 8)
    """
    table = crossed_anova(readings)
    if table.interaction_p is None:
        raise UnfitNumbersError(
            "readings: trials never vary", "trials that vary; a coarse gauge hides its own spread"
        )
    if not 0 <= pool_above <= 1:
        raise UnfitNumbersError(f"pool_above = {pool_above}", "a number from 0 to 1")
    pooled = table.interaction_p > pool_above
    p, a, r = table.parts, table.appraisers, table.trials
    error, error_df = table.ms["error"], table.df["error"]
    if pooled:
        error_df += table.df["interaction"]
        error = (table.ss["error"] + table.ss["interaction"]) / error_df
    between = error if pooled else table.ms["interaction"]
    interaction = max(0.0, (between - error) / r)
    appraiser = max(0.0, (table.ms["appraiser"] - between) / (p * r))
    part = max(0.0, (table.ms["part"] - between) / (a * r))
    terms = [(1 / (p * r), table.ms["appraiser"], table.df["appraiser"])]
    if pooled:
        terms.append(((p * r - 1) / (p * r), error, error_df))
    else:
        terms.append(((p - 1) / (p * r), between, table.df["interaction"]))
        terms.append(((r - 1) / r, error, error_df))
    grr = error + interaction + appraiser
    low, high = _sum_limits(terms, confidence)
    return _study(
        (error, interaction + appraiser, interaction, grr, part),
        tolerance,
        confidence,
        (low, max(high, math.sqrt(grr))),
        _sum_limits([(1.0, error, error_df)], confidence),
        "analysis of variance, interaction " + ("pooled into error" if pooled else "kept"),
        (
            *table.assumptions,
            f"Interaction of appraisers and parts: p = {table.interaction_p:.2g}, "
            + (f"above {pool_above:g}, pooled." if pooled else "kept."),
            (
                f"People like these: {a} appraisers; limits of what differs between people stay "
                "wide until there are many."
            ),
        ),
    )


def average_range_study(
    readings: ArrayLike,
    tolerance: float | None = None,
    factors: tuple[float, float, float] | None = None,
) -> GaugeStudy:
    """Gives the spread of a gauge by the average-and-range method, which has no limits.

    EV = K1 x mean range of trials; AV^2 = (K2 x range of appraiser means)^2 - EV^2 / (p r), below
    0 counts as 0; GRR^2 = EV^2 + AV^2; PV = K3 x range of part means; TV^2 = GRR^2 + PV^2.

    Args:
        readings: Every part by every appraiser in every trial.
        tolerance: Width of the tolerance, or None.
        factors: K1, K2, K3 as printed on a sheet that is recomputed; computed where None.

    Returns:
        The study without limits; an interaction is not seen by this method.

    Raises:
        UnfitNumbersError: As `crossed_anova`; also trials that never vary.

    Shapes:
        readings: (n_parts, n_appraisers, n_trials), each at least 2.

    Units:
        Standard deviations in the unit of the readings; shares 0..1.

    Assumes:
        As `gauge_study`; also no interaction between appraisers and parts.

    Source:
        AIAG, Measurement Systems Analysis, average and range method (memory).

    Examples:
        >>> readings = [[[1, 2], [1, 1]], [[5, 5], [4, 5]], [[9, 8], [8, 8]], [[4, 4], [5, 4]]]
        >>> round(average_range_study(readings).gauge, 3)
        0.451
    """
    data = crossed_readings(readings)
    parts, appraisers, trials = data.shape
    mean_range = float(np.ptp(data, axis=2).mean())
    if mean_range == 0:
        raise UnfitNumbersError(
            "readings: trials never vary", "trials that vary; a coarse gauge hides its own spread"
        )
    one, two, three = factors or (k1(trials), k2(appraisers), k3(parts))
    ev = one * mean_range
    apart = two * float(np.ptp(data.mean(axis=(0, 2))))
    av2 = max(0.0, apart**2 - ev**2 / (parts * trials))
    pv = three * float(np.ptp(data.mean(axis=(1, 2))))
    upper = control_constants(trials).D4 * mean_range
    beyond = int(np.sum(np.ptp(data, axis=2) > upper))
    return _study(
        (ev**2, av2, 0.0, ev**2 + av2, pv**2),
        tolerance,
        None,
        None,
        None,
        "average and range",
        (
            (
                "Trials independent (not checked); no interaction of appraisers and parts (this "
                "method does not see it)."
            ),
            f"Ranges alike: {beyond} of {parts * appraisers} lie above their limit {upper:.4g}.",
            "No limits: the method has no standard ones; see the analysis of variance.",
        ),
    )


def _study(
    variances: tuple[float, float, float, float, float],
    tolerance: float | None,
    confidence: float | None,
    gauge_limits: tuple[float, float] | None,
    repeatability_limits: tuple[float, float] | None,
    method: str,
    assumptions: tuple[str, ...],
) -> GaugeStudy:
    """The study from the variances of error, people, interaction, gauge and parts."""
    error, people, interaction, grr, part = variances
    gauge, total = math.sqrt(grr), math.sqrt(grr + part)
    share = limits = None
    if tolerance is not None:
        width = require.above("tolerance", tolerance)
        share = STUDY_SIGMAS * gauge / width
        if gauge_limits is not None:
            low, high = gauge_limits
            limits = STUDY_SIGMAS * low / width, STUDY_SIGMAS * high / width
    return GaugeStudy(
        math.sqrt(error),
        math.sqrt(people),
        gauge,
        math.sqrt(part),
        total,
        math.sqrt(interaction),
        gauge / total,
        share,
        limits,
        gauge_limits,
        repeatability_limits,
        NDC_FACTOR * math.sqrt(part) / gauge,
        confidence,
        method,
        assumptions,
    )


def _sum_limits(terms: list[tuple[float, float, int]], confidence: float) -> tuple[float, float]:
    """Limits of the square root of a sum of factor x mean square (factors above 0)."""
    tail = (1 - require.share("confidence", confidence)) / 2
    middle = below = above = 0.0
    for factor, mean_square, df in terms:
        part = factor * mean_square
        middle += part
        below += (part * (1 - df / float(chi2.isf(tail, df)))) ** 2
        above += (part * (df / float(chi2.ppf(tail, df)) - 1)) ** 2
    return math.sqrt(max(0.0, middle - math.sqrt(below))), math.sqrt(middle + math.sqrt(above))
