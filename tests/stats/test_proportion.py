"""Exact limits against published numbers and by simulation."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.stats.proportion import (
    SIDES,
    design_effect,
    exact_bounds,
    exact_interval,
    fisher_p,
)

PUBLISHED = [
    # x, n, lower, upper, source
    (81, 263, 0.2527, 0.3676, "Newcombe, Statist. Med. 17 (1998) 857-872, table I, method 5"),
    (15, 148, 0.0578, 0.1617, "Newcombe 1998, table I, method 5"),
    (0, 20, 0.0000, 0.1684, "Newcombe 1998, table I, method 5"),
    (1, 29, 0.0009, 0.1776, "Newcombe 1998, table I, method 5"),
]


@pytest.mark.parametrize(("x", "n", "lower", "upper", "source"), PUBLISHED)
def test_exact_limits_equal_the_published_ones(x, n, lower, upper, source):
    found = exact_interval(x, n)
    assert (round(found.lower, 4), round(found.upper, 4)) == (lower, upper), source


@pytest.mark.parametrize(
    ("n", "upper"), [(10, 0.26), (20, 0.14), (30, 0.095), (59, 0.05), (299, 0.01)]
)
def test_zero_found_bounds_the_rate_one_sided(n, upper):
    """Rule-of-three figures: 1 - 0.05 ** (1 / n), closed form of the exact one-sided limit."""
    found = exact_interval(0, n, confidence=0.90).upper
    assert found == pytest.approx(1 - 0.05 ** (1 / n), abs=1e-12)
    assert round(found, 3 if upper == 0.095 else 2) == upper


@given(st.integers(0, 400), st.integers(0, 400))
def test_limits_enclose_the_rate_and_nest(x, n):
    x, n = min(x, n), max(x, n)
    narrow, wide = exact_interval(x, n, 0.90), exact_interval(x, n, 0.99)
    assert 0 <= wide.lower <= narrow.lower <= narrow.upper <= wide.upper <= 1
    if n:
        assert narrow.lower <= x / n <= narrow.upper
    assert not any(math.isnan(value) for value in (wide.lower, wide.upper))


def test_limits_cover_at_least_what_they_say():
    generator = np.random.default_rng(7)
    for rate in (0.02, 0.1, 0.5):
        found = generator.binomial(40, rate, size=4000)
        limits = {x: exact_interval(int(x), 40) for x in set(found.tolist())}
        covered = np.mean([limits[x].lower <= rate <= limits[x].upper for x in found.tolist()])
        assert covered >= 0.95 - 3 * math.sqrt(0.05 * 0.95 / 4000), f"{rate}: {covered:.4f}"


@pytest.mark.parametrize(("x", "n"), [(-1, 5), (6, 5), (math.nan, 5)])
def test_impossible_counts_are_refused(x, n):
    with pytest.raises(ValueError, match="needs 0 <= x <= n"):
        exact_interval(x, n)


def test_whole_clusters_alike_inflate_by_their_size():
    """Clusters of m units that are all alike carry the information of one unit each."""
    generator = np.random.default_rng(7)
    alike = generator.binomial(1, 0.3, size=2000) * 10
    assert design_effect(alike.tolist(), [10] * 2000) == pytest.approx(10, rel=0.02)


def test_independent_units_are_not_inflated():
    generator = np.random.default_rng(7)
    found = generator.binomial(10, 0.3, size=4000)
    assert design_effect(found.tolist(), [10] * 4000) == pytest.approx(1, abs=0.06)


@pytest.mark.parametrize(
    ("table", "p", "source"),
    [
        ((3, 1, 1, 3), 0.4857, "Fisher 1935, the lady tasting tea; R fisher.test help page"),
        ((10, 2, 3, 15), 0.0005367, "R fisher.test help page, Convictions (two-sided)"),
        ((7, 1, 3, 17), 0.0007, "calculated for the weekend example, hypergeometric tail"),
    ],
)
def test_fisher_equals_published_values(table, p, source):
    assert fisher_p(*table) == pytest.approx(p, rel=0.01, abs=0.00005), source


def test_an_empty_group_gives_no_probability():
    assert fisher_p(0, 0, 3, 4) is None


@pytest.mark.parametrize(
    ("x", "n", "lower", "upper", "digits"),
    [(1, 20, 0.001, 0.25, 3), (3, 30, 0.02, 0.27, 2), (7, 40, 0.07, 0.33, 2)],
)
def test_limits_as_rounded_in_practice(x, n, lower, upper, digits):
    """1/20: 0.1-25 %, 3/30: 2-27 %, 7/40: 7-33 %: common practice, recomputed."""
    found = exact_interval(x, n)
    assert round(found.lower, digits) == lower
    assert round(found.upper, 2) == upper


def test_five_good_pieces_prove_little():
    """1 - 0.05 ** (1 / 5) = 45 %; five good of 5 % bad have 0.95 ** 5 = 77 %."""
    assert round(exact_interval(0, 5, side="upper").upper, 2) == 0.45


@given(st.integers(0, 400), st.integers(0, 400), st.sampled_from(SIDES))
def test_one_side_is_the_double_sided_limit_of_twice_the_error(x, n, side):
    x, n = min(x, n), max(x, n)
    one, both = exact_interval(x, n, 0.95, side), exact_interval(x, n, 0.90)
    assert one.upper == (1 if side == "lower" else pytest.approx(both.upper)) or side == "two-sided"
    assert one.lower == (0 if side == "upper" else pytest.approx(both.lower)) or side == "two-sided"
    assert one.sentence
    assert one.method.startswith("exact")


def test_a_million_strata_equal_one_by_one():
    generator = np.random.default_rng(7)
    n = generator.integers(0, 60, size=1_000_000)
    x = generator.binomial(n, 0.1)
    found = exact_bounds(x, n)
    for place in generator.integers(0, len(n), size=200).tolist():
        single = exact_interval(int(x[place]), int(n[place]))
        assert found.lower[place] == pytest.approx(single.lower, abs=1e-12)
        assert found.upper[place] == pytest.approx(single.upper, abs=1e-12)
    assert found.empty == int(np.sum(n == 0))
    assert np.all((found.lower <= found.upper) & np.isfinite(found.lower + found.upper))


def test_strata_of_one_side_and_of_none():
    upper = exact_bounds([0, 3], [59, 30], side="upper")
    assert upper.lower.tolist() == [0, 0]
    assert upper.upper[0] == pytest.approx(1 - 0.05 ** (1 / 59))
    lower = exact_bounds([0, 3], [59, 30], side="lower")
    assert lower.upper.tolist() == [1, 1]
    assert lower.lower[1] == pytest.approx(exact_interval(3, 30, side="lower").lower)
    assert exact_bounds([], []).lower.size == 0
    assert "2 strata" in lower.sentence


def test_strata_that_cannot_be_are_refused():
    with pytest.raises(ValueError, match="0 <= x <= n in each"):
        exact_bounds([1, 6], [5, 5])
    with pytest.raises(ValueError, match="missing or infinite"):
        exact_bounds([1, math.nan], [5, 5])
    with pytest.raises(ValueError, match="same length"):
        exact_bounds([1], [5, 5])
    with pytest.raises(ValueError, match="one of two-sided, upper, lower"):
        exact_interval(1, 2, side="both")
    with pytest.raises(ValueError, match="a number between 0 and 1"):
        exact_interval(1, 2, confidence=95)
