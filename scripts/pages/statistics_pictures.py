"""The results that are shown as pictures on the pages of the statistics: invented, fixed numbers.

One per function, chosen so that the picture shows what the function is for. Where a list of values
is needed it is drawn with a fixed generator.
"""

from collections.abc import Callable

import numpy as np
from scipy.stats import lognorm

from witnessmark.report.charts import About, picture_of
from witnessmark.report.charts.control import run_length_curve
from witnessmark.report.charts.limits import forest
from witnessmark.report.charts.look import Spec
from witnessmark.stats import (
    acceptance,
    attribute_charts,
    attribute_study,
    before_after,
    binomial_test,
    capability,
    capability_limits,
    capacity,
    change_points,
    change_segments,
    change_share,
    clean_days,
    clock_offset,
    clusters,
    control_charts,
    declared_recomputed,
    delays,
    detection,
    digits,
    finite_lot,
    gauge_effect,
    gauge_study,
    indexed_plans,
    interference,
    interference_limits,
    logrank,
    odds_ratio,
    percentile_capability,
    proportion,
    rates,
    rectifying,
    redated,
    repeat_study,
    run_lengths,
    sister_machine,
    staged_plans,
    station_capability,
    stratified,
    survival,
    tending,
    time_weighted_charts,
    work_sampling,
)

DAY = 86400.0
SHIFTS = tuple(np.linspace(0.0, 4.0, 17).tolist())
MACHINE = tending.TendedMachine(
    "M1",
    (
        tending.Task("stop", 1.5, 4.0),
        tending.Task("change-over", 1 / 6, 15.0),
        tending.Task("patrol", 0.5, 6.0),
        tending.Task("bin", 1.0, 2.0),
        tending.Task("walking", 1.0, 1.5),
    ),
)


def _generator() -> np.random.Generator:
    return np.random.default_rng(7)


def _strata() -> Spec:
    named = {
        "early, attended": proportion.exact_interval(5, 124),
        "late, attended": proportion.exact_interval(9, 118),
        "night, attended": proportion.exact_interval(3, 21),
        "night, unattended": proportion.exact_interval(41, 88),
    }
    title = "Check intervals beyond their limit: the unattended nights stand apart"
    return forest(named, title, About("check intervals beyond their limit, share of those due"))


def _shares() -> Spec:
    found = [4, 6, 3, 5, 2, 7, 4, 3, 15, 5, 3, 6, 2, 4, 5, 3, 6, 4, 5, 13]
    sizes = [200] * 10 + [120] * 10
    return picture_of(attribute_charts.p_chart(found, sizes, p=0.0225))


def _individuals() -> Spec:
    values = _generator().normal(24.0, 0.012, 30)
    values[21] += 0.06
    chart = control_charts.individuals_chart(values, mean=24.0, sigma=0.012)
    return picture_of(chart, About("bore diameter", "mm"))


def _means() -> Spec:
    rows = _generator().normal(24.0, 0.012, (25, 5))
    rows[18:] += 0.014
    chart = control_charts.means_and_ranges_chart(rows, mean=24.0, sigma=0.012)
    return picture_of(chart, About("mean bore diameter of 5", "mm"))


def _shifted() -> np.ndarray:
    """Forty values of which the last eighteen lie one standard deviation higher."""
    values = np.random.default_rng(3).normal(50.0, 2.0, 40)
    values[22:] += 2.0
    return values


def _averages() -> Spec:
    values = _shifted()
    return picture_of(time_weighted_charts.ewma_chart(values, target=50.0, sigma=2.0))


def _cusum() -> Spec:
    values = _shifted()
    return picture_of(time_weighted_charts.cusum_chart(values, target=50.0, k=1.0, h=8.0))


def _run_lengths() -> Spec:
    return run_length_curve(
        {
            "single points": [run_lengths.shewhart_run_length(shift) for shift in SHIFTS],
            "cumulative sums": [run_lengths.cusum_run_length(0.5, 4.77, one) for one in SHIFTS],
        }
    )


def _level() -> Spec:
    values = [*_generator().normal(12.0, 1.0, 24), *_generator().normal(13.6, 1.0, 16)]
    found = change_points.mean_shift(values, generator=_generator())
    return picture_of(found, About("minutes per set-up", "min", tuple(values)))


def _turn() -> Spec:
    values = [*_generator().normal(12.0, 1.0, 24), *_generator().normal(13.6, 1.0, 16)]
    return picture_of(change_points.cusum_of_deviations(values), About(unit="min"))


def _levels() -> Spec:
    drawn = _generator()
    values = [*drawn.normal(12, 1, 20), *drawn.normal(16, 1, 15), *drawn.normal(13, 1, 20)]
    found = change_segments.segmented_means(values)
    return picture_of(found, About("scrap", "pieces per shift", tuple(values)))


def _share_change() -> Spec:
    found = [1, 0, 2, 1, 1, 0, 1, 2, 0, 1, 4, 3, 5, 2, 4, 6, 3]
    sizes = [50] * len(found)
    shares = tuple(x / n for x, n in zip(found, sizes, strict=True))
    return picture_of(change_share.share_shift(found, sizes), About(values=shares))


def _capability() -> Spec:
    values = _generator().normal(24.004, 0.009, (25, 5))
    found = capability.process_capability(values, lower=23.97, upper=24.03)
    return picture_of(found, About("bore diameter", "mm", tuple(values.ravel().tolist())))


def _stations() -> Spec:
    drawn = _generator()
    means = {"station 1": 24.0, "station 2": 24.003, "station 3": 24.012, "station 4": 23.999}
    groups = {name: drawn.normal(mean, 0.008, (25, 4)) for name, mean in means.items()}
    return picture_of(station_capability.station_capabilities(groups, lower=23.97, upper=24.03))


def _percentiles() -> Spec:
    found = percentile_capability.percentile_capability(lognorm(0.5, scale=0.004), upper=0.02)
    return picture_of(found, About("roundness", "mm"))


def _gauge() -> Spec:
    drawn = _generator()
    parts = drawn.normal(24.0, 0.01, (10, 1, 1))
    appraisers = np.array([0.0, 0.0012, -0.0008]).reshape(1, 3, 1)
    readings = parts + appraisers + drawn.normal(0.0, 0.0016, (10, 3, 3))
    return picture_of(gauge_study.gauge_study(readings, tolerance=0.06))


def _judges() -> Spec:
    reference = np.array([1] * 12 + [0] * 18)
    drawn = _generator()
    wrong = {"early": (0.05, 0.03), "late": (0.08, 0.06), "night": (0.22, 0.03)}
    decisions = {
        name: np.where(
            drawn.random((30, 3)) < np.where(reference == 0, *rates)[:, None],
            1 - reference[:, None],
            reference[:, None],
        )
        for name, rates in wrong.items()
    }
    return picture_of(attribute_study.attribute_study(decisions, reference))


def _repeats() -> Spec:
    drawn = _generator()
    parts = [part for part in ("A", "B", "C") for _ in range(6)]
    means = drawn.normal(24.0, 0.002, 18)
    sds = drawn.uniform(0.0008, 0.0016, 18)
    return picture_of(repeat_study.repeat_study(parts, means, sds, 6), About(unit="mm"))


def _load() -> Spec:
    names = ("M1", "M2", "M3", "M4")
    machines = [tending.TendedMachine(name, MACHINE.tasks, watched=name == "M4") for name in names]
    return picture_of(tending.tending_load(machines, 53.0))


def _capacity() -> Spec:
    found = capacity.capacity(
        [capacity.DemandLine("shaft", 340_000, 720.0)],
        capacity.DemonstratedRate(0.62, "good", "all days"),
        machine_hours=6 * 15 * 7.5,
        shift_hours=7.5,
        demand_counts="good",
        people_hours=15 * 2 * 7.5,
        people_per_machine=1 / 3,
    )
    return picture_of(found)


def _ages() -> tuple[np.ndarray, np.ndarray]:
    drawn = _generator()
    ages = np.round(drawn.weibull(1.2, 48) * 34) + 1
    since = np.round(drawn.uniform(5, 90, 48))
    return np.minimum(ages, since), ages <= since


def _survival() -> Spec:
    days, closed = _ages()
    still_open = tuple(days[~closed].tolist())
    return picture_of(survival.survival_curve(days, closed), About(values=still_open))


def _groups() -> Spec:
    days, closed = _ages()
    groups = [(days[place::3] * factor, closed[place::3]) for place, factor in enumerate((1, 1, 2))]
    return picture_of(logrank.logrank(groups, ["staffing", "gauges", "handover"]))


def _clock() -> Spec:
    drawn = _generator()
    true = np.sort(drawn.uniform(0.0, 21 * DAY, 120))
    shown = true + 95 + 3.2 * true / DAY + drawn.normal(0.0, 9.0, 120)
    shown[true > 13 * DAY] -= 3600
    return picture_of(clock_offset.clock_offset(shown, true))


def _digits() -> Spec:
    counts = [61, 22, 31, 27, 29, 54, 24, 30, 26, 20]
    return picture_of(digits.terminal_digits(counts), About("the bore reading"))


def _delays() -> Spec:
    drawn = _generator()
    night, day = drawn.exponential(34, 40), drawn.exponential(18, 55)
    found = delays.compare_delays(night, day, ("night", "day"))
    return picture_of(found, About(unit="min"))


PICTURES: dict[str, Callable[[], Spec]] = {
    "exact_interval": lambda: picture_of(proportion.exact_interval(3, 30), About("late checks")),
    "exact_bounds": _strata,
    "clustered_interval": lambda: picture_of(
        clusters.clustered_interval([4, 0, 1, 0, 5, 0, 0, 2, 0, 0], [10] * 10)
    ),
    "stratified_rate": lambda: picture_of(
        stratified.stratified_rate([2, 6, 9], [40, 40, 40], [4000, 1200, 300])
    ),
    "census": lambda: picture_of(finite_lot.census(46, 212)),
    "lot_limits": lambda: picture_of(finite_lot.lot_limits(2, 30, 200)),
    "against_rate": lambda: picture_of(binomial_test.against_rate(5, 30, 0.05)),
    "rate_interval": lambda: picture_of(
        rates.rate_interval(7, 420.0), About("stops", "running hour")
    ),
    "compare_rates": lambda: picture_of(
        rates.compare_rates(18, 420.0, 9, 510.0), About("Stops", "running hour")
    ),
    "power_of_comparison": lambda: picture_of(rates.power_of_comparison(0.4, 0.4, 30.0, 30.0)),
    "could_miss": lambda: picture_of(detection.could_miss(30)),
    "detection_sample": lambda: picture_of(detection.detection_sample(0.05, lot=400)),
    "looks_to_see": lambda: picture_of(work_sampling.looks_to_see(0.15)),
    "looks_for_margin": lambda: picture_of(work_sampling.looks_for_margin(0.2, 0.05)),
    "round_times": lambda: picture_of(
        work_sampling.round_times(480, 8, _generator(), least_gap=15)
    ),
    "acceptance_curve": lambda: picture_of(
        acceptance.acceptance_curve(80, 2, [0.01, 0.025, 0.05, 0.08])
    ),
    "quality_at": lambda: picture_of(acceptance.quality_at(80, 2, 0.1)),
    "find_plan": lambda: picture_of(acceptance.find_plan(0.01, 0.06)),
    "indexed_plan": lambda: picture_of(indexed_plans.indexed_plan(1200, 1.0)),
    "double_plan": lambda: picture_of(
        staged_plans.double_plan(50, 1, 4, 50, 4, np.linspace(0, 0.16, 41))
    ),
    "sequential_plan": lambda: picture_of(staged_plans.sequential_plan(0.01, 0.06)),
    "rectifying": lambda: picture_of(rectifying.rectifying(80, 2, 1000, np.linspace(0, 0.12, 41))),
    "before_after": lambda: picture_of(
        before_after.before_after(12, 30.0, 4, 30.0), About("Unanswered stops", "day")
    ),
    "clean_days_needed": lambda: picture_of(clean_days.clean_days_needed(0.2)),
    "against_sister": lambda: picture_of(
        sister_machine.against_sister((14, 100), (3, 100), (12, 100), (11, 100)),
        About("Unanswered stops", "running hour"),
    ),
    "exact_table": lambda: picture_of(odds_ratio.exact_table(41, 47, 5, 119), About("unattended")),
    "p_chart": _shares,
    "individuals_chart": _individuals,
    "means_and_ranges_chart": _means,
    "ewma_chart": _averages,
    "cusum_chart": _cusum,
    "shewhart_run_length": _run_lengths,
    "means_chart_power": lambda: picture_of(run_lengths.means_chart_power(1.0, 5)),
    "mean_shift": _level,
    "cusum_of_deviations": _turn,
    "segmented_means": _levels,
    "share_shift": _share_change,
    "process_capability": _capability,
    "needed_index": lambda: picture_of(capability_limits.needed_index(1.33, 50)),
    "cpk_limits": lambda: picture_of(capability_limits.cpk_limits(1.33, 50), About("Cpk")),
    "station_capabilities": _stations,
    "percentile_capability": _percentiles,
    "gauge_study": _gauge,
    "observed_capability": lambda: picture_of(gauge_effect.observed_capability(1.67, 0.3)),
    "attribute_study": _judges,
    "repeat_study": _repeats,
    "tending_load": _load,
    "finite_source_queue": lambda: picture_of(interference.finite_source_queue(6, 30.0, 5.0)),
    "most_machines": lambda: picture_of(
        interference_limits.most_machines(30.0, 5.0, longest_mean_wait=6.0)
    ),
    "capacity": _capacity,
    "survival_curve": _survival,
    "logrank": _groups,
    "redated_share": lambda: picture_of(redated.redated_share(17, 46)),
    "clock_offset": _clock,
    "terminal_digits": _digits,
    "declared_agreement": lambda: picture_of(
        declared_recomputed.declared_agreement([[61, 14], [2, 23]]),
        About("Declared against recomputed colour"),
    ),
    "compare_delays": _delays,
}
"""Function by name, and the picture that stands with it."""
