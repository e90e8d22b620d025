"""Delays of groups: published numbers, limits by simulation, small and tied groups."""

import math
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import mannwhitneyu

from witnessmark.stats.delays import _u_shares, compare_delay_groups, compare_delays

# Hollander and Wolfe, Nonparametric Statistical Methods, table 4.1 (permeability of a membrane),
# as on the help page of R's wilcox.test.
TERM = [0.80, 0.83, 1.89, 1.04, 1.45, 1.38, 1.91, 1.64, 0.73, 1.46]
EARLIER = [1.15, 0.88, 0.90, 0.74, 1.21]


def test_hollander_and_wolfe():
    """R: W = 35, one-sided p = 0.1272; Hollander and Wolfe, example 4.1: shift 0.305."""
    found = compare_delays(TERM, EARLIER)
    assert found.longer * 50 == pytest.approx(35)
    assert found.p / 2 == pytest.approx(0.1272, abs=0.00005)
    assert found.shift == pytest.approx(0.305)
    assert found.lower < 0 < found.upper
    assert "is 0.305 min longer than one where second (-0." in found.sentence


@pytest.mark.parametrize(("m", "n"), [(1, 1), (3, 4), (10, 5), (8, 8)])
def test_distribution_of_u_counted_out(m, n):
    shares = _u_shares(m, n)
    if math.comb(m + n, m) < 4000:
        counts = np.zeros(m * n + 1)
        for places in combinations(range(m + n), m):
            counts[sum(places) - m * (m - 1) // 2] += 1
        assert shares == pytest.approx(counts[: len(shares)] / counts.sum())
    x, y = np.arange(m) * 1.0, np.arange(n) + 100.0
    assert 2 * shares[0] == pytest.approx(mannwhitneyu(x, y, method="exact").pvalue, abs=1e-12)


def test_distribution_of_u_for_large_groups_stays_exact():
    shares = np.cumsum(_u_shares(50, 200))
    assert np.all(np.diff(shares) >= -1e-15)
    # The middle: U is symmetric about m n / 2.
    assert shares[-2] + (shares[-1] - shares[-2]) / 2 == pytest.approx(0.5, abs=1e-9)
    generator = np.random.default_rng(7)
    x, y = generator.normal(size=50), generator.normal(0.4, 1, 200)
    u = int(mannwhitneyu(x, y).statistic)
    exact = mannwhitneyu(x, y, method="exact", alternative="less").pvalue
    assert shares[u] == pytest.approx(exact, rel=1e-9)


@pytest.mark.parametrize(("m", "n"), [(5, 6), (15, 8), (60, 60)])
def test_limits_cover_the_shift(m, n):
    """Exact for small groups; the large ones use the normal approximation."""
    size, generator, held = 800, np.random.default_rng(7), 0
    for _ in range(size):
        x, y = generator.exponential(20, m) + 12, generator.exponential(20, n)
        found = compare_delays(x, y)
        held += found.lower <= 12 <= found.upper
    assert held / size >= 0.95 - 3 * math.sqrt(0.05 * 0.95 / size), f"{held / size:.3f}"


def test_a_real_difference_is_seen():
    generator = np.random.default_rng(7)
    p = [
        compare_delays(generator.exponential(40, 30), generator.exponential(10, 30)).p
        for _ in range(100)
    ]
    assert np.mean(np.array(p) < 0.05) > 0.95


def test_small_tied_groups_are_permuted():
    x, y = [10, 10, 20, 30], [5, 5, 10, 10]
    found = compare_delays(x, y, generator=np.random.default_rng(7))
    assert found.p_method == "permutation"
    # All 70 orders, counted out: U at least as far from its middle as the one seen.
    values = np.array(x + y)

    def u(places):
        chosen, rest = values[list(places)], np.delete(values, list(places))
        d = np.subtract.outer(chosen, rest)
        return np.sum(d > 0) + np.sum(d == 0) / 2

    all_u = np.array([u(places) for places in combinations(range(8), 4)])
    seen = u((0, 1, 2, 3))
    tails = np.mean(all_u >= seen), np.mean(all_u <= seen)
    assert found.p == pytest.approx(min(1, 2 * min(tails)), abs=0.03)
    assert compare_delays(x, y).p_method == "the normal approximation"
    assert any("equal delays occur" in said for said in found.assumptions)


def test_all_equal_delays_differ_in_nothing():
    found = compare_delays([5, 5, 5], [5, 5], generator=np.random.default_rng(7))
    assert (found.p, found.shift, found.longer) == (1, 0, 0.5)


def test_groups_too_small_for_limits_have_none():
    found = compare_delays([10, 12], [3, 4])
    assert (found.lower, found.upper) == (None, None)
    assert "too few cases for limits" in found.sentence


def test_three_groups_hold_together():
    generator = np.random.default_rng(7)
    groups = {
        name: generator.exponential(mean, 20)
        for name, mean in (("attended", 8), ("covered", 12), ("uncovered", 60))
    }
    found = compare_delay_groups(groups)
    assert [one.names for one in found] == [
        ("attended", "covered"),
        ("attended", "uncovered"),
        ("covered", "uncovered"),
    ]
    alone = [compare_delays(groups[a], groups[b]) for a, b in (one.names for one in found)]
    for one, single in zip(found, alone, strict=True):
        assert single.p <= one.p <= 3 * single.p + 1e-12
        assert one.lower <= single.lower <= single.upper <= one.upper
    assert min(one.p for one in found) == pytest.approx(3 * min(one.p for one in alone))
    assert found[1].shift < 0
    assert "where uncovered (20 cases)" in found[1].sentence
    said = found[1].sentence
    assert f"{-found[1].shift:.3g} min shorter than one where uncovered" in said
    assert "does not show that attended or uncovered is the cause" in said


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: compare_delays([], [1]), "first: 0 values"),
        (lambda: compare_delays([1], [math.nan]), "second: 1 of 1 values are missing"),
        (lambda: compare_delays([1], [2], confidence=1), "confidence = 1"),
        (lambda: compare_delay_groups({"a": [1]}), "1 group: needs at least 2"),
    ],
)
def test_refusals(call, message):
    with pytest.raises(ValueError, match=message):
        call()


DELAYS = st.lists(st.integers(0, 200), min_size=1, max_size=15)


@given(DELAYS, DELAYS)
def test_order_sign_and_unit(x, y):
    one, other = compare_delays(x, y), compare_delays(y, x)
    assert other.shift == pytest.approx(-one.shift)
    assert other.p == pytest.approx(one.p)
    assert one.longer + other.longer == pytest.approx(1)
    assert 0 <= one.p <= 1
    if one.lower is not None:
        assert one.lower <= one.shift <= one.upper
        assert other.lower == pytest.approx(-one.upper)
        narrow = compare_delays(x, y, confidence=0.8)
        assert one.lower <= narrow.lower <= narrow.upper <= one.upper
    seconds = compare_delays([60 * v for v in x], [60 * v for v in y])
    assert seconds.shift == pytest.approx(60 * one.shift)
    assert seconds.p == pytest.approx(one.p)
