"""Spread of readings against the gauge: calculated limits, simulation, refusals."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.stats.spread_against_gauge import spread_against_gauge


@pytest.mark.parametrize(("n", "ratio"), [(25, 0.58), (50, 0.70), (100, 0.79)])
def test_ratios_that_have_a_probability_below_a_thousandth(n, ratio):
    """Hand calculation: square root of the 0.001 quantile of chi-square over n - 1."""
    readings = np.random.default_rng(7).normal(0, 0.3, n)
    found = spread_against_gauge(readings, 1.0)
    assert round(found.least_ratio, 2) == ratio
    assert found.smaller
    at_limit = readings / readings.std(ddof=1) * found.least_ratio
    assert spread_against_gauge(at_limit, 1.0).p == pytest.approx(0.001)


def test_gauge_alone_raises_no_more_alarms_than_it_may():
    rows = np.random.default_rng(7).normal(size=(4000, 25))
    p = np.array([spread_against_gauge(row, 1.0).p for row in rows])
    alarms = np.mean(p < 0.05)
    assert abs(alarms - 0.05) <= 3 * math.sqrt(0.05 * 0.95 / 4000), f"{alarms:.4f}"
    wider = [spread_against_gauge(1.5 * row, 1.0).p for row in rows[:1000]]
    assert np.mean(np.array(wider) < 0.05) < 0.005


def test_flat_readings():
    found = spread_against_gauge([0.1 + 0.2] * 30, 0.01)
    assert (found.sd, found.ratio, found.p, found.flat) == (0, 0, 0, True)
    assert "are all the same" in found.sentence


def test_averages_spread_less_and_that_is_allowed_for():
    means = np.random.default_rng(7).normal(size=(40, 5)).mean(axis=1)
    assert spread_against_gauge(means, 1.0).smaller
    allowed = spread_against_gauge(means, 1.0, averaged_over=5)
    assert not allowed.smaller
    assert "mean of 5 readings" in allowed.assumptions[2]


@pytest.mark.parametrize(
    ("resolution", "said"),
    [(None, "not known"), (3.0, "3.0 times its repeatability"), (0.5, "rounding matters little")],
)
def test_rounding_is_said(resolution, said):
    found = spread_against_gauge([1, 2, 3], 1.0, resolution=resolution)
    assert any(said in text for text in found.assumptions)


@pytest.mark.parametrize(
    ("given_", "message"),
    [
        (([1], 1.0), "readings: 1 values: needs at least 2"),
        (([1, math.nan], 1.0), "1 of 2 values are missing"),
        (([1, 2], 0.0), "repeatability_sd = 0"),
        (([1, 2], math.nan), "repeatability_sd = nan"),
    ],
)
def test_refusals(given_, message):
    with pytest.raises(ValueError, match=message):
        spread_against_gauge(*given_)
    with pytest.raises(ValueError, match="averaged_over = 0"):
        spread_against_gauge([1, 2], 1.0, averaged_over=0)
    with pytest.raises(ValueError, match="resolution = 0"):
        spread_against_gauge([1, 2], 1.0, resolution=0)


@given(st.lists(st.floats(-100, 100), min_size=2, max_size=30), st.floats(0.01, 100))
def test_unit_and_order_do_not_matter_and_a_better_gauge_makes_it_less_odd(readings, sigma):
    one = spread_against_gauge(readings, sigma)
    assert 0 <= one.p <= 1
    assert spread_against_gauge(readings[::-1], sigma).p == pytest.approx(one.p, abs=1e-9)
    scaled = spread_against_gauge([25.4 * x for x in readings], 25.4 * sigma)
    assert scaled.p == pytest.approx(one.p, rel=1e-6, abs=1e-9)
    assert spread_against_gauge(readings, sigma / 2).p >= one.p - 1e-12
