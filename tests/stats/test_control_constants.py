"""Factors against published tables and closed forms."""

import numpy as np
import pytest

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats.control_constants import c4, control_constants, d2, d3, median_range
from witnessmark.stats.gauge_constants import d2_star, k1, k2, k3

TOPIC = "control_constants"


def _table(inputs):
    names = ("d2", "d3", "c4", "A2", "A3", "D3", "D4", "B3", "B4", "E2")
    return {
        "table": [
            {"n": n} | {name: getattr(control_constants(n), name) for name in names}
            for n in inputs["n"]
        ]
    }


def _printed(inputs):
    columns = ["d2", "d3", "c4", "A2", "A3", "D3", "D4", "B3", "B4"]
    rows = [[n, *(getattr(control_constants(n), name) for name in columns)] for n in inputs["n"]]
    return {"columns": columns, "rows": rows}


def _closed_two(inputs):
    found = control_constants(inputs["n"])
    return {
        "d2": found.d2,
        "d3": found.d3,
        "c4": found.c4,
        "D4": found.D4,
        "median_moving_range_factor": median_range(inputs["n"]),
        "three_over_d2": found.E2,
    }


FOUND = {
    "cc-const-n2-10": _table,
    "cc-const-published-3digit": _printed,
    "cc-const-closed-n2": _closed_two,
    "cc-const-closed-n3": lambda inputs: {"d2": d2(inputs["n"])},
    "cc-const-d2star": lambda inputs: {"d2star": [d2_star(m, g) for m, g in inputs["m_g"]]},
    "cc-const-aiag-K": lambda inputs: {
        "K1": [k1(n) for n in inputs["K1_trials"]],
        "K2": [k2(n) for n in inputs["K2_appraisers"]],
        "K3": [k3(n) for n in inputs["K3_parts"]],
    },
}


def test_published(item, agrees):
    agrees(item, FOUND[item["id"]](item["inputs"]))


def test_factors_of_a_given_sigma_are_those_of_the_mean_times_its_factor():
    for n in (2, 5, 10, 25):
        found = control_constants(n)
        assert pytest.approx(found.D4 * found.d2) == found.D2
        assert pytest.approx(found.D3 * found.d2) == found.D1
        assert pytest.approx(found.B4 * found.c4) == found.B6
        assert pytest.approx(found.B3 * found.c4) == found.B5


def test_mean_and_spread_of_ranges_and_deviations_are_those_of_drawn_samples():
    drawn = np.random.default_rng(7).standard_normal((40_000, 6))
    ranges = np.ptp(drawn, axis=1)
    assert ranges.mean() == pytest.approx(d2(6), abs=4 * d3(6) / 200)
    assert ranges.std() == pytest.approx(d3(6), rel=0.02)
    assert np.median(ranges) == pytest.approx(median_range(6), abs=0.03)
    assert drawn.std(axis=1, ddof=1).mean() == pytest.approx(c4(6), abs=0.01)


def test_large_subgroups_still_have_their_factors():
    assert d2(1000) == pytest.approx(6.4829, abs=5e-4)  # Tippett 1925, table (memory)
    assert c4(1000) == pytest.approx(1 - 1 / (4 * 1000), abs=1e-6)


@pytest.mark.parametrize("unfit", [0, 1, 2.5, -3, np.nan])
@pytest.mark.parametrize("factor", [d2, d3, c4, median_range, control_constants, k1, k2, k3])
def test_a_subgroup_below_two_has_no_factor(factor, unfit):
    with pytest.raises(UnfitNumbersError, match="needs a whole number of at least 2"):
        factor(unfit)


def test_no_range_has_no_divisor():
    with pytest.raises(UnfitNumbersError, match="g = 0: needs a whole number of at least 1"):
        d2_star(2, 0)


def test_the_factors_say_what_they_rest_on():
    found = control_constants(5)
    assert "mean range is 2.326 sigma" in found.sentence
    assert "independent and normal" in found.assumptions[0]
