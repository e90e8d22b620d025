"""Two shares and several tables: published values, coverage, symmetry, refusals."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import hypergeom, nchypergeom_fisher

from witnessmark.stats.odds_ratio import exact_table, mantel_haenszel

cells = st.tuples(*[st.integers(0, 30)] * 4)
ADMISSIONS = [  # admitted and rejected, men and women, six departments
    [[512, 313], [89, 19]],
    [[353, 207], [17, 8]],
    [[120, 205], [202, 391]],
    [[138, 279], [131, 244]],
    [[53, 138], [94, 299]],
    [[22, 351], [24, 317]],
]


def test_weekend_against_weekday_red_share():
    """7 of 8 against 3 of 20: hypergeometric tail, hand calculation."""
    found = exact_table(7, 1, 3, 17)
    assert found.p_two_sided == pytest.approx(0.0007, abs=0.00005)
    tail = hypergeom.sf(6, 28, 10, 8)
    assert found.p_greater == pytest.approx(tail)


def test_admissions_by_department():
    """R help page of mantelhaen.test, UCBAdmissions: 0.9047 (0.7719 to 1.0603), 1.4269, 0.2323."""
    found = mantel_haenszel(ADMISSIONS)
    assert found.odds_ratio == pytest.approx(0.9046968, abs=1e-7)
    assert (found.lower, found.upper) == pytest.approx((0.7719074, 1.0603298), abs=1e-7)
    assert found.statistic == pytest.approx(1.4269, abs=5e-5)
    assert found.p_two_sided == pytest.approx(0.2323, abs=5e-5)
    assert f"{found.same_direction} of 6" in found.assumptions[1]
    assert found.same_direction == sum(a * d < b * c for (a, b), (c, d) in ADMISSIONS)


@settings(max_examples=40)
@given(cells)
def test_turning_the_groups_turns_the_ratio(table):
    a, b, c, d = table
    one, other = exact_table(a, b, c, d), exact_table(c, d, a, b)
    assert one.p_two_sided == pytest.approx(other.p_two_sided)
    assert one.p_greater == pytest.approx(other.p_less)
    assert "nan" not in one.sentence + repr(one)
    if one.odds_ratio and other.odds_ratio:
        assert one.odds_ratio == pytest.approx(1 / other.odds_ratio, rel=1e-3)
        assert one.lower * (1 - 1e-6) <= one.odds_ratio <= (one.upper or np.inf) * (1 + 1e-6)


def test_limits_of_the_odds_ratio_cover():
    """Exact coverage over all tables with the same margins, odds ratio 3."""
    rows, found, total = 15, 12, 35
    law = nchypergeom_fisher(total, found, rows, 3.0)
    covered = 0.0
    for a in range(found + 1):
        one = exact_table(a, rows - a, found - a, total - rows - found + a)
        covered += law.pmf(a) * (one.lower <= 3 and (one.upper is None or one.upper >= 3))
    assert covered >= 0.95 - 1e-9, f"{covered:.4f}"


def test_common_limits_cover():
    generator, times, ratio = np.random.default_rng(7), 1200, 2.5
    base = np.array([0.1, 0.3, 0.5, 0.2])
    odds = ratio * base / (1 - base)
    inside = 0
    for _ in range(times):
        first, second = generator.binomial(40, odds / (1 + odds)), generator.binomial(50, base)
        tables = np.stack([first, 40 - first, second, 50 - second], axis=1).reshape(-1, 2, 2)
        found = mantel_haenszel(tables)
        inside += found.lower <= ratio <= found.upper
    covered = inside / times
    assert covered >= 0.95 - 3 * np.sqrt(0.05 * 0.95 / times), f"{covered:.4f}"


@given(st.lists(cells, max_size=5))
def test_order_of_tables_changes_nothing(rows):
    tables = np.array(rows, dtype=float).reshape(-1, 2, 2)
    one, other = mantel_haenszel(tables), mantel_haenszel(tables[::-1])
    assert one.p_two_sided == pytest.approx(other.p_two_sided)
    assert one.informative == other.informative <= one.tables
    assert "nan" not in one.sentence + repr(one)


def test_a_split_that_pooling_turns_round():
    """Within each week the odds are alike; pooled, one group looks worse."""
    tables = [[[1, 9], [10, 90]], [[45, 55], [9, 11]]]
    found = mantel_haenszel(tables)
    assert found.lower < 1 < found.upper
    pooled = np.sum(tables, axis=0)
    assert exact_table(*pooled.ravel().tolist()).p_two_sided < 0.001


def test_empty_groups_say_nothing():
    found = exact_table(0, 0, 3, 4)
    assert (found.odds_ratio, found.lower, found.upper, found.p_two_sided) == (None, 0, None, 1)
    assert "empty" in found.sentence
    none = mantel_haenszel([[[0, 0], [3, 4]]])
    assert (none.odds_ratio, none.p_two_sided, none.informative) == (None, 1, 0)
    assert "no common odds ratio" in none.sentence


def test_refusals():
    with pytest.raises(ValueError, match="b = -1: needs a whole number"):
        exact_table(1, -1, 2, 3)
    with pytest.raises(ValueError, match=r"needs the shape \(strata, 2, 2\)"):
        mantel_haenszel([[1, 2], [3, 4]])
    with pytest.raises(ValueError, match="missing, negative or broken counts"):
        mantel_haenszel([[[1, 2], [3, np.nan]]])
