"""Capability of a process from its data: stability first, stations apart, shape looked at.

An index of a process that was not stable predicts nothing: then only what was shipped is described
(Pp, Ppk) and no Cp or Cpk is claimed. Stations are never pooled. Knows no plant.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.stats import shapiro

from witnessmark.stats import require
from witnessmark.stats.capability_index import (
    CapabilityIndices,
    capability_indices,
    check_limits,
)
from witnessmark.stats.capability_limits import (
    IndexLimits,
    cp_limits,
    cpk_limits,
    one_sided_index_limits,
)
from witnessmark.stats.control_chart import ChartPair
from witnessmark.stats.control_charts import (
    individuals_chart,
    means_and_deviations_chart,
    means_and_ranges_chart,
)
from witnessmark.stats.require import Numbers
from witnessmark.stats.result import counted, percent
from witnessmark.stats.run_rules import RunRule, signals
from witnessmark.stats.variance import summary

BEYOND_THREE = (RunRule("beyond", 1, 1, 3.0),)
MOST_FOR_RANGES = 10  # larger subgroups: standard deviations use the values better
MOST_FOR_SHAPE = 5000  # the test of shape is not made for more


@dataclass(frozen=True)
class Capability:
    """Capability of one stream of product.

    Args:
        n: Values.
        mean: Their mean.
        sd: Standard deviation of all values.
        sigma: Standard deviation within subgroups.
        is_stable: Whether the chart shows no signal.
        chart: The chart that says so.
        performance: Indices from `sd` (Pp, Ppk): what was shipped.
        ppk: Ppk with its two-sided limits.
        pp: Pp with its two-sided limits; None with one tolerance limit.
        potential: Indices from `sigma` (Cp, Cpk); None where the process was not stable.
        below: Values below the lower limit.
        above: Values above the upper limit.
        method: How it was found.
        assumptions: What must hold, with what was checked.
        sentence: The result in words.
    """

    n: int
    mean: float
    sd: float
    sigma: float
    is_stable: bool
    chart: ChartPair
    performance: CapabilityIndices
    ppk: IndexLimits
    pp: IndexLimits | None
    potential: CapabilityIndices | None
    below: int
    above: int
    method: str
    assumptions: tuple[str, ...]
    sentence: str


def process_capability(
    subgroups: Sequence[ArrayLike] | Numbers,
    lower: float | None = None,
    upper: float | None = None,
    target: float | None = None,
    confidence: float = 0.95,
    rules: Sequence[RunRule] = BEYOND_THREE,
) -> Capability:
    """Gives the capability of one stream of product, after the look at its stability.

    Args:
        subgroups: Values in time order: one row of individual values, or subgroups of at least
            two values each. One machine, one station: see `station_capabilities`.
        lower: Lower tolerance limit, or None.
        upper: Upper tolerance limit, or None.
        target: Where the process should run, or None.
        confidence: Two-sided confidence of the limits.
        rules: Run rules of the chart of location that the plant adopted.

    Returns:
        Pp and Ppk with limits; Cp and Cpk only where the chart shows no signal.

    Raises:
        UnfitNumbersError: What the charts refuse (fewer than five points, missing values,
            constant data), or no tolerance limit.

    Shapes:
        subgroups: (n,) or n_subgroups rows, each (n_i,)

    Units:
        Limits and target as the values; shares 0..1.

    Assumes:
        Values in the order made; independent and normal for the limits of the indices. Missing
        values are refused, not left out.

    Source:
        NIST/SEMATECH e-Handbook, section 6.1.6; limits: `cp_limits`, `cpk_limits` (two tolerance
        limits) and `one_sided_index_limits` (one).

    Examples:
        >>> rows = [[4, 6], [5, 6], [4, 5], [7, 4], [5, 5], [6, 4], [5, 6]]
        >>> found = process_capability(rows, lower=0, upper=10)
        >>> found.is_stable, round(found.performance.cpk, 2), round(found.potential.cpk, 2)
        (True, 1.71, 1.28)
    """
    check_limits(lower, upper)
    chart, values = _chart(subgroups)
    rule_signals = signals(chart.location.z, rules)
    is_stable = chart.is_stable and not rule_signals.points
    overall = summary(values)
    performance = capability_indices(overall.mean, overall.sd, lower, upper, target)
    limits = cpk_limits if lower is not None and upper is not None else one_sided_index_limits
    ppk = limits(performance.cpk, overall.n, confidence)
    pp = None if performance.cp is None else cp_limits(performance.cp, overall.n, confidence)
    potential = (
        capability_indices(chart.mean, chart.sigma, lower, upper, target) if is_stable else None
    )
    verdict = f"Stable process: {'no signal' if is_stable else 'not shown'}. {chart.sentence}"
    if rule_signals.points:
        verdict = f"{verdict} {rule_signals.sentence}"
    return Capability(
        n=overall.n,
        mean=overall.mean,
        sd=overall.sd,
        sigma=chart.sigma,
        is_stable=is_stable,
        chart=chart,
        performance=performance,
        ppk=ppk,
        pp=pp,
        potential=potential,
        below=0 if lower is None else int(np.sum(values < lower)),
        above=0 if upper is None else int(np.sum(values > upper)),
        method=f"{chart.method}; {ppk.method}",
        assumptions=(verdict, _shape(values), *chart.assumptions),
        sentence=_said(overall.n, ppk, performance, potential),
    )


def _chart(subgroups: Sequence[ArrayLike] | Numbers) -> tuple[ChartPair, Numbers]:
    rows = [np.asarray(row, dtype=float) for row in subgroups]
    if all(row.ndim == 0 for row in rows):
        values = require.numbers("subgroups", rows)
        return individuals_chart(values), values
    largest = max(row.size for row in rows)
    kind = means_and_ranges_chart if largest <= MOST_FOR_RANGES else means_and_deviations_chart
    return kind(rows), np.concatenate(rows)


def _shape(values: Numbers) -> str:
    """What the test of normal shape found, as an assumption."""
    if len(values) > MOST_FOR_SHAPE:
        return f"Normal values: not tested for {counted(len(values), 'value')}; look at the shape."
    p = float(shapiro(values).pvalue)
    return (
        f"Normal values: Shapiro-Wilk p = {p:.2g} from {counted(len(values), 'value')}; a small p "
        "speaks against it, a large one does not prove it, least of all in the far tails."
    )


def _said(
    n: int, ppk: IndexLimits, performance: CapabilityIndices, potential: CapabilityIndices | None
) -> str:
    shipped = (
        f"From {counted(n, 'value')}: Ppk {ppk.value:.2f} ({percent(ppk.confidence)} limits "
        f"{ppk.lower:.2f} to {ppk.upper:.2f})"
    )
    if potential is None:
        return (
            f"{shipped}. The chart shows that the process was not stable, so this describes these "
            "values only: it predicts nothing, and no Cp or Cpk is claimed."
        )
    on_target = "" if potential.cp is None else f"Cp {potential.cp:.2f}, "
    return (
        f"{shipped}; within subgroups {on_target}Cpk {potential.cpk:.2f}. The chart shows no "
        "signal. If values are normal, "
        f"{percent(performance.fraction_out)} lie beyond the limits; the data reach far less "
        "deep into the tails than that figure."
    )
