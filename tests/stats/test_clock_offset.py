"""Offset, drift and steps of a made clock are found again; the rows entered undo them."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from witnessmark.stats.clock_offset import clock_offset

DAY = 86400


def made(n=60, days=40, offset=270.0, drift=0.0, steps=(), scatter=8.0, seed=7):
    """Shown and true times of a clock with this offset at the first pair."""
    generator = np.random.default_rng(seed)
    true = np.sort(generator.uniform(0, days * DAY, n))
    shown = true + offset + drift * (true - true[0]) / DAY + generator.normal(0, scatter, n)
    for at_day, size in steps:
        shown = shown + size * (true >= at_day * DAY)
    return shown, true


def corrected(shown, fixes):
    """True time as the records take it: the latest fix whose time the clock has shown."""
    out = shown.copy()
    for i, time in enumerate(shown):
        fix = [fix for fix in fixes if fix.valid_from_s <= time][-1]
        drift = (fix.drift_s_per_day or 0) * (time - fix.valid_from_s) / DAY
        out[i] = time - fix.offset_s - drift
    return out


def test_a_steady_clock():
    found = clock_offset(*made())
    assert found.offset_s == pytest.approx(270, abs=4)
    assert found.residual_s == pytest.approx(8, rel=0.4)
    assert found.steps == ()
    assert not found.drifts
    assert [fix.offset_s for fix in found.fixes] == [round(found.offset_s)]
    assert found.fixes[0].drift_s_per_day is None
    assert found.fixes[0].n_pairs == 60
    assert "ahead of true time" in found.sentence
    assert "No drift is demonstrated" in found.sentence


def test_a_slow_clock_stands_behind():
    found = clock_offset(*made(offset=-95))
    assert found.fixes[0].offset_s == pytest.approx(-95, abs=4)
    assert "s behind true time (9" in found.sentence
    assert found.lower_s < found.offset_s < found.upper_s


def test_a_drifting_clock():
    shown, true = made(drift=6.0)
    found = clock_offset(shown, true)
    assert found.drifts
    assert found.drift_lower <= 6 <= found.drift_upper
    assert found.fixes[0].offset_s == pytest.approx(270, abs=10)
    assert found.offset_s == pytest.approx(270 + 6 * np.median(true - true[0]) / DAY, abs=5)
    assert np.median(np.abs(corrected(shown, found.fixes) - true)) < 10
    assert "It drifts by" in found.sentence


@pytest.mark.parametrize("hour", [1, -1])
@pytest.mark.parametrize("drift", [0.0, 4.0])
def test_an_hour_step_is_found_and_undone(hour, drift):
    shown, true = made(drift=drift, steps=[(18.3, 3600 * hour)])
    found = clock_offset(shown, true)
    assert [step.hours for step in found.steps] == [hour]
    assert found.steps[0].size_s == 3600 * hour
    assert found.steps[0].after_s < 18.3 * DAY <= found.steps[0].before_s
    assert found.fixes[1].offset_s - found.fixes[0].offset_s == pytest.approx(
        3600 * hour + drift * (found.steps[0].before_s - true[0]) / DAY, abs=6
    )
    assert sum(fix.n_pairs for fix in found.fixes) == 60
    off = np.abs(corrected(shown, found.fixes) - true)
    # Where the clock was set back, times shown twice cannot all be right.
    assert np.mean(off < 60) > (0.999 if hour == 1 else 0.95)
    assert any("set back" in said for said in found.assumptions) == bool(
        np.any(np.diff(shown)[true[1:] == found.steps[0].before_s] < 0)
    )
    assert f"{hour:+d} h" in found.sentence


def test_summer_time_there_and_back():
    found = clock_offset(*made(n=120, days=300, steps=[(60, 3600), (270, -3600)]))
    assert [step.hours for step in found.steps] == [1, -1]
    assert [round(fix.offset_s / 100) for fix in found.fixes] == [3, 39, 3]


def test_a_clock_that_was_set_by_another_amount():
    found = clock_offset(*made(steps=[(20, -2400)]))
    assert found.steps[0].hours is None
    assert found.steps[0].size_s == pytest.approx(-2400, abs=15)


def test_wrong_pairs_move_nothing_and_are_counted():
    shown, true = made()
    shown[[5, 6, 40]] += 7200, -3000, 3600
    found = clock_offset(shown, true)
    assert found.steps == ()
    assert found.offset_s == pytest.approx(270, abs=4)
    assert any(said.startswith("3 of 60 pairs lie far off") for said in found.assumptions)


def test_by_day_shows_the_medians_as_they_are():
    true = np.array([10, 20, 30, DAY + 10, DAY + 20, 3 * DAY + 5], dtype=float)
    found = clock_offset(true + np.array([5, 7, 9, 100, 102, 30]), true)
    assert [(d.day, d.n_pairs, d.median_s) for d in found.by_day] == [
        (0, 3, 7),
        (1, 2, 101),
        (3, 1, 30),
    ]


def test_pairs_of_one_day_show_no_drift():
    found = clock_offset(*made(n=10, days=0.5))
    assert (found.drift_s_per_day, found.drift_lower) == (None, None)
    assert "too close together to show a drift" in found.sentence


def test_many_pairs_are_thinned_for_the_drift_and_it_is_said():
    found = clock_offset(*made(n=4500, days=200, drift=1.0))
    assert found.drift_s_per_day == pytest.approx(1.0, abs=0.02)
    assert "The drift uses every 3th pair." in found.assumptions


def test_limits_cover_the_offset_and_the_drift():
    size, held = 400, np.zeros(2)
    for seed in range(size):
        found = clock_offset(*made(n=25, seed=seed, scatter=20))
        held += found.lower_s <= 270 <= found.upper_s, found.drift_lower <= 0 <= found.drift_upper
    least = 0.95 - 3 * math.sqrt(0.05 * 0.95 / size)
    assert np.all(held / size >= least), held / size


def test_limits_are_those_of_the_order_statistics():
    """Against scipy's quantile test, which inverts the same binomial."""
    shown, true = made(n=31)
    limits = stats.quantile_test(shown - true, p=0.5).confidence_interval(0.95)
    found = clock_offset(shown, true)
    assert (found.lower_s, found.upper_s) == pytest.approx((limits.low, limits.high))


@pytest.mark.parametrize(("confidence", "least"), [(0.95, 6), (0.99, 8), (0.5, 3)])
def test_too_few_pairs_are_refused(confidence, least):
    shown, true = made(n=least)
    assert clock_offset(shown, true, confidence).lower_s == np.min(shown - true)
    with pytest.raises(ValueError, match=f"{least - 1} pairs of events: needs at least {least}"):
        clock_offset(shown[1:], true[1:], confidence)


@pytest.mark.parametrize(
    ("shown", "true", "message"),
    [
        ([1, 2, math.nan, 4, 5, 6], range(6), "shown_s: 1 of 6 values are missing"),
        (range(7), range(6), r"rows of different length \(shown_s: 7, true_s: 6\)"),
        ([], [], "shown_s: 0 values"),
    ],
)
def test_refusals(shown, true, message):
    with pytest.raises(ValueError, match=message):
        clock_offset(list(shown), list(true))


@given(st.integers(0, 500), st.integers(-7200, 7200), st.integers(0, 10**9))
def test_order_and_origin_do_not_matter(seed, offset, origin):
    shown, true = made(n=12, seed=seed, offset=offset)
    one = clock_offset(shown, true)
    other = clock_offset(shown[::-1], true[::-1])
    assert other == one
    moved = clock_offset(shown + origin, true + origin)
    assert moved.offset_s == pytest.approx(one.offset_s, abs=1e-4)
    assert one.lower_s <= one.offset_s <= one.upper_s
    wide = clock_offset(shown, true, 0.99)
    if one.drifts == wide.drifts:
        assert wide.lower_s <= one.lower_s <= one.upper_s <= wide.upper_s
