"""A spread below that of the gauge: by hand and by simulation."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats.spread_test import spread_below_gauge


@pytest.mark.parametrize(("n", "ratio"), [(25, 0.58), (50, 0.70), (100, 0.79)])
def test_ratios_with_one_in_a_thousand(n, ratio):
    """Hand calculation: square root of the 0.001 quantile of chi-square over its freedom."""
    assert spread_below_gauge(ratio - 0.005, n, 1).p < 0.001
    assert spread_below_gauge(ratio + 0.005, n, 1).p > 0.001


def test_identical_parts_fall_below_a_level_as_often_as_said():
    drawn = np.random.default_rng(7).normal(0, 2, (4000, 10)).std(axis=1, ddof=1)
    below = np.mean([spread_below_gauge(sd, 10, 2).p <= 0.05 for sd in drawn])
    assert below == pytest.approx(0.05, abs=3 * math.sqrt(0.05 * 0.95 / 4000)), below


@given(st.floats(0, 3), st.floats(0.01, 1), st.integers(2, 300))
def test_a_larger_spread_is_never_less_likely_from_the_gauge_alone(sd, more, n):
    one, other = spread_below_gauge(sd, n, 1), spread_below_gauge(sd + more, n, 1)
    assert 0 <= one.p <= other.p <= 1
    assert spread_below_gauge(1000 * sd, n, 1000).p == pytest.approx(one.p)


def test_a_flat_series_has_no_chance_and_is_not_explained():
    found = spread_below_gauge(0, 25, 0.002)
    assert found.p == 0
    assert "does not say how the values came about" in found.sentence


@pytest.mark.parametrize(
    ("given_numbers", "why"),
    [((-1, 25, 1), "sd = -1"), ((1, 1, 1), "n = 1"), ((1, 25, 0), "repeatability = 0")],
)
def test_unfit_numbers_are_refused(given_numbers, why):
    with pytest.raises(UnfitNumbersError, match=why):
        spread_below_gauge(*given_numbers)
