"""Work sampling: figures of practice, random times, refusals."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.stats.work_sampling import (
    chance_to_see,
    looks_for_margin,
    looks_to_see,
    round_times,
)


def test_looks_for_a_fifth_of_the_time():
    """1.96 ** 2 * 0.2 * 0.8 / 0.05 ** 2 = 245.9; with 0.10 a quarter, 61: hand calculation."""
    assert looks_for_margin(0.20, 0.05).looks == 246
    assert int(looks_for_margin(0.20, 0.10).unrounded) == 61
    assert looks_for_margin(0.20, 0.05, design_effect=2.8).looks == 689


def test_ten_and_nineteen_looks():
    """1 - 0.85 ** 10 = 0.80; 19 give 95 %: hand calculation."""
    assert round(chance_to_see(0.15, 10).chance, 2) == 0.80
    assert looks_to_see(0.15).looks == 19
    assert chance_to_see(0.15, 18).chance < 0.95 <= looks_to_see(0.15).chance
    assert chance_to_see(0.15, 0).chance == 0


def test_the_margin_is_what_simulation_finds():
    generator, plan = np.random.default_rng(7), looks_for_margin(0.20, 0.05)
    seen = generator.binomial(plan.looks, 0.20, size=20_000) / plan.looks
    within = float(np.mean(np.abs(seen - 0.20) <= 0.05))
    assert within == pytest.approx(0.95, abs=0.01), f"{within:.4f}"


@given(st.integers(1, 600), st.integers(0, 12), st.integers(1, 40), st.integers(0, 99))
def test_times_keep_their_gap_within_the_shift(length, rounds, gap, seed):
    generator = np.random.default_rng(seed)
    if rounds > length - max(rounds - 1, 0) * (gap - 1):
        with pytest.raises(ValueError, match="fewer rounds or smaller gaps"):
            round_times(length, rounds, generator, gap)
        return
    times = round_times(length, rounds, generator, gap).minutes
    assert len(times) == rounds
    assert all(0 <= minute < length for minute in times)
    assert all(b - a >= gap for a, b in pairwise(times))


def test_every_minute_of_the_shift_is_met_alike():
    generator = np.random.default_rng(7)
    met = np.zeros(60)
    for _ in range(4000):
        met[list(round_times(60, 3, generator).minutes)] += 1
    assert np.all(np.abs(met - 200) < 5 * np.sqrt(200)), met


def test_sentences():
    assert looks_for_margin(0.2, 0.05).sentence.startswith(
        "A share of about 20 % of the time is known to within ±5 percentage points"
    )
    assert "does not show that it does not occur" in chance_to_see(0.15, 10).sentence
    times = round_times(450, 2, np.random.default_rng(7)).sentence
    assert times.startswith("Rounds at ")
    assert round_times(450, 0, np.random.default_rng(7)).sentence == "No round in this shift."


def test_refusals():
    with pytest.raises(ValueError, match="a number between 0 and 1"):
        looks_for_margin(0, 0.05)
    with pytest.raises(ValueError, match=r"design_effect = 0\.5"):
        looks_for_margin(0.2, 0.05, design_effect=0.5)
    with pytest.raises(ValueError, match="a whole number"):
        chance_to_see(0.2, 1.5)
