"""Countermeasures: three verdicts, what would settle them, error and power by simulation."""

import math
from functools import cache

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.stats import binom

from witnessmark.stats.before_after import before_after, before_after_periods
from witnessmark.stats.rates import power_of_comparison

counts, exposures = st.integers(0, 60), st.floats(1, 1000)


@pytest.mark.parametrize(
    ("before", "after", "p", "verdict"),
    [
        ((12, 30), (4, 30), 0.04, "shown"),
        ((8, 30), (3, 30), 0.11, "not yet demonstrable"),
        ((6, 20), (0, 10), 0.09, "not yet demonstrable"),
        ((3, 30), (12, 30), 1.0, "worse"),
    ],
)
def test_few_events_as_calculated_by_hand(before, after, p, verdict):
    """One-sided binomial tails of the split of all events: hand calculation."""
    found = before_after(*before, *after)
    assert round(found.p_better, 2) == p
    assert found.verdict == verdict


def test_six_events_need_three_more_clean_days():
    """(20 / (20 + t)) ** 6 <= 0.05 from t = 12.95."""
    found = before_after(6, 20, 0, 10)
    assert found.further_if_clean == found.further_as_now
    assert math.ceil(found.further_if_clean) == 3
    assert before_after(6, 20, 0, 13).verdict == "shown"
    assert before_after(6, 20, 0, 12).verdict == "not yet demonstrable"
    assert found.sentence == (
        "6 events in an exposure of 20 before, 0 in 10 after (ratio 0; 95 % one-sided limits 0 and "
        "1.3): not yet demonstrable at 95 % confidence (p = 0.088). A further exposure of "
        "2.96 without an event would show it."
    )


@example(x1=55, t1=1.0, x2=42, t2=1.0)
@given(counts, exposures, counts, exposures)
def test_the_further_exposure_suffices_and_no_less(x1, t1, x2, t2):
    found = before_after(x1, t1, x2, t2)
    assert "nan" not in found.sentence + repr(found)
    if found.verdict != "not yet demonstrable":
        assert found.further_if_clean is None
        return
    if found.further_if_clean is None:
        assert x1 == 0
        return
    need = found.further_if_clean
    assert before_after(x1, t1, x2, t2 + need * (1 + 1e-6) + 1e-6).verdict == "shown"
    if need > 0.01:
        assert before_after(x1, t1, x2, t2 + need * 0.99).verdict != "shown"
    if found.further_as_now is not None:
        assert found.further_as_now >= need
        # It may end just before the next event, so that the margin brings none with it.
        events = math.floor((t2 + found.further_as_now) * x2 / t2 + 1e-9)
        total = t2 + found.further_as_now * (1 + 1e-6) + 1e-6
        assert before_after(x1, t1, events, total).verdict == "shown"


@given(counts, exposures, counts, exposures, st.floats(0.01, 100))
def test_the_unit_of_exposure_changes_no_verdict(x1, t1, x2, t2, factor):
    one, other = before_after(x1, t1, x2, t2), before_after(x1, t1 * factor, x2, t2 * factor)
    assert one.p_better == pytest.approx(other.p_better)
    if one.further_if_clean is not None and abs(one.p_better - 0.05) > 1e-9:
        assert other.further_if_clean == pytest.approx(one.further_if_clean * factor, rel=1e-6)


@given(counts, exposures, counts, exposures)
def test_the_limits_agree_with_the_verdict(x1, t1, x2, t2):
    found = before_after(x1, t1, x2, t2)
    if min(abs(found.p_better - 0.05), abs(found.p_worse - 0.05)) > 1e-9:
        assert (found.verdict == "shown") == (found.upper is not None and found.upper < 1)
        assert (found.verdict == "worse") == (found.lower > 1)


def test_no_change_is_seldom_called_shown_and_a_fall_often():
    """Error and power of the verdict, against the exact power function."""
    generator, times = np.random.default_rng(7), 2000
    for ratio in (1.0, 0.3):
        drawn = np.column_stack(
            [generator.poisson(15, times), generator.poisson(15 * ratio, times)]
        )
        pairs, often = np.unique(drawn, axis=0, return_counts=True)
        verdicts = [before_after(x1, 30, x2, 30).verdict for x1, x2 in pairs.tolist()]
        shown = float(often @ np.array([one == "shown" for one in verdicts])) / times
        power = power_of_comparison(0.5, ratio, 30, 30).chance
        assert shown == pytest.approx(power, abs=0.035), f"{ratio}: {shown:.3f} against {power:.3f}"
        if ratio == 1:
            assert power <= 0.05


def test_the_trigger_period_would_feign_an_effect():
    """The worst of six weeks opens the action: kept in 'before', no change is called a fall."""
    generator, times = np.random.default_rng(7), 1000
    verdict = cache(lambda *totals: before_after(*totals).verdict)
    kept = left = 0
    weeks = generator.poisson(4, size=(times, 10))
    for row in weeks.tolist():
        worst = int(np.argmax(row[:6]))
        after = sum(row[6:])
        kept += verdict(row[worst], 1, after, 4) == "shown"
        left += verdict(sum(row[:6]) - row[worst], 5, after, 4) == "shown"
    assert kept / times > 0.10, f"{kept / times:.3f}"
    assert left / times <= 0.05, f"{left / times:.3f}"


def test_periods_say_what_was_left_out_and_how_they_vary():
    phases = ["before", "before", "trigger", "left out", "after", "after"]
    found = before_after_periods([3, 4, 9, 2, 1, 0], [10, 10, 10, 5, 10, 0], phases)
    assert (found.x_before, found.t_before, found.x_after, found.t_after) == (7, 20, 1, 10)
    said = " ".join(found.assumptions)
    assert "trigger: 9 events in 10, not counted; left out: 2 events in 5, not counted" in said
    assert "2 periods before: 0.1 times" in said
    assert "between periods after: cannot be seen" in said


def test_nothing_ran_since():
    found = before_after(6, 20, 0, 0)
    assert (found.verdict, found.ratio, found.upper) == ("not yet demonstrable", None, None)
    assert found.further_if_clean == pytest.approx(20 * (20 / 20) * (0.05 ** (-1 / 6) - 1))


def test_no_event_before_can_show_no_fall():
    found = before_after(0, 20, 0, 10)
    assert found.further_if_clean is None
    assert "no exposure after can show a fall" in found.sentence


def test_few_events_before_never_show_it_at_the_present_rate():
    found = before_after(3, 30, 2, 30)
    assert found.further_as_now is None
    assert found.further_if_clean > 0
    assert "no further exposure would" in found.sentence
    assert binom.cdf(2, 5, (30 + found.further_if_clean) / (60 + found.further_if_clean)) == (
        pytest.approx(0.05)
    )


def test_refusals():
    with pytest.raises(ValueError, match=r"between 0\.5 and 1"):
        before_after(6, 20, 0, 10, confidence=0.5)
    with pytest.raises(ValueError, match="needs a number above 0"):
        before_after(6, 0, 0, 10)
    with pytest.raises(ValueError, match="a number above 0"):
        before_after(6, 20, 1, 0)
    with pytest.raises(ValueError, match="phase 'during': needs one of before, trigger"):
        before_after_periods([1], [1], ["during"])
    with pytest.raises(ValueError, match="events only where there is exposure"):
        before_after_periods([1, 2], [1, 0], ["before", "after"])
    with pytest.raises(ValueError, match="same length"):
        before_after_periods([1, 2], [1, 0], ["before"])
    with pytest.raises(ValueError, match="missing or infinite"):
        before_after_periods([1, math.nan], [1, 1], ["before", "after"])
