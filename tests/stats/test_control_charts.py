"""Charts and run rules against published examples, by hand and by simulation."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats.attribute_charts import c_chart, np_chart, p_chart, u_chart
from witnessmark.stats.control_charts import (
    individuals_chart,
    means_and_deviations_chart,
    means_and_ranges_chart,
)
from witnessmark.stats.run_rules import NELSON, WESTERN_ELECTRIC, RunRule, signals
from witnessmark.stats.time_weighted_charts import cusum_chart, ewma_chart
from witnessmark.stats.variance import summary

TOPIC = "control_charts"
RULES = {
    "1: one point beyond 3 sigma": WESTERN_ELECTRIC[0],
    "2 of 3 beyond 2 sigma same side (last point beyond)": WESTERN_ELECTRIC[1],
    "4 of 5 beyond 1 sigma same side (last point beyond)": WESTERN_ELECTRIC[2],
    "8 in a row same side": WESTERN_ELECTRIC[3],
    "9 in a row same side": NELSON[1],
    "6 in a row steadily rising or falling": NELSON[2],
    "14 in a row alternating": NELSON[3],
    "15 in a row within 1 sigma": NELSON[6],
    "8 in a row beyond 1 sigma, both sides": NELSON[7],
}


def _from_one(places):
    return [place + 1 for place in places]


def _xmr(inputs):
    found = individuals_chart(inputs["x"])
    rounded = individuals_chart(
        inputs["x"], sigma=summary(np.abs(np.diff(inputs["x"]))).mean / inputs["d2_used"]
    )
    return {
        "mean": (found.mean, "exact"),
        "MR_bar": (found.spread.centre[0], "exact"),
        "UCL_printed": (rounded.location.upper[0], "printed"),
        "LCL_printed": (rounded.location.lower[0], "printed"),
        "UCL_exact_d2": (found.location.upper[0], "exact"),
        "LCL_exact_d2": (found.location.lower[0], "exact"),
        "MR_UCL_exact": (found.spread.upper[0], "exact"),
        "points_outside": (_from_one(found.location.outside), "exact"),
    }


def _ewma(inputs):
    found = ewma_chart(
        inputs["x"], inputs["target"], inputs["s"], inputs["lambda"], width=inputs["L"]
    )
    return {
        "ewma_printed": (list(found.points), "printed"),
        "ewma_exact": (list(found.points), "exact"),
        "UCL_printed": (found.upper[0], "limits_printed"),
        "LCL_printed": (found.lower[0], "limits_printed"),
        "UCL_exact": (found.upper[0], "exact"),
        "LCL_exact": (found.lower[0], "exact"),
        "out_of_control_points": (_from_one(found.outside), "exact"),
    }


def _cusum(inputs):
    found = cusum_chart(inputs["x"], inputs["target"], inputs["k"], inputs["h"])
    return {
        "S_hi_printed": (list(found.high), "printed"),
        "S_lo_printed": (list(found.low), "printed"),
        "S_hi_exact": (list(found.high), "exact"),
        "S_lo_exact": (list(found.low), "exact"),
        "first_signal_1based": (found.signals[0] + 1, "exact"),
        "signals_1based": (_from_one(found.signals), "exact"),
    }


def _plain_cusum(inputs):
    found = cusum_chart(inputs["x"], inputs["target"], k=0, h=100)
    return {"cusum": list(found.plain), "mean": summary(inputs["x"]).mean}


def _wafer(inputs):
    found = means_and_ranges_chart(inputs["data_rows_days_1_to_20"])
    return {
        "grand_mean": found.mean,
        "R_bar": found.spread.centre[0],
        "xbar": list(found.location.points),
        "R": list(found.spread.points),
        "xbar_UCL": found.location.upper[0],
        "xbar_LCL": found.location.lower[0],
        "R_UCL": found.spread.upper[0],
        "R_LCL": found.spread.lower[0],
        "sigma_within_Rbar_d2": found.sigma,
        "xbar_outside_1based": _from_one(found.location.outside),
        "R_outside_1based": _from_one(found.spread.outside),
    }


def _c(inputs):
    found = c_chart(inputs["counts"])
    limits = (found.centre[0], found.upper[0], found.lower[0])
    return {
        "c_bar": limits[0],
        "UCL": limits[1],
        "LCL": limits[2],
        "printed": list(limits),
        "outside_1based": _from_one(found.outside),
    }


def _p(inputs):
    found = p_chart(inputs["defectives"], inputs["n"])
    return {
        "p_bar": found.centre[0],
        "UCL": found.upper[0],
        "LCL": found.lower[0],
        "outside_1based": _from_one(found.outside),
    }


def _p_variable(inputs):
    found = p_chart(inputs["defectives"], inputs["n"])
    return {
        "p_bar": found.centre[0],
        "p": list(found.points),
        "UCL": list(found.upper),
        "LCL": list(found.lower),
        "z": list(found.z),
        "outside_1based": _from_one(found.outside),
    }


def _u(inputs):
    found = u_chart(inputs["defects"], inputs["length"])
    return {
        "u_bar": found.centre[0],
        "UCL": list(found.upper),
        "LCL": list(found.lower),
        "outside_1based": _from_one(found.outside),
    }


def _rules(inputs):
    found = signals(inputs["z"], RULES.values())
    return {name: _from_one(places) for name, (_, places) in zip(RULES, found.by_rule, strict=True)}


FOUND = {
    "cc-nist-xmr": _xmr,
    "cc-nist-ewma": _ewma,
    "cc-nist-cusum": _cusum,
    "cc-nist-cusum-plain": _plain_cusum,
    "cc-xbar-r-wafer": _wafer,
    "cc-nist-c": _c,
    "cc-nist-p": _p,
    "cc-p-variable-n": _p_variable,
    "cc-u-wire": _u,
} | {f"cc-run-rules-{letter}": _rules for letter in "ABDFG"}


def test_published(item, agrees):
    agrees(item, FOUND[item["id"]](item["inputs"]))


def test_sigma_from_deviations_of_equal_sizes_is_the_mean_deviation_over_its_factor():
    rows = np.random.default_rng(7).normal(10, 2, (30, 4))
    found = means_and_deviations_chart(list(rows))
    assert found.sigma == pytest.approx(rows.std(axis=1, ddof=1).mean() / 0.9213177319)
    assert found.location.upper[0] == pytest.approx(
        rows.mean() + 1.6281028 * rows.std(axis=1, ddof=1).mean()  # A3 of four
    )


@pytest.mark.parametrize("kind", [means_and_ranges_chart, means_and_deviations_chart])
def test_sigma_is_found_without_bias_from_subgroups_of_differing_size(kind):
    generator = np.random.default_rng(7)
    found = [
        kind([generator.normal(50, 3, size) for size in (2, 5, 3, 8, 4, 6, 2, 7)]).sigma
        for _ in range(800)
    ]
    error = np.std(found) / math.sqrt(len(found))
    assert np.mean(found) == pytest.approx(3, abs=3 * error)


def test_limits_of_differing_sizes_are_nearer_for_larger_subgroups():
    generator = np.random.default_rng(7)
    found = means_and_ranges_chart([generator.normal(0, 1, n) for n in (2, 3, 4, 5, 6)])
    assert np.all(np.diff(found.location.upper) < 0)
    assert found.spread.lower == (0.0,) * 5


def test_an_unchanged_process_is_outside_adopted_limits_as_often_as_three_sigma_says():
    row = np.random.default_rng(7).normal(20, 2, 20_000)
    found = individuals_chart(row, mean=20, sigma=2)
    share = len(found.location.outside) / len(row)
    assert share == pytest.approx(0.0027, abs=3 * math.sqrt(0.0027 / 20_000)), share


def test_numbers_and_shares_nonconforming_have_the_same_points_outside():
    counts, sizes = [14, 19, 19, 24, 15, 60], [125, 200, 188, 200, 200, 250]
    one, other = p_chart(counts, sizes), np_chart(counts, sizes)
    assert one.outside == other.outside == (5,)
    assert one.z == pytest.approx(other.z)


def test_counts_more_scattered_than_binomial_are_said():
    found = p_chart([0, 30, 2, 28, 1, 33], 50)
    assert "times what that gives" in found.assumptions[0]
    assert float(found.assumptions[0].split("is ")[1].split(" times")[0]) > 10


@pytest.mark.parametrize(("points", "said"), [(5, "limits are provisional"), (20, "at least 20")])
def test_few_points_give_provisional_limits(points, said):
    assert any(
        said in line for line in c_chart([4, 6] * 10 if points == 20 else [4] * 5).assumptions
    )


def test_exact_limits_of_a_weighted_average_open_to_the_long_run_ones():
    row = [50.0] * 40
    exact, fixed = (ewma_chart(row, 50, 2, exact=flag) for flag in (True, False))
    assert exact.upper[0] == pytest.approx(50 + 3 * 2 * 0.2)
    assert exact.upper[-1] == pytest.approx(fixed.upper[-1], rel=1e-6)


def test_a_head_start_signals_sooner():
    row = [1.0] * 10
    late, soon = (cusum_chart(row, 0, 0.5, 4, head_start=start).signals[0] for start in (0, 2))
    assert (late, soon) == (8, 4)


rows = st.lists(st.integers(-50, 50), min_size=5, max_size=30).filter(lambda x: len(set(x)) > 1)


@given(rows, st.integers(-1000, 1000), st.sampled_from([0.001, 2.0, 1000.0]))
def test_units_and_origin_do_not_change_what_is_outside(row, by, factor):
    one = individuals_chart(row)
    other = individuals_chart([factor * (value + by) for value in row])
    assert one.location.z == pytest.approx(other.location.z, abs=1e-6)
    assert not np.isnan(one.location.z).any()


zs = st.lists(st.sampled_from([-3.5, -2.5, -1.5, -0.5, 0.0, 0.5, 1.5, 2.5, 3.5]), min_size=1)


@given(zs)
def test_mirrored_points_signal_at_the_same_places(z):
    one, other = signals(z, NELSON), signals([-value for value in z], NELSON)
    assert one.points == other.points
    assert all(0 <= place < len(z) for place in one.points)


@given(zs)
def test_signals_are_those_of_a_plain_look_at_each_window(z):
    """The automaton against the definition, written out for windows."""
    found = dict(signals(z, NELSON).by_rule)

    def windows(size, holds):
        return tuple(
            end - 1 for end in range(size, len(z) + 1) if holds(np.array(z[end - size : end]))
        )

    def steps(w):
        return np.sign(np.diff(w))

    assert found[NELSON[1]] == windows(9, lambda w: abs(np.sign(w).sum()) == 9)
    assert found[NELSON[2]] == windows(6, lambda w: abs(steps(w).sum()) == 5)
    assert found[NELSON[3]] == windows(
        14, lambda w: steps(w).all() and (steps(w)[1:] == -steps(w)[:-1]).all()
    )
    assert found[NELSON[6]] == windows(15, lambda w: (abs(w) < 1).all())
    assert found[NELSON[7]] == windows(
        8, lambda w: (abs(w) > 1).all() and abs(np.sign(w).sum()) < 8
    )
    two = tuple(
        place
        for place in range(len(z))
        if abs(z[place]) > 2
        and sum(value * np.sign(z[place]) > 2 for value in z[max(0, place - 2) : place + 1]) >= 2
    )
    assert found[NELSON[4]] == two


def test_sentences_say_what_was_found_and_what_it_does_not_show():
    chart = c_chart([4, 5, 6, 4, 30])
    assert "1 lies outside the limits (counting from 1: 5)" in chart.sentence
    assert chart.sentence.endswith("comes by chance, more often the longer the chart.")
    assert "none signals" in signals([0.1, -0.2]).sentence
    assert "2 points of 3 in a row beyond 2 sigma on one side: 3" in signals([2.1, 0, 2.2]).sentence
    assert "at point 2 " in cusum_chart([9, 9], 0, 1, 10).sentence
    assert individuals_chart([1, 2, 1, 2, 1, 2]).is_stable


@pytest.mark.parametrize(
    ("call", "why"),
    [
        (lambda: individuals_chart([1, 2, 3, 4]), "4 values: needs at least 5"),
        (lambda: individuals_chart([2.0] * 9), "all the same: needs values that vary"),
        (lambda: individuals_chart([1, 2, math.nan, 4, 5]), "1 of 5 values are missing"),
        (lambda: means_and_ranges_chart([[1, 2]] * 4), "subgroups: 4: needs at least 5"),
        (lambda: means_and_ranges_chart([[1, 1]] * 5), "all the same"),
        (lambda: means_and_deviations_chart([[1]] * 5), "1 values: needs at least 2"),
        (lambda: p_chart([0] * 9, 50), "share of exactly 0"),
        (lambda: p_chart([60, 1, 1, 1, 1], 50), "x no larger than n"),
        (lambda: p_chart([1, 1, 1, 1, 1], 0), "a whole number of at least 1"),
        (lambda: p_chart([1, 1, 1, 1, 1], [50, 50]), "rows of different length"),
        (lambda: c_chart([1.5, 1, 1, 1, 1]), "counts = 1.5"),
        (lambda: c_chart([-1, 1, 1, 1, 1]), "counts = -1"),
        (lambda: c_chart([0] * 6), "none found"),
        (lambda: u_chart([1] * 5, [1, 1, 1, 1, 0]), "exposures above 0"),
        (lambda: ewma_chart([1.0], 0, 1, weight=0), "above 0 and at most 1"),
        (lambda: cusum_chart([1.0], 0, -1, 4), "k = -1"),
        (lambda: cusum_chart([1.0], 0, 0.5, 4, head_start=4), "head_start = 4"),
        (lambda: signals([]), "z: 0 values"),
        (lambda: signals([1.0], []), "rules: none"),
        (lambda: RunRule("wavy", 2, 2), "kind = wavy"),
        (lambda: RunRule("same-side", 2, 3), "as many points as counted"),
        (lambda: RunRule("beyond", 2, 3), "limit = 0.0: needs a number above 0"),
    ],
)
def test_unfit_numbers_are_refused(call, why):
    with pytest.raises(UnfitNumbersError, match=why):
        call()
