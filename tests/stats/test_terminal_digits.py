"""Last digits against published counts, and what smooth readings let expect."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.stats.digits import smoothed_digit_shares, terminal_digits, terminal_digits_of

TOPIC = "terminal_digits"


def _fields(found, item):
    values = {
        "counts_0_to_9": (list(found.counts), "chi2"),
        "n": (found.n, "chi2"),
        "chi2": (found.chi2, "chi2"),
        "df": (found.df, "chi2"),
        "p": (found.p, "p"),
        "std_residuals": (list(found.std_residuals), "chi2"),
        "share_0_or_5": (found.share_0_or_5, "chi2"),
        "binom_p_greater_0_or_5_vs_0.2": (found.p_0_or_5, "p"),
    }
    return {name: value for name, value in values.items() if name in item["expected"]}


def _of_counts(item):
    return terminal_digits(item["inputs"]["counts_0_to_9"])


def _of_readings(item):
    """The counts are made by us from the readings; the published test is against uniform."""
    readings = np.array(item["inputs"]["values_times_100"]) / 100
    counts = terminal_digits_of(readings, resolution=0.01).counts
    return terminal_digits(counts)


BY_ID = {
    "dig-pi-1000": _of_counts,
    "dig-nist-pi-5000": _of_counts,
    "dig-michelson": _of_readings,
    "dig-made-rounding": _of_counts,
    "dig-made-mild": _of_counts,
    "dig-made-uniform-exact": _of_counts,
}


def test_published(item, agrees):
    agrees(item, _fields(BY_ID[item["id"]](item), item))


@pytest.mark.parametrize("spread", [0.8, 2.0, 6.0, 40.0])
def test_honest_readings_of_any_spread_raise_no_more_alarms_than_they_may(spread):
    generator = np.random.default_rng(7)
    size = 300 if spread > 3 else 100
    p = []
    for _ in range(size):
        readings = np.round(generator.normal(100 * generator.random(), spread, 120))
        p.append(terminal_digits_of(readings, 1, generator=generator).p)
    alarms = np.mean(np.array(p) < 0.05)
    assert alarms <= 0.05 + 3 * math.sqrt(0.05 * 0.95 / size), f"{alarms:.3f}"


def test_uniform_digits_would_be_the_wrong_expectation_where_readings_spread_little():
    """Why the expectation is smoothed: honest readings over few steps fail against uniform."""
    readings = np.round(np.random.default_rng(7).normal(120, 1.5, 150))
    of_readings = terminal_digits_of(readings, 1, generator=np.random.default_rng(7))
    assert terminal_digits(of_readings.counts).p < 1e-6
    assert of_readings.p > 0.05
    assert "taken as normally distributed" in of_readings.assumptions[1]


@pytest.mark.parametrize("shape", ["kernel", "normal"])
def test_wide_readings_have_every_digit_a_tenth(shape):
    """Wide readings: every digit a tenth, by either way."""
    readings = np.round(np.random.default_rng(7).normal(5000, 50, 4000)).astype(np.int64)
    shares, _, _ = smoothed_digit_shares(readings, shape)
    assert shares == pytest.approx(np.full(10, 0.1), abs=0.002)


@pytest.mark.parametrize("spread", [1.5, 30.0])
def test_a_liking_for_0_and_5_is_seen(spread):
    generator = np.random.default_rng(7)
    seen = []
    for _ in range(60):
        readings = np.round(generator.normal(1203, spread, 150))
        liked = generator.random(150) < 0.4
        readings = np.where(liked, 5 * np.round(readings / 5), readings)
        seen.append(terminal_digits_of(readings, 1, generator=generator).p < 0.001)
    assert np.mean(seen) > 0.8, f"power {np.mean(seen):.2f}"


def test_a_scale_of_even_steps_is_named_as_the_innocent_reading():
    readings = 2 * np.round(np.random.default_rng(7).normal(300, 20, 200))
    found = terminal_digits_of(readings, 1)
    assert any("digits 1, 3, 5, 7, 9 never come last" in said for said in found.assumptions)
    assert "read in steps, converted units or rounding" in found.sentence


def test_small_expectations_need_a_generator():
    readings = np.round(np.random.default_rng(7).normal(50, 0.8, 40))
    found = terminal_digits_of(readings, 1)
    assert found.p is None
    assert "too few readings to say" in found.sentence
    assert "below 5: the chi-square distribution is not used" in found.assumptions[-1]
    assert terminal_digits_of(readings, 1, generator=np.random.default_rng(7)).p > 0.01


def test_drawn_and_tabled_probabilities_agree():
    shares = np.full(10, 0.1)
    counts = [4, 3, 9, 5, 2, 4, 6, 5, 4, 3]
    drawn = terminal_digits(counts, shares, np.random.default_rng(7)).p
    tabled = terminal_digits(np.array(counts) * 2, shares).p
    assert terminal_digits(counts, shares).p is None
    assert drawn == pytest.approx(0.5, abs=0.2)
    assert 0 < tabled < drawn


def test_a_digit_that_cannot_come_is_left_out():
    shares = [0.2, 0, 0.2, 0, 0.2, 0, 0.2, 0, 0.2, 0]
    found = terminal_digits([20, 0, 22, 0, 18, 0, 21, 0, 19, 0], shares)
    assert found.df == 4
    assert found.std_residuals[1] is None
    with pytest.raises(ValueError, match="not to be expected at all"):
        terminal_digits([20, 1, 22, 0, 18, 0, 21, 0, 19, 0], shares)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: terminal_digits([1] * 9), "counts: 9 values: needs one for each digit"),
        (lambda: terminal_digits([0] * 10), "number of readings = 0"),
        (lambda: terminal_digits([1.5] * 10), "counts has other than whole numbers"),
        (lambda: terminal_digits([-1] * 10), "counts has other than whole numbers"),
        (lambda: terminal_digits([1] * 10, [0.2] * 10), "expected_shares add up to 2"),
        (lambda: terminal_digits([1] * 9 + [math.nan]), "1 of 10 values are missing"),
        (lambda: terminal_digits_of([1] * 5, 1), "readings: 5 values: needs at least 20"),
        (lambda: terminal_digits_of([7] * 30, 1), "all 30 readings are alike"),
        (lambda: terminal_digits_of([0.5] * 30, 1), "30 of 30 readings lie between the steps of 1"),
        (lambda: terminal_digits_of(range(30), 0), "resolution = 0"),
    ],
)
def test_refusals(call, message):
    with pytest.raises(ValueError, match=message):
        call()


@given(st.lists(st.integers(0, 60), min_size=10, max_size=10).filter(lambda c: sum(c) > 0))
def test_bounds_and_order(counts):
    found = terminal_digits(counts)
    assert found.chi2 >= 0
    assert found.p is None or 0 <= found.p <= 1
    assert 0 <= found.p_0_or_5 <= 1
    assert sum(found.expected) == pytest.approx(found.n)
    assert found.chi2 == pytest.approx(terminal_digits(counts[::-1]).chi2)


@given(st.integers(0, 300), st.sampled_from([0.001, 0.01, 0.5, 2.0]))
def test_the_unit_of_the_readings_does_not_matter(seed, unit):
    steps = np.round(np.random.default_rng(seed).normal(1270, 12, 60))
    one, other = terminal_digits_of(steps, 1), terminal_digits_of(steps * unit, unit)
    assert one.counts == other.counts
    assert one.chi2 == pytest.approx(other.chi2)
