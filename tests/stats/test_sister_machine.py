"""A machine against its sister: what hit both cancels; error and limits by simulation."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import nchypergeom_fisher

from witnessmark.stats.before_after import before_after
from witnessmark.stats.odds_ratio import exact_table
from witnessmark.stats.sister_machine import against_sister

pairs = st.tuples(st.integers(0, 30), st.floats(1, 500))


@settings(max_examples=40)
@given(pairs, pairs, pairs, pairs)
def test_turning_machines_turns_the_answer(before, after, sister_before, sister_after):
    one = against_sister(before, after, sister_before, sister_after)
    other = against_sister(sister_before, sister_after, before, after)
    assert one.p_better == pytest.approx(other.p_worse, abs=1e-7)
    assert "nan" not in one.sentence + repr(one)
    if one.ratio and other.ratio:
        assert one.ratio == pytest.approx(1 / other.ratio, rel=1e-3)


def test_equal_exposures_are_a_table():
    found = against_sister((14, 100), (3, 100), (12, 100), (11, 100))
    table = exact_table(3, 14, 11, 12, confidence=0.90)
    assert found.p_better == pytest.approx(table.p_less)
    assert (found.ratio, found.lower, found.upper) == pytest.approx(
        (table.odds_ratio, table.lower, table.upper)
    )


def test_a_fall_that_both_saw_is_no_effect():
    assert before_after(20, 30, 6, 30).verdict == "shown"
    found = against_sister((20, 30), (6, 30), (22, 30), (7, 30))
    assert found.verdict == "not yet demonstrable"
    assert "not yet demonstrable at 95 % confidence" in found.sentence


def conditional(ratio):
    """Exact probabilities of every outcome with the same margins; exposures differ."""
    machine, sister, after = 26, 30, 24
    t_before, t_after, s_before, s_after = 20.0, 30.0, 30.0, 24.0
    odds = ratio * t_after / t_before * s_before / s_after
    law = nchypergeom_fisher(machine + sister, machine, after, odds)
    for a in range(after + 1):
        found = against_sister(
            (machine - a, t_before),
            (a, t_after),
            (sister - after + a, s_before),
            (after - a, s_after),
        )
        yield float(law.pmf(a)), found


def test_no_effect_is_seldom_called_shown():
    outcomes = list(conditional(1.0))
    for verdict in ("shown", "worse"):
        size = sum(chance for chance, one in outcomes if one.verdict == verdict)
        assert 0 < size <= 0.05, f"{verdict}: {size:.4f}"


@pytest.mark.parametrize(("ratio", "least_power"), [(0.25, 0.6), (0.1, 0.95)])
def test_a_real_effect_is_shown_often_and_its_limits_cover(ratio, least_power):
    outcomes = list(conditional(ratio))
    assert sum(chance for chance, _ in outcomes) == pytest.approx(1)
    power = sum(chance for chance, one in outcomes if one.verdict == "shown")
    assert power > least_power, f"{power:.3f}"
    covered = sum(
        chance
        for chance, one in outcomes
        if one.lower <= ratio and (one.upper is None or one.upper >= ratio)
    )
    assert covered >= 0.90 - 1e-9, f"{covered:.4f}"


def test_no_event_after_says_nothing():
    found = against_sister((3, 10), (0, 10), (4, 10), (0, 10))
    assert (found.verdict, found.ratio, found.upper) == ("not yet demonstrable", None, None)


def test_worse_than_the_sister():
    found = against_sister((3, 30), (20, 30), (12, 30), (11, 30))
    assert found.verdict == "worse"
    assert "Worse than the sister" in found.sentence


def test_refusals():
    with pytest.raises(ValueError, match="after exposure = 0: needs a number above 0"):
        against_sister((3, 10), (0, 0), (4, 10), (0, 10))
    with pytest.raises(ValueError, match="sister_before events = -1"):
        against_sister((3, 10), (0, 10), (-1, 10), (0, 10))
    with pytest.raises(ValueError, match=r"between 0\.5 and 1"):
        against_sister((3, 10), (0, 10), (1, 10), (0, 10), confidence=0.4)
