"""Double and sequential plans: simulation, risks, refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.stats.acceptance import acceptance_curve
from witnessmark.stats.staged_plans import double_plan, sequential_plan


def test_a_double_plan_as_simulated():
    generator, times = np.random.default_rng(7), 40_000
    first = generator.binomial(50, 0.05, times)
    second = generator.binomial(100, 0.05, times)
    passed = (first <= 1) | ((first < 4) & (first + second <= 3))
    looked = 50 + 100 * ((first > 1) & (first < 4))
    found = double_plan(50, 1, 4, 100, 3, [0.05])
    assert float(passed.mean()) == pytest.approx(found.passed[0], abs=0.01)
    assert float(looked.mean()) == pytest.approx(found.average_sample[0], rel=0.01)


@given(st.integers(1, 80), st.integers(1, 80), st.integers(0, 5))
def test_a_double_plan_without_a_middle_is_single(n1, n2, accept):
    if accept >= n1:
        return
    found = double_plan(n1, accept, accept + 1, n2, accept, [0.0, 0.1, 1.0])
    assert found.passed == pytest.approx(acceptance_curve(n1, accept, [0.0, 0.1, 1.0]).chances)
    assert found.average_sample == pytest.approx([n1] * 3)


@pytest.mark.parametrize(
    ("rate", "passes", "least"), [(0.01, "accept", 0.95), (0.10, "reject", 0.9)]
)
def test_a_sequential_plan_keeps_its_risks_nearly(rate, passes, least):
    generator, plan, times = np.random.default_rng(7), sequential_plan(0.01, 0.10), 400
    ends = []
    for found in np.cumsum(generator.random((times, 600)) < rate, axis=1):
        n = np.arange(1, 601)
        low = found <= plan.slope * n - plan.h1
        high = found >= plan.slope * n + plan.h2
        first = int(np.argmax(low | high))
        ends.append(plan.decide(first + 1, int(found[first])))
    assert "go on" not in ends
    assert ends.count(passes) / times >= least - 0.03, ends.count(passes)


def test_decisions():
    plan = sequential_plan(0.01, 0.10)
    assert [plan.decide(23, 0), plan.decide(24, 0)] == ["go on", "accept"]
    assert [plan.decide(2, 1), plan.decide(2, 2)] == ["go on", "reject"]
    assert "earliest acceptance is after 24 without one" in plan.sentence


def test_refusals():
    with pytest.raises(ValueError, match="c1 < r1 <= c2"):
        double_plan(50, 3, 3, 100, 3, [0.05])
    with pytest.raises(ValueError, match=r"rates outside 0\.\.1"):
        double_plan(50, 1, 4, 100, 3, [2])
    with pytest.raises(ValueError, match="a bad rate above the good one"):
        sequential_plan(0.1, 0.1)
    with pytest.raises(ValueError, match="no larger than n"):
        sequential_plan(0.01, 0.1).decide(3, 4)
