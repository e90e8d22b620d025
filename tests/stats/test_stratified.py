"""Weighted rates: the weights count, coverage by simulation, refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.stats.proportion import exact_interval
from witnessmark.stats.stratified import stratified_rate

rows = st.lists(
    st.tuples(st.integers(0, 30), st.integers(1, 30), st.integers(30, 500)).map(
        lambda row: (min(row[:2]), max(row[:2]), row[2])
    ),
    min_size=1,
    max_size=6,
)


@given(rows)
def test_limits_enclose_the_rate_without_gaps(rows):
    found = stratified_rate(*zip(*rows, strict=True))
    assert 0 <= found.lower <= found.rate + 1e-12
    assert found.rate - 1e-12 <= found.upper <= 1
    assert "nan" not in found.sentence
    again = stratified_rate(*zip(*reversed(rows), strict=True))
    assert again.upper == pytest.approx(found.upper)


def test_one_stratum_is_a_simple_sample():
    """Its variance is estimated with n - 1, so thirty items count as twenty-nine."""
    found, simple = stratified_rate([3], [30], [1000]), exact_interval(2.9, 29)
    assert found.effective_n == pytest.approx(29)
    assert (found.lower, found.upper) == pytest.approx((simple.lower, simple.upper))


@pytest.mark.parametrize("rates", [(0.02, 0.30), (0.10, 0.10), (0.01, 0.01)])
def test_coverage_with_unequal_weights(rates):
    generator, times = np.random.default_rng(7), 1500
    sizes, n = np.array([900, 100]), np.array([40, 40])
    true = float(sizes @ np.array(rates) / 1000)
    drawn = generator.binomial(n, rates, size=(times, 2))
    pairs, often = np.unique(drawn, axis=0, return_counts=True)
    limits = [stratified_rate(x, n, sizes) for x in pairs]
    inside = np.array([one.lower <= true <= one.upper for one in limits])
    covered = float(often @ inside) / times
    assert covered >= 0.95 - 3 * np.sqrt(0.05 * 0.95 / times), f"{rates}: {covered:.4f}"


def test_pooling_unequal_draws_would_mislead():
    found = stratified_rate([1, 12], [40, 40], [900, 100])
    assert found.pooled == pytest.approx(0.1625)
    assert found.rate == pytest.approx(0.0525)


def test_refusals():
    with pytest.raises(ValueError, match="each stratum looked at"):
        stratified_rate([0, 0], [5, 0], [10, 10])
    with pytest.raises(ValueError, match="0 <= found <= looked_at <= sizes"):
        stratified_rate([1], [5], [4])
    with pytest.raises(ValueError, match="same length"):
        stratified_rate([1], [5], [10, 10])
    with pytest.raises(ValueError, match="0 values: needs at least 1"):
        stratified_rate([], [], [])
