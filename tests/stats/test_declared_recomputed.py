"""Declared against recomputed: direction, the cell that matters, kappa never alone."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from witnessmark.stats.declared_recomputed import declared_agreement, paired_direction

counts = st.integers(0, 60)


@given(counts, counts)
def test_direction_is_a_fair_coin(b, c):
    found, turned = paired_direction(b, c), paired_direction(c, b)
    assert found.p_two_sided == turned.p_two_sided
    assert found.p_more_b == turned.p_more_c
    if b + c == 0:
        assert found.p_two_sided == 1
        assert "no direction" in found.sentence


def test_the_direction_holds_its_error():
    """Exact size of the two-sided test at 5 %, over all splits of 30 changes."""
    raised = [paired_direction(b, 30 - b).p_two_sided <= 0.05 for b in range(31)]
    size = float(binom.pmf(np.arange(31), 30, 0.5) @ np.array(raised))
    assert 0 < size <= 0.05, f"{size:.4f}"


def test_a_high_agreement_hides_the_cell_that_matters():
    found = declared_agreement([[180, 12], [0, 8]])
    assert found.agree.rate == pytest.approx(0.94)
    assert found.worst == ("green", "red")
    assert (found.too_good, found.too_bad) == (12, 0)
    assert found.worst_share.rate == pytest.approx(12 / 20)
    assert found.direction.p_two_sided == pytest.approx(2 * 0.5**12)
    assert found.sentence == (
        "188 of 200 items agree (94 %; 95 % limits 89.8 % to 96.9 %); 12 were declared better than "
        "recomputed and 0 worse (p = 0.00049 for the direction). 12 of 20 recomputed as red stand "
        "declared as green."
    )
    assert "kappa" not in found.sentence


def test_kappa_of_the_textbook():
    """Cohen 1960 form: (0.7 - 0.5) / (1 - 0.5) for 20, 5, 10, 15: hand calculation."""
    assert declared_agreement([[20, 5], [10, 15]]).kappa.kappa == pytest.approx(0.4)


@given(st.lists(st.tuples(counts, counts, counts), min_size=3, max_size=3))
def test_three_verdicts(rows):
    found = declared_agreement(rows, ("green", "amber", "red"))
    total = sum(map(sum, rows))
    assert found.agree.x + found.too_good + found.too_bad == total
    assert "nan" not in repr(found) + found.sentence
    turned = declared_agreement(np.array(rows).T, ("green", "amber", "red"))
    assert (turned.too_good, turned.too_bad) == (found.too_bad, found.too_good)


def test_nothing_compared():
    found = declared_agreement([[0, 0], [0, 0]])
    assert (found.agree.rate, found.kappa, found.worst) == (None, None, None)
    assert "nothing can be compared" in found.sentence
    assert declared_agreement([[5, 0], [0, 0]]).kappa.kappa is None


def test_refusals():
    with pytest.raises(ValueError, match="as many rows and columns as verdicts"):
        declared_agreement([[1, 2, 3], [1, 2, 3]])
    with pytest.raises(ValueError, match="whole numbers from 0"):
        declared_agreement([[1, 2], [3, -1]])
    with pytest.raises(ValueError, match=r"b = 1\.5"):
        paired_direction(1.5, 2)
