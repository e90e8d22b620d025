"""Single plans: monotone curves, inverse, minimality, simulation, refusals."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.stats.acceptance import (
    accept_on_zero_like,
    acceptance_curve,
    find_plan,
    quality_at,
)

plans = st.tuples(st.integers(1, 200), st.integers(0, 20)).filter(lambda plan: plan[1] < plan[0])


@given(plans, st.integers(0, 400))
def test_worse_lots_pass_less_often(plan, extra):
    n, accept = plan
    rates = np.linspace(0, 1, 21)
    for lot in (None, n + extra):
        chances = acceptance_curve(n, accept, rates, lot).chances
        assert chances[0] == 1
        assert chances[-1] == pytest.approx(0, abs=1e-9)
        assert all(b <= a + 1e-12 for a, b in pairwise(chances))


@given(plans, st.floats(0.01, 0.99))
def test_quality_is_the_inverse_of_the_curve(plan, chance):
    found = quality_at(*plan, chance)
    assert acceptance_curve(*plan, [found.rate]).chances[0] == pytest.approx(chance, abs=1e-9)


def test_no_smaller_plan_keeps_both_promises():
    """Exhaustive search over all smaller samples."""
    plan = find_plan(0.02, 0.08)
    assert plan.chance_good >= 0.95
    assert plan.chance_bad <= 0.10
    for n in range(1, plan.n):
        for accept in range(min(n, 10)):
            good, bad = acceptance_curve(n, accept, [0.02, 0.08]).chances
            assert good < 0.95 or bad > 0.10, (n, accept)


def test_a_lot_passes_as_often_as_drawing_finds():
    generator = np.random.default_rng(7)
    drawn = generator.hypergeometric(12, 188, 50, size=20_000)
    chance = acceptance_curve(50, 2, [0.06], 200).chances[0]
    assert float(np.mean(drawn <= 2)) == pytest.approx(chance, abs=0.01)


def test_accept_on_zero_stops_the_same_rate():
    plan = accept_on_zero_like(80, 2)
    limiting = quality_at(80, 2, 0.10).rate
    assert acceptance_curve(plan.n, 0, [limiting]).chances[0] <= 0.10
    assert acceptance_curve(plan.n - 1, 0, [limiting]).chances[0] > 0.10
    assert acceptance_curve(plan.n, 0, [0.01]).chances[0] < 0.75


def test_sentences():
    assert acceptance_curve(52, 3, [0.01, 0.12]).sentence == (
        "Of 52 items looked at, 3 may deviate: 99.82 % of lots with 1 % and 11.5 % of lots with "
        "12 % deviating pass. That a lot passed does not give its rate."
    )
    assert "no rate was asked for" in acceptance_curve(52, 3, []).sentence
    assert "pass in 10 % of cases" in quality_at(80, 2, 0.10).sentence
    assert find_plan(0.01, 0.05).sentence.startswith("Look at 132 items and accept with at most 3")


def test_refusals():
    with pytest.raises(ValueError, match="a plan that can reject"):
        quality_at(5, 5, 0.1)
    with pytest.raises(ValueError, match=r"rates outside 0\.\.1"):
        acceptance_curve(5, 1, [1.2])
    with pytest.raises(ValueError, match="a sample within it"):
        acceptance_curve(50, 1, [0.1], 20)
    with pytest.raises(ValueError, match="a bad rate above the good one"):
        find_plan(0.05, 0.05)
    with pytest.raises(ValueError, match="rates further apart"):
        find_plan(0.400, 0.401)
