"""mid-P and Wilson: between too short and exact, by simulation and by order."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from witnessmark.stats.approximate_interval import mid_p_interval, wilson_interval
from witnessmark.stats.proportion import SIDES, exact_interval

counts = st.tuples(st.integers(0, 300), st.integers(0, 300)).map(sorted)


@given(counts, st.sampled_from(SIDES))
def test_mid_p_lies_within_exact_and_encloses_the_rate(pair, side):
    x, n = pair
    inner, outer = mid_p_interval(x, n, side=side), exact_interval(x, n, side=side)
    assert outer.lower - 1e-9 <= inner.lower <= inner.upper <= outer.upper + 1e-9
    if n:
        assert inner.lower - 1e-9 <= x / n <= inner.upper + 1e-9


@given(counts, st.sampled_from(SIDES))
def test_limits_turn_over_with_the_question(pair, side):
    """Counting what is right instead of what is wrong mirrors the limits."""
    x, n = pair
    other = {"upper": "lower", "lower": "upper"}.get(side, side)
    for limits in (mid_p_interval, wilson_interval):
        one, mirrored = limits(x, n, side=side), limits(n - x, n, side=other)
        assert one.lower == pytest.approx(1 - mirrored.upper, abs=1e-9)
        assert one.upper == pytest.approx(1 - mirrored.lower, abs=1e-9)


@pytest.mark.parametrize("limits", [mid_p_interval, wilson_interval])
def test_coverage_is_near_nominal_on_average(limits):
    """Exact coverage, averaged over true rates."""
    n, rates = 40, np.linspace(0.02, 0.98, 97)
    found = [limits(x, n) for x in range(n + 1)]
    inside = np.array([[one.lower <= rate <= one.upper for one in found] for rate in rates])
    coverage = (inside * binom.pmf(np.arange(n + 1), n, rates[:, None])).sum(axis=1).mean()
    assert 0.945 <= coverage <= 0.975, f"{limits.__name__}: {coverage:.4f}"


@pytest.mark.parametrize("limits", [mid_p_interval, wilson_interval])
def test_nothing_looked_at_says_nothing(limits):
    found = limits(0, 0)
    assert (found.rate, found.lower, found.upper) == (None, 0, 1)
    assert "nothing is known" in found.sentence


@pytest.mark.parametrize("limits", [mid_p_interval, wilson_interval])
def test_refusals(limits):
    with pytest.raises(ValueError, match="needs x no larger than n"):
        limits(6, 5)
    with pytest.raises(ValueError, match="a whole number"):
        limits(1.5, 5)
    with pytest.raises(ValueError, match="side = 'both': needs one of"):
        limits(1, 5, side="both")
