"""Capability against published values, by simulation, and what is not claimed."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import expon, norm, weibull_min

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats.capability import process_capability
from witnessmark.stats.capability_index import capability_indices
from witnessmark.stats.capability_limits import (
    cp_limits,
    cpk_limits,
    needed_index,
    one_sided_index_limits,
)
from witnessmark.stats.control_charts import means_and_deviations_chart, means_and_ranges_chart
from witnessmark.stats.percentile_capability import fitted_capability, percentile_capability
from witnessmark.stats.run_rules import WESTERN_ELECTRIC
from witnessmark.stats.station_capability import station_capabilities
from witnessmark.stats.variance import one_way_anova

TOPIC = "capability"


def _nist(inputs):
    found = capability_indices(inputs["mean"], inputs["s"], inputs["LSL"], inputs["USL"])
    return {
        "Cp": found.cp,
        "Cpk": found.cpk,
        "k": found.k,
        "Cpu": found.cpu,
        "Cpl": found.cpl,
    }


def _cp(inputs):
    cp = capability_indices(50, inputs["s"], inputs["LSL"], inputs["USL"]).cp
    found = cp_limits(cp, inputs["n"], inputs["confidence"])
    return {
        "Cp": (cp, "exact"),
        "ci": ([found.lower, found.upper], "exact"),
        "printed": ([cp, found.lower, found.upper], "printed"),
    }


def _cpk(inputs):
    found = cpk_limits(inputs["Cpk"], inputs["n"], inputs["confidence"])
    limits = [found.lower, found.upper]
    return {"ci": (limits, "exact"), "printed": (limits, "printed")}


def _factors(inputs):
    found = [cp_limits(1.0, n, inputs["confidence"]) for n in inputs["n"]]
    return {
        "lower_factor": [limits.lower for limits in found],
        "upper_factor": [limits.upper for limits in found],
    }


def _gears(inputs):
    rows = inputs["rows_batch_1_to_10"]
    limits = {"lower": inputs["LSL"], "upper": inputs["USL"], "target": inputs["target"]}
    overall = process_capability(rows, **limits)
    sigmas = {
        "pooled": one_way_anova(rows).residual_sd,
        "Rbar": means_and_ranges_chart(rows).sigma,
        "sbar": means_and_deviations_chart(rows).sigma,
    }

    def indices(found):
        # "k" of this item is the smaller of both sides, not the distance from the middle
        return {
            "P_or_Cp": found.cp,
            "upper": found.cpu,
            "lower": found.cpl,
            "k": found.cpk,
        }

    return {
        "mean": overall.mean,
        "s_overall": overall.sd,
        "overall": indices(overall.performance),
        "Cpm_with_s": overall.performance.cpm,
        "count_below_LSL": overall.below,
        "count_above_USL": overall.above,
        "expected_fraction_out_overall": overall.performance.fraction_out,
        **{f"sigma_within_{name}": sigma for name, sigma in sigmas.items()},
        **{
            f"within_{name}": indices(capability_indices(overall.mean, sigma, **limits))
            for name, sigma in sigmas.items()
        },
    }


def _fractions(inputs):
    centred = [capability_indices(0, 1, -3 * cp, 3 * cp) for cp in inputs["Cp_centred"]]
    one_sided = [capability_indices(0, 1, upper=3 * cp) for cp in inputs["Cp_centred"]]
    return {
        "fraction_two_sided": [found.fraction_out for found in centred],
        "fraction_one_sided": [found.fraction_out for found in one_sided],
    }


FAMILIES = {
    "weibull": lambda p: weibull_min(p["shape"], scale=p["scale"]),
    "exponential": lambda p: expon(scale=p["mean"]),
    "normal": lambda p: norm(p["mean"], p["sd"]),
}


def _percentiles(inputs):
    distribution = FAMILIES[inputs["distribution"]](inputs["parameters"])
    found = percentile_capability(distribution, inputs["LSL"], inputs["USL"])
    return {
        "p0135": found.low,
        "median": found.median,
        "p99865": found.high,
        "Pp": found.pp,
        "Ppu": found.ppu,
        "Ppl": found.ppl,
        "Ppk": found.ppk,
        "fraction_out": found.fraction_out,
    }


FOUND = {
    "cap-nist-6.1.6": _nist,
    "cap-ci-cp-montgomery": _cp,
    "cap-ci-cpk-montgomery": _cpk,
    "cap-ci-cp-factors": _factors,
    "cap-gear-data": _gears,
    "cap-ppm": _fractions,
    "cap-nonnormal-weibull": _percentiles,
    "cap-nonnormal-exponential": _percentiles,
    "cap-nonnormal-normal": _percentiles,
}


def test_published(item, agrees):
    agrees(item, FOUND[item["id"]](item["inputs"]))


@pytest.mark.parametrize(("n", "least"), [(30, 1.03), (50, 1.10), (125, 1.18), (300, 1.24)])
def test_an_observed_index_of_one_and_a_third_says_this_much(n, least):
    """Hand calculation, normal theory (Bissell, one-sided 95 %)."""
    assert round(cpk_limits(1.33, n, sides="lower").lower, 2) == least


@pytest.mark.parametrize(("n", "needed"), [(50, 1.61), (125, 1.49), (300, 1.43)])
def test_to_say_that_one_and_a_third_is_reached_needs_this_much(n, needed):
    """Hand calculation, normal theory (Bissell, one-sided 95 %)."""
    found = needed_index(1.33, n)
    assert round(found.needed, 2) == needed
    assert cpk_limits(found.needed, n, sides="lower").lower == pytest.approx(1.33, abs=1e-9)


def _coverage(limits, true, n, observed):
    bounds = [limits(value, n) for value in observed]
    return np.mean([found.lower <= true <= found.upper for found in bounds])


def _drawn(generator, n, times=3000):
    return generator.normal(0, 1, (times, n))


def test_exact_limits_cover_what_they_say():
    generator = np.random.default_rng(7)
    error = 3 * math.sqrt(0.05 * 0.95 / 3000)
    rows = _drawn(generator, 12)
    covered = _coverage(cp_limits, 1.2, 12, 3.6 / (3 * rows.std(axis=1, ddof=1)))
    assert covered == pytest.approx(0.95, abs=error), f"Cp: {covered:.4f}"
    rows = _drawn(generator, 12, 400)
    observed = (3.6 - rows.mean(axis=1)) / (3 * rows.std(axis=1, ddof=1))
    covered = _coverage(one_sided_index_limits, 1.2, 12, observed)
    assert covered == pytest.approx(0.95, abs=3 * math.sqrt(0.05 * 0.95 / 400)), covered


@pytest.mark.parametrize("mean", [0.0, 1.0])
def test_approximate_limits_cover_nearly_what_they_say(mean):
    """The approximation is allowed one point below its level at n = 50."""
    rows = _drawn(np.random.default_rng(7), 50) + mean
    middle, spread = rows.mean(axis=1), rows.std(axis=1, ddof=1)
    observed = np.minimum(5 - middle, middle + 5) / (3 * spread)
    covered = _coverage(cpk_limits, (5 - mean) / 3, 50, observed)
    assert covered >= 0.94 - 3 * math.sqrt(0.05 * 0.95 / 3000), f"{mean}: {covered:.4f}"


def test_needed_index_is_shown_by_few_processes_that_just_reach_the_requirement():
    rows = _drawn(np.random.default_rng(7), 125)
    middle, spread = rows.mean(axis=1), rows.std(axis=1, ddof=1)
    observed = np.minimum(3.99 - middle, middle + 3.99) / (3 * spread)
    passed = np.mean(observed >= needed_index(1.33, 125).needed)
    assert passed <= 0.05 + 3 * math.sqrt(0.05 * 0.95 / 3000), passed


@given(st.floats(0.1, 3), st.integers(5, 400))
def test_limits_nest_with_confidence_and_narrow_with_n(index, n):
    for limits in (cp_limits, cpk_limits):
        narrow, wide, more = limits(index, n, 0.9), limits(index, n, 0.99), limits(index, 2 * n)
        assert wide.lower < narrow.lower < index < narrow.upper < wide.upper
        assert more.upper - more.lower < limits(index, n).upper - limits(index, n).lower
        assert limits(index, n, 0.9, "lower").lower > narrow.lower
        assert limits(index, n, sides="lower").upper is None


@pytest.mark.parametrize(("index", "n"), [(0.0, 5), (-0.5, 20), (1.33, 2), (2.0, 1000)])
def test_one_sided_limits_hold_at_the_edges(index, n):
    found = one_sided_index_limits(index, n)
    assert found.lower < index < found.upper
    assert found.lower < one_sided_index_limits(index, n, sides="lower").lower < index


@given(
    st.lists(st.integers(-20, 20), min_size=6, max_size=40).filter(lambda x: len(set(x)) > 2),
    st.sampled_from([0.001, 25.4]),
)
def test_units_do_not_change_an_index(row, factor):
    one = process_capability(row, -30, 40)
    other = process_capability([factor * value for value in row], -30 * factor, 40 * factor)
    assert other.performance.cpk == pytest.approx(one.performance.cpk)
    assert other.ppk.lower == pytest.approx(one.ppk.lower)
    assert other.is_stable == one.is_stable


def test_an_unstable_process_gets_no_potential():
    generator = np.random.default_rng(7)
    steady = generator.normal(10, 1, (25, 5))
    moved = steady + np.where(np.arange(25) > 12, 3, 0)[:, None]
    good, bad = (process_capability(list(rows), 4, 19) for rows in (steady, moved))
    assert good.is_stable
    assert good.potential.cpk == pytest.approx(2, abs=0.3)
    assert "Cpk" in good.sentence
    assert not bad.is_stable
    assert bad.potential is None
    assert "no Cp or Cpk is claimed" in bad.sentence
    assert "outside the limits" in bad.assumptions[0]
    assert bad.performance.cpk < good.performance.cpk


def test_run_rules_adopted_by_the_plant_count_for_stability():
    row = [5.0, 4.8, 5.2, 5.0, 4.7, 5.1, 5.4, 5.5, 5.3, 5.4, 5.6, 5.3, 5.5, 5.4]
    assert process_capability(row, 4, 7).is_stable
    found = process_capability(row, 4, 7, rules=WESTERN_ELECTRIC)
    assert found.potential is None
    assert "under 4 rules" in found.assumptions[0]


def test_subgroups_choose_their_chart_and_one_sided_tolerances_have_no_cp():
    generator = np.random.default_rng(7)
    large = process_capability(list(generator.normal(0, 1, (12, 12))), upper=4)
    assert "standard deviations" in large.method
    assert "noncentral t" in large.method
    assert large.pp is None
    assert large.potential.cp is None
    assert "Shapiro-Wilk" in large.assumptions[1]


def test_stations_are_kept_apart_and_said_to_differ():
    generator = np.random.default_rng(7)
    groups = {name: generator.normal(mean, 1, 60) for name, mean in (("1", 0), ("2", 0), ("3", 2))}
    found = station_capabilities(groups, -6, 6)
    assert found.least == "3"
    assert found.means_p < 1e-6
    assert found.spreads_p > 0.01
    assert "not pooled" in found.sentence
    assert set(found.by_station) == {"1", "2", "3"}
    pooled = process_capability(np.concatenate(list(groups.values())), -6, 6)
    each = [station.performance.cpk for station in found.by_station.values()]
    assert min(abs(pooled.performance.cpk - one) for one in each) > 0.05, "it describes none"


def test_a_fitted_family_gives_back_the_one_the_values_came_from():
    drawn = weibull_min(2, scale=10).rvs(4000, random_state=np.random.default_rng(7))
    found = fitted_capability(drawn, weibull_min, lower=0.2, upper=30, origin=0)
    true = percentile_capability(weibull_min(2, scale=10), 0.2, 30)
    assert found.ppk == pytest.approx(true.ppk, rel=0.05)
    assert "cannot be checked" in found.assumptions[1]
    skewed = process_capability(drawn, 0.2, 30).performance.cpl
    assert skewed < 0.8 * found.ppl, "normal theory misjudges the short side"


def test_sentences_carry_limits_and_confidence():
    assert "between 0.88 and 1.78" in cpk_limits(1.33, 20).sentence
    assert "95 % confidence" in cpk_limits(1.33, 20).sentence
    assert "at least 1.03" in cpk_limits(1.33, 30, sides="lower").sentence
    assert "at least 1.61" in needed_index(1.33, 50).sentence
    assert "on target it would be 1.00" in capability_indices(16, 2, 8, 20).sentence


@pytest.mark.parametrize(
    ("call", "why"),
    [
        (lambda: capability_indices(0, 0, 0, 1), "sd = 0"),
        (lambda: capability_indices(0, 1), "no tolerance limit"),
        (lambda: capability_indices(0, 1, 1, 0), "the lower below the upper"),
        (lambda: capability_indices(math.nan, 1, 0), "missing or infinite"),
        (lambda: cp_limits(0, 20), "cp = 0"),
        (lambda: cp_limits(1, 1), "n = 1"),
        (lambda: cpk_limits(1, 20, 1), "confidence = 1"),
        (lambda: needed_index(1.33, 2), "more values"),
        (lambda: process_capability([5.0] * 30, 0, 9), "all the same"),
        (lambda: process_capability([1, 2, 3], 0, 9), "3 values: needs at least 5"),
        (lambda: process_capability([1, 2, 3, 4, math.nan], 0, 9), "1 of 5 values are missing"),
        (lambda: process_capability([1, 2, 3, 4, 5]), "no tolerance limit"),
        (lambda: station_capabilities({"1": [1, 2, 1, 2, 1]}, 0, 9), "at least 2 stations"),
        (lambda: fitted_capability(range(29), norm, 0), "29 values: needs at least 30"),
        (lambda: fitted_capability([1] * 30, norm, 0), "all values are the same"),
        (lambda: fitted_capability(range(-1, 30), expon, 0, origin=0), "from the origin 0 on"),
        (lambda: percentile_capability(norm(0, -1), 0), "finite ones that rise"),
    ],
)
def test_unfit_numbers_are_refused(call, why):
    with pytest.raises(UnfitNumbersError, match=why):
        call()
