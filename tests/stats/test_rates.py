"""Rates of events: hand calculations, coverage and power by simulation, refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import poisson

from witnessmark.stats.proportion import SIDES
from witnessmark.stats.rates import compare_rates, e_test_p, power_of_comparison, rate_interval

counts = st.integers(0, 200)
exposures = st.floats(0.1, 1e6)


@pytest.mark.parametrize(
    ("before", "after", "p", "digits"),
    [((12, 30), (4, 30), 0.04, 2), ((8, 30), (3, 30), 0.11, 2), ((6, 20), (0, 10), 0.09, 2)],
)
def test_few_events_as_calculated_by_hand(before, after, p, digits):
    """One-sided binomial tails, for instance (2 / 3) ** 6 = 0.088: hand calculation."""
    assert round(compare_rates(*before, *after).p_greater, digits) == p


@given(counts, exposures, st.sampled_from(SIDES))
def test_limits_enclose_the_rate_and_nest(count, exposure, side):
    narrow, wide = (rate_interval(count, exposure, c, side) for c in (0.8, 0.99))
    assert 0 <= wide.lower <= narrow.lower <= count / exposure * (1 + 1e-9)
    if side == "lower":
        assert wide.upper is None
    else:
        assert count / exposure <= narrow.upper * (1 + 1e-9) <= wide.upper * (1 + 2e-9)
    assert "nan" not in narrow.sentence


@given(counts, exposures, st.floats(0.01, 100))
def test_the_unit_of_exposure_only_scales(count, exposure, factor):
    one, other = rate_interval(count, exposure), rate_interval(count, exposure * factor)
    assert one.upper == pytest.approx(other.upper * factor)


@given(counts, exposures, counts, exposures)
def test_turning_the_question_turns_the_answer(x1, t1, x2, t2):
    one, other = compare_rates(x1, t1, x2, t2), compare_rates(x2, t2, x1, t1)
    assert one.p_greater == pytest.approx(other.p_less)
    assert one.p_doubled == pytest.approx(other.p_doubled)
    if one.upper is not None and one.upper > 0:
        assert one.upper == pytest.approx(1 / other.lower)
    assert one.p_minimum_likelihood <= 1
    assert "nan" not in one.sentence


@given(counts, counts, st.floats(0.5, 0.999))
def test_limits_of_the_ratio_agree_with_the_doubled_p(x1, x2, confidence):
    found = compare_rates(x1, 10, x2, 7, confidence)
    within = found.lower <= 1 and (found.upper is None or found.upper >= 1)
    if abs(found.p_doubled - (1 - confidence)) > 1e-9:
        assert within == (found.p_doubled > 1 - confidence)


def test_coverage_of_the_rate_is_at_least_nominal():
    """Exact coverage, summed over the Poisson law."""
    for mean in (0.5, 3.0, 12.0):
        seen = np.arange(80)
        limits = [rate_interval(int(k), 1) for k in seen]
        inside = np.array([one.lower <= mean <= one.upper for one in limits])
        covered = float(poisson.pmf(seen, mean) @ inside)
        assert covered >= 0.95 - 1e-9, f"{mean}: {covered:.4f}"


def test_coverage_of_the_ratio_is_at_least_nominal():
    generator, times = np.random.default_rng(7), 3000
    events = np.column_stack([generator.poisson(9, times), generator.poisson(6, times)])
    pairs, often = np.unique(events, axis=0, return_counts=True)
    found = [compare_rates(x1, 30, x2, 10) for x1, x2 in pairs.tolist()]
    inside = [one.lower <= 0.5 and (one.upper is None or one.upper >= 0.5) for one in found]
    covered = float(often @ np.array(inside)) / times
    assert covered >= 0.95 - 3 * np.sqrt(0.05 * 0.95 / times), f"{covered:.4f}"


@pytest.mark.parametrize(("ratio", "t2"), [(0.33, 30), (0.0, 10), (1.0, 30)])
def test_power_equals_what_simulation_finds(ratio, t2):
    generator, times = np.random.default_rng(7), 4000
    x1, x2 = generator.poisson(12, times), generator.poisson(0.4 * ratio * t2, times)
    pairs, often = np.unique(np.column_stack([x1, x2]), axis=0, return_counts=True)
    shown = [compare_rates(a, 30, b, t2).p_greater <= 0.05 for a, b in pairs.tolist()]
    shown = float(often @ np.array(shown)) / times
    chance = power_of_comparison(0.4, ratio, 30, t2).chance
    assert shown == pytest.approx(chance, abs=3.5 * np.sqrt(chance * (1 - chance) / times) + 1e-3)
    if ratio == 1:
        assert chance <= 0.05


def test_no_exposure_and_no_event():
    found = rate_interval(0, 0)
    assert (found.rate, found.lower, found.upper) == (None, 0, None)
    assert "nothing is known" in found.sentence
    none = compare_rates(0, 10, 0, 10)
    assert (none.ratio, none.upper, none.p_doubled) == (None, None, 1)
    assert "cannot be compared" in none.sentence


def test_sentence_names_its_convention():
    assert compare_rates(12, 30, 4, 30).sentence == (
        "12 events in an exposure of 30 against 4 in 30: the first rate is 3 times the second; "
        "with 95 % confidence the ratio is between 0.909 and 12.8 (p = 0.077, two-sided, doubled "
        "tail)."
    )


def test_refusals():
    with pytest.raises(ValueError, match="a whole number of at least 0"):
        rate_interval(-1, 5)
    with pytest.raises(ValueError, match="count = 2 with exposure = 0"):
        rate_interval(2, 0)
    with pytest.raises(ValueError, match="an exposure of at least 0"):
        rate_interval(2, -3)
    with pytest.raises(ValueError, match="t2 = 0: needs a number above 0"):
        compare_rates(1, 5, 0, 0)
    with pytest.raises(ValueError, match="a number above 0"):
        e_test_p(1, 0, 1, 1)
    with pytest.raises(ValueError, match="events expected: needs at most 2,000"):
        power_of_comparison(10, 0.5, 1000, 10)
    with pytest.raises(ValueError, match=r"ratio = -1"):
        power_of_comparison(1, -1, 10, 10)
