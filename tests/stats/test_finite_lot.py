"""Limits for the lot a sample came from, and for a complete count."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import hypergeom

from witnessmark.stats.finite_lot import census, lot_limits
from witnessmark.stats.proportion import SIDES, exact_interval

lots = st.tuples(st.integers(0, 200), st.integers(0, 200), st.integers(0, 200)).map(sorted)


@given(lots, st.sampled_from(SIDES))
def test_limits_are_possible_and_nest_with_confidence(numbers, side):
    x, n, lot = numbers
    narrow, wide = (lot_limits(x, n, lot, c, side) for c in (0.80, 0.99))
    assert wide.lower <= narrow.lower <= narrow.upper <= wide.upper <= lot
    assert side == "upper" or x <= wide.lower
    assert side == "lower" or wide.upper <= lot - (n - x)
    if n == lot and side == "two-sided":
        assert narrow.lower == narrow.upper == x


@given(st.integers(1, 60), st.integers(60, 400), st.data())
def test_upper_limit_is_the_last_the_tail_allows(n, lot, data):
    x = data.draw(st.integers(0, n))
    upper = lot_limits(x, n, lot, 0.95, "upper").upper
    assert hypergeom.cdf(x, lot, upper, n) > 0.05 or upper == x
    if upper < lot - (n - x):
        assert hypergeom.cdf(x, lot, upper + 1, n) <= 0.05 * (1 + 1e-6)


@given(lots)
def test_more_found_never_lowers_the_limits(numbers):
    x, n, lot = numbers
    if x < n:
        one, more = lot_limits(x, n, lot), lot_limits(x + 1, n, lot)
        assert one.lower <= more.lower
        assert one.upper <= more.upper


def test_limits_cover_every_content_of_a_lot():
    """Exact coverage for each number of deviating items, not a simulation."""
    lot, n = 80, 25
    limits = [lot_limits(x, n, lot) for x in range(n + 1)]
    for content in range(lot + 1):
        chance = hypergeom.pmf(np.arange(n + 1), lot, content, n)
        inside = [one.lower <= content <= one.upper for one in limits]
        covered = float(chance @ np.array(inside))
        assert covered >= 0.95 - 1e-9, f"{content}: {covered:.4f}"


def test_a_large_lot_is_as_good_as_endless():
    found, endless = lot_limits(3, 100, 10_000_000), exact_interval(3, 100)
    assert found.rate_lower == pytest.approx(endless.lower, rel=1e-3)
    assert found.rate_upper == pytest.approx(endless.upper, rel=1e-3)


def test_an_empty_lot_has_no_rate():
    found = lot_limits(0, 0, 0)
    assert (found.rate_lower, found.rate_upper) == (None, None)
    assert "empty" in found.sentence


def test_sentence_speaks_of_the_lot():
    assert lot_limits(0, 60, 500, side="upper").sentence == (
        "0 found among 60 drawn from a lot of 500; with 95 % confidence the lot holds at most 22 "
        "(4.4 %)."
    )


@given(lots)
def test_census_has_no_margin_for_its_period(numbers):
    x, n, _ = numbers
    found = census(x, n)
    assert found.rate == (x / n if n else None)
    if n:
        assert "without margin" in found.sentence
        assert found.process_lower <= found.rate <= found.process_upper
    assert any("process only" in one for one in found.assumptions)


def test_refusals():
    with pytest.raises(ValueError, match="needs a sample within the lot"):
        lot_limits(0, 11, 10)
    with pytest.raises(ValueError, match="needs x no larger than n"):
        lot_limits(4, 3, 10)
    with pytest.raises(ValueError, match="a number between 0 and 1"):
        census(1, 2, confidence=1.0)
