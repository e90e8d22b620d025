"""Gauge studies against published ones, by simulation, and what they do not claim."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats.gauge_anova import crossed_anova
from witnessmark.stats.gauge_effect import observed_capability, true_capability
from witnessmark.stats.gauge_study import average_range_study, gauge_study
from witnessmark.stats.intraclass import intraclass_correlations
from witnessmark.stats.repeat_study import repeat_study

TOPIC = "gauge_studies"


def _readings(inputs, key):
    """The study as parts by appraisers by trials."""
    return np.array(list(inputs[key].values()), dtype=float).transpose(2, 0, 1)


def _referenced(inputs):
    (given_study,) = inputs["referenced_inputs"].values()
    return _readings(given_study, next(iter(given_study)))


def _anova(inputs):
    found = crossed_anova(_readings(inputs, "appraiser_trial_part"))
    names = {
        "part": "part",
        "operator": "appraiser",
        "interaction": "interaction",
        "error": "error",
    }
    table = {
        name: {"df": found.df[source], "SS": found.ss[source], "MS": found.ms[source]}
        for name, source in names.items()
    }
    over_error = {name: row["MS"] / found.ms["error"] for name, row in table.items()}
    for name in ("part", "operator"):
        table[name]["F_vs_interaction"] = table[name]["MS"] / found.ms["interaction"]
        table[name]["F_vs_error"] = over_error[name]
    table["interaction"] |= {"F_vs_error": found.interaction_f, "p": found.interaction_p}
    squares = {name: row["SS"] for name, row in table.items()}
    total = sum(squares.values())
    return {
        # `table` and `total_SS` go by the tolerance that stands without a name
        **{f"table.{name}": row for name, row in table.items()},
        "total_SS": total,
        "published_SS": (squares | {"total": total}, "published"),
        "published_F_vs_error": (over_error, "published_F"),
    }


def _pooled(inputs):
    found = gauge_study(_referenced(inputs))
    return {
        "repeatability_var": found.repeatability**2,
        "operator_var": found.reproducibility**2 - found.interaction**2,
        "interaction_var": found.interaction**2,
        "reproducibility_var": found.reproducibility**2,
        "grr_var": found.gauge**2,
        "part_var": found.part**2,
        "total_var": found.total**2,
        "repeatability_sd": found.repeatability,
        "reproducibility_sd": found.reproducibility,
        "grr_sd": found.gauge,
        "part_sd": found.part,
        "total_sd": found.total,
        "pct_study_repeatability": 100 * found.repeatability / found.total,
        "pct_study_reproducibility": 100 * found.reproducibility / found.total,
        "pct_study_grr": 100 * found.gauge_share_of_variation,
        "pct_study_part": 100 * found.part / found.total,
        "pct_contribution_grr": 100 * found.gauge_share_of_variation**2,
        "ndc_untruncated": found.categories,
        "ndc": found.ndc,
    }


def _average_range(inputs):
    data = _referenced(inputs)
    found = average_range_study(data, factors=(inputs["K1"], inputs["K2"], inputs["K3"]))
    means = data.mean(axis=(0, 2))
    return {
        "R_bar_by_appraiser": np.ptp(data, axis=2).mean(axis=0).tolist(),
        "R_double_bar": found.repeatability / inputs["K1"],
        "appraiser_means": means.tolist(),
        "X_diff": float(np.ptp(means)),
        "R_part": found.part / inputs["K3"],
        "EV": found.repeatability,
        "AV": found.reproducibility,
        "GRR": found.gauge,
        "PV": found.part,
        "TV": found.total,
        "pct_EV": 100 * found.repeatability / found.total,
        "pct_AV": 100 * found.reproducibility / found.total,
        "pct_GRR": 100 * found.gauge_share_of_variation,
        "pct_PV": 100 * found.part / found.total,
        "ndc_untruncated": found.categories,
        "ndc": found.ndc,
    }


def _ranges(inputs):
    data = _referenced(inputs)
    found = average_range_study(data, factors=(1 / 1.128, 1.0, 1.0))  # the source rounds d2
    return {
        "R_bar_by_operator": np.ptp(data, axis=2).mean(axis=0).tolist(),
        "R_double_bar": float(np.ptp(data, axis=2).mean()),
        "operator_means": data.mean(axis=(0, 2)).tolist(),
        "sigma_repeatability": found.repeatability,
    }


def _to_tolerance(inputs):
    """Trials one gauge spread apart on average, so that the study finds the given one."""
    apart = inputs["GRR_sd"] / math.sqrt(2)
    data = np.array([[[part - apart, part + apart]] * 2 for part in (0.0, 1.0, 2.0)])
    found = gauge_study(data, tolerance=inputs["tolerance"], pool_above=1)
    return {"percent": 100 * found.gauge_share_of_tolerance}


def _intraclass(inputs):
    found = intraclass_correlations(inputs["rows_subjects_cols_judges"])
    return {
        "ICC_1_1,2_1,3_1,1_k,2_k,3_k": [*found.single, *found.average],
        "MS_between,within,judges,error": [
            found.ms_between,
            found.ms_within,
            found.ms_judges,
            found.ms_error,
        ],
    }


def _resistivity(inputs):
    wafers, _days, means, sds = zip(*inputs["rows_wafer_day_mean_sd"], strict=True)
    found = repeat_study(wafers, means, sds, readings=6)
    return {
        "pooled_repeatability_sd": found.repeatability,
        "df": found.df,
        "by_wafer": found.repeatability_by_part,
        "level2_day_to_day_sd_by_wafer": found.day_to_day_by_part,
        "level2_pooled": found.day_to_day,
    }


FOUND = {
    "msa-aiag-anova-table": _anova,
    "msa-aiag-anova-pooled": _pooled,
    "msa-aiag-average-range": _average_range,
    "msa-montgomery-range": _ranges,
    "msa-precision-to-tolerance": _to_tolerance,
    "msa-icc-shrout-fleiss": _intraclass,
    "msa-nist-resistivity-repeatability": _resistivity,
}
LEFT_OUT = {
    "msa-aiag-average-range": {
        "UCL_R": "2.57498 times the mean range; D4 of three, integrated and as tabled, is 2.5746"
    }
}


def test_published(item, agrees):
    agrees(item, FOUND[item["id"]](item["inputs"]), LEFT_OUT.get(item["id"]))


def _study(generator, parts=10, appraisers=3, trials=3, spreads=(3.0, 0.5, 0.4, 1.0)):
    part, person, both, error = spreads
    return (
        generator.normal(0, part, (parts, 1, 1))
        + generator.normal(0, person, (1, appraisers, 1))
        + generator.normal(0, both, (parts, appraisers, 1))
        + generator.normal(0, error, (parts, appraisers, trials))
    )


@pytest.mark.parametrize("both", [0.0, 0.6])
def test_limits_of_the_gauge_cover_what_they_say(both):
    """Pooling is decided by the data, so one point below the level is allowed."""
    generator = np.random.default_rng(7)
    spreads = (3.0, 0.5, both, 1.0)
    true = math.sqrt(0.25 + both**2 + 1)
    studies = [gauge_study(_study(generator, spreads=spreads)) for _ in range(800)]
    inside = np.mean([low <= true <= high for low, high in (s.gauge_limits for s in studies)])
    assert inside >= 0.94 - 3 * math.sqrt(0.05 * 0.95 / 800), f"{both}: {inside:.4f}"


def test_limits_of_the_repeatability_are_exact():
    generator = np.random.default_rng(7)
    studies = [gauge_study(_study(generator), pool_above=1) for _ in range(800)]
    inside = np.mean([s.repeatability_limits[0] <= 1 <= s.repeatability_limits[1] for s in studies])
    assert inside == pytest.approx(0.95, abs=3 * math.sqrt(0.05 * 0.95 / 800)), inside


def test_the_spreads_are_found_again():
    found = gauge_study(_study(np.random.default_rng(7), 200, 40, 3))
    assert found.repeatability == pytest.approx(1, rel=0.03)
    assert found.reproducibility == pytest.approx(math.hypot(0.5, 0.4), rel=0.2)
    assert found.part == pytest.approx(3, rel=0.15)
    assert "interaction kept" in found.method


def test_the_rule_of_pooling_is_said():
    data = _study(np.random.default_rng(7), spreads=(3.0, 0.5, 0.0, 1.0))
    always, never = gauge_study(data, pool_above=0), gauge_study(data, pool_above=1)
    assert any("above 0, pooled" in line for line in always.assumptions)
    assert any("kept." in line for line in never.assumptions)


@given(st.sampled_from([0.001, 25.4]), st.floats(-100, 100), st.permutations(range(5)))
def test_units_origin_and_order_do_not_change_the_shares(factor, by, order):
    data = _study(np.random.default_rng(7), parts=5)
    other = factor * (data[order] + by)
    for study in (gauge_study, average_range_study):
        one, two = study(data, 30.0), study(other, 30.0 * factor)
        assert two.gauge_share_of_variation == pytest.approx(one.gauge_share_of_variation)
        assert two.gauge_share_of_tolerance == pytest.approx(one.gauge_share_of_tolerance)


def test_share_of_tolerance_and_of_variation_are_kept_apart():
    data = _study(np.random.default_rng(7))
    alone, beside = gauge_study(data), gauge_study(data, tolerance=60)
    assert alone.gauge_share_of_tolerance is None
    assert "no tolerance was given" in alone.sentence
    assert beside.gauge_share_of_variation == alone.gauge_share_of_variation
    low, high = beside.tolerance_share_limits
    assert low < beside.gauge_share_of_tolerance < high
    assert "95 % limits" in beside.sentence
    assert average_range_study(data, 60).gauge_limits is None


@pytest.mark.parametrize(("share", "seen"), [(0.3, 1.49), (0.5, 1.28)])
def test_a_gauge_makes_a_true_capability_appear_smaller(share, seen):
    """Hand calculation, common practice: 1 / observed^2 = 1 / true^2 + share^2."""
    found = observed_capability(1.67, share)
    assert round(found.observed, 2) == seen
    assert true_capability(found.observed, share).true == pytest.approx(1.67)
    assert f"appears as {seen}" in found.sentence


def test_five_categories_are_a_gauge_share_of_27_percent_of_the_variation():
    """Hand calculation: 1.41 sqrt(1 - g^2) / g = 5 gives g = 0.27."""
    shares = np.linspace(0.1, 0.9, 8001)
    categories = 1.41 * np.sqrt(1 - shares**2) / shares
    assert round(float(shares[categories >= 5].max()), 2) == 0.27
    data = _study(np.random.default_rng(7))
    found = gauge_study(data)
    share = found.gauge_share_of_variation
    assert found.categories == pytest.approx(1.41 * math.sqrt(1 - share**2) / share)


@given(st.floats(0.2, 4), st.floats(0, 1))
def test_the_way_back_from_an_observed_capability_leads_home(true, share):
    found = observed_capability(true, share)
    assert found.observed <= true * (1 + 1e-12)
    if found.observed * share < 0.99:
        assert true_capability(found.observed, share).true == pytest.approx(true)


def test_a_correlation_does_not_change_with_units_and_order():
    data = np.random.default_rng(7).normal(0, 1, (12, 4)) + np.arange(12)[:, None]
    one = intraclass_correlations(data)
    two = intraclass_correlations(1000 * data[::-1, ::-1] + 5)
    assert two.single == pytest.approx(one.single)
    assert two.average == pytest.approx(one.average)
    assert "no limits are given" in one.sentence


def test_limits_of_a_repeat_study_cover_what_they_say():
    generator = np.random.default_rng(7)
    inside = 0
    for _ in range(600):
        data = generator.normal(0, 2, (8, 4))
        low, high = repeat_study(
            list("aabbccdd"), data.mean(axis=1), data.std(axis=1, ddof=1), 4
        ).repeatability_limits
        inside += low <= 2 <= high
    assert inside / 600 == pytest.approx(0.95, abs=3 * math.sqrt(0.05 * 0.95 / 600)), inside / 600


FLAT = [[[1, 1], [1, 1]], [[2, 2], [2, 2]]]


@pytest.mark.parametrize(
    ("call", "why"),
    [
        (lambda: gauge_study([[1, 2], [3, 4]]), r"shape \(2, 2\): needs parts by appraisers"),
        (lambda: gauge_study([[[1], [2]], [[3], [4]]]), "at least 2 of each"),
        (lambda: gauge_study([[[1, 2], [3]], [[3, 4], [5, 6]]]), "differing number"),
        (lambda: gauge_study([[[1, math.nan], [3, 1]], [[3, 4], [5, 6]]]), "1 of 8 values"),
        (lambda: gauge_study(FLAT), "trials never vary"),
        (lambda: average_range_study(FLAT), "trials never vary"),
        (lambda: crossed_anova(np.ones((2, 2, 2))), "all are the same"),
        (lambda: gauge_study(_study(np.random.default_rng(7)), 0), "tolerance = 0"),
        (lambda: gauge_study(_study(np.random.default_rng(7)), pool_above=2), "pool_above = 2"),
        (lambda: gauge_study(_study(np.random.default_rng(7)), confidence=1), "confidence = 1"),
        (lambda: observed_capability(0, 0.3), "true = 0"),
        (lambda: observed_capability(1, -0.3), "gauge_share = -0.3"),
        (lambda: true_capability(2.0, 0.5), "smaller than the spread observed"),
        (lambda: intraclass_correlations([1, 2]), "subjects by judges"),
        (lambda: intraclass_correlations([[1, 2], [1, 2]]), "subjects do not differ"),
        (lambda: repeat_study(["a"], [1, 2], [1, 1], 6), "rows of different length"),
        (lambda: repeat_study(["a", "b"], [1, 2], [1, 1], 6), "at least 2"),
        (lambda: repeat_study(["a", "a"], [1, 2], [0, 0], 6), "hide the spread"),
        (lambda: repeat_study(["a", "a"], [1, 2], [1, 1], 1), "readings = 1"),
    ],
)
def test_unfit_numbers_are_refused(call, why):
    with pytest.raises(UnfitNumbersError, match=why):
        call()
