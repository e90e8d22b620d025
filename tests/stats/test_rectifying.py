"""Sorting rejected lots: the worst case, simulation, refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.stats.rectifying import outgoing_limit_factor, rectifying


@given(st.integers(1, 150), st.integers(0, 8), st.integers(0, 5000))
def test_the_limit_is_above_the_whole_curve(n, accept, extra):
    if accept >= n:
        accept = n - 1
    rates = np.linspace(0, 1, 201)
    found = rectifying(n, accept, n + extra, rates)
    assert max(found.outgoing) <= found.limit + 1e-9
    at_worst = rectifying(n, accept, n + extra, [found.limit_at]).outgoing[0]
    assert at_worst == pytest.approx(found.limit, abs=1e-9)
    assert all(n <= items <= n + extra + 1e-9 for items in found.inspected)


def test_outgoing_quality_is_what_sorting_leaves():
    generator, lot, n, rate = np.random.default_rng(7), 500, 50, 0.04
    in_sample = generator.binomial(n, rate, size=20_000)
    in_rest = generator.binomial(lot - n, rate, size=20_000)
    left = np.where(in_sample <= 2, in_rest, 0).mean() / lot
    assert left == pytest.approx(rectifying(n, 2, lot, [rate]).outgoing[0], rel=0.02)


def test_the_factor_is_near_the_exact_limit():
    exact = rectifying(100, 2, 10_000, []).limit
    assert outgoing_limit_factor(2) / 100 * (1 - 0.01) == pytest.approx(exact, rel=0.02)
    assert outgoing_limit_factor(0) == pytest.approx(np.exp(-1), abs=1e-9)


def test_sentence_warns_of_single_lots():
    said = rectifying(52, 3, 10_000, []).sentence
    assert said.endswith("Single lots can be worse.")
    assert "at most 3.7 % deviating items leave" in said


def test_refusals():
    with pytest.raises(ValueError, match="accept < n <= lot"):
        rectifying(52, 52, 100, [])
    with pytest.raises(ValueError, match="accept < n <= lot"):
        rectifying(52, 3, 50, [])
    with pytest.raises(ValueError, match=r"rates outside 0\.\.1"):
        rectifying(52, 3, 100, [-0.1])
    with pytest.raises(ValueError, match="a whole number"):
        outgoing_limit_factor(-1)
