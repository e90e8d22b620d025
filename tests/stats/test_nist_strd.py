"""Mean, spread, autocorrelation and one-way analysis of variance against certified values."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats.variance import one_way_anova, summary

TOPIC = "nist_strd"
RULES = {"strd-uni-NumAcc2": 1, "strd-uni-NumAcc3": 1_000_000}


def _univariate(item):
    values = item["inputs"].get("values")
    if values is None:
        whole = RULES[item["id"]]
        tail = [float(f"{whole}.{1 if place % 2 == 0 else 3}") for place in range(1000)]
        values = [float(f"{whole}.2"), *tail]
    found = summary(values)
    return {
        "n": found.n,
        "mean": found.mean,
        "sd_n_minus_1": found.sd,
        "lag1_autocorrelation": found.lag1,
    }


def _decimal_groups(inputs):
    """base, then base - 0.1 and base + 0.1 in turn, written in decimal and then read."""
    groups = []
    for base in inputs["bases"]:
        whole, tenth = base.split(".")
        low, high = float(f"{whole}.{int(tenth) - 1}"), float(f"{whole}.{int(tenth) + 1}")
        pairs = (inputs["replicates_per_group"] - 1) // 2
        groups.append([float(base)] + [low, high] * pairs)
    return groups


def _anova(item):
    inputs = item["inputs"]
    found = one_way_anova(inputs.get("groups") or _decimal_groups(inputs))
    return {
        "df_between": found.df_between,
        "SS_between": found.ss_between,
        "MS_between": found.ms_between,
        "F": found.f,
        "df_within": found.df_within,
        "SS_within": found.ss_within,
        "MS_within": found.ms_within,
        "R2": found.r2,
        "residual_sd": found.residual_sd,
    }


def test_published(item, agrees):
    agrees(item, (_univariate if "-uni-" in item["id"] else _anova)(item))


rows = st.lists(st.integers(-1000, 1000), min_size=2, max_size=30)


@given(rows, st.integers(-(10**6), 10**6))
def test_moving_all_values_moves_the_mean_only(row, by):
    one, other = summary(row), summary([value + by for value in row])
    assert other.mean == pytest.approx(one.mean + by, abs=1e-9)
    assert other.sd == pytest.approx(one.sd, rel=1e-9)
    assert (other.lag1 is None) == (one.lag1 is None)
    assert not math.isnan(one.sd)


@given(rows, rows)
def test_order_of_groups_does_not_matter(one, other):
    if len(set(one + other)) == 1:
        return
    found, turned = one_way_anova([one, other]), one_way_anova([other[::-1], one[::-1]])
    assert found.ss_between == pytest.approx(turned.ss_between, rel=1e-9, abs=1e-9)
    assert found.ss_within == pytest.approx(turned.ss_within, rel=1e-9, abs=1e-9)


def test_the_probability_is_level_when_groups_do_not_differ():
    drawn = np.random.default_rng(7).standard_normal((1000, 4, 5))
    below = np.mean([one_way_anova(list(groups)).p < 0.05 for groups in drawn])
    assert below == pytest.approx(0.05, abs=3 * math.sqrt(0.05 * 0.95 / 1000)), below


def test_groups_constant_within_give_no_test_and_say_so():
    found = one_way_anova([[1.1, 1.1], [2.3, 2.3]])
    assert (found.f, found.p) == (None, None)
    assert "do not vary within themselves" in found.sentence


def test_constant_values_have_no_autocorrelation():
    found = summary([0.1, 0.1, 0.1])
    assert (found.sd, found.lag1) == (0.0, None)
    assert "not defined" in found.assumptions[0]


def test_a_trend_is_seen_in_the_assumptions():
    assert "more than the ±0.45 that chance explains" in summary(range(20)).assumptions[0]


@pytest.mark.parametrize(
    ("groups", "why"),
    [
        ([[1.0, 2.0]], "groups: 1: needs at least 2"),
        ([[1.0], [2.0]], "one value each"),
        ([[1.0, 1.0], [1.0, 1.0]], "all values are the same"),
        ([[1.0, math.nan], [1.0, 1.0]], "1 of 2 values are missing"),
    ],
)
def test_unfit_groups_are_refused(groups, why):
    with pytest.raises(UnfitNumbersError, match=why):
        one_way_anova(groups)


def test_a_single_value_has_no_spread():
    with pytest.raises(UnfitNumbersError, match="at least 2"):
        summary([1.0])
