"""A count held against an allowed rate."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from witnessmark.stats.binomial_test import against_rate


@given(st.integers(0, 200), st.integers(0, 200), st.floats(0.01, 0.99))
def test_tails_meet_in_the_observed_count(x, n, allowed):
    x, n = min(x, n), max(x, n)
    found = against_rate(x, n, allowed)
    if n:
        here = binom.pmf(x, n, allowed)
        assert found.p_above + found.p_below == pytest.approx(1 + here)
        assert min(found.p_above, found.p_below) <= found.p_two_sided + 1e-9
    else:
        assert found.p_two_sided == 1


def test_sentence_does_not_claim_conformity():
    assert against_rate(26, 200, 0.1).sentence == (
        "26 of 200 items: at a true rate of 10 % this many or more would be found in 10 % of such "
        "samples, this many or fewer in 93.3 %. A large share proves no conformity."
    )


def test_refusals():
    with pytest.raises(ValueError, match="between 0 and 1"):
        against_rate(1, 5, 0)
    with pytest.raises(ValueError, match="no larger than n"):
        against_rate(6, 5, 0.1)
