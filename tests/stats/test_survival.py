"""Survival of open actions against published curves, by simulation, and its edges."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from witnessmark.stats.logrank import logrank
from witnessmark.stats.redated import redated_share
from witnessmark.stats.survival import restricted_mean, survival_curve

TOPIC = "survival_corrective_actions"


def _rows(curve):
    return [[r.time, r.at_risk, r.closed, r.open_share, r.se] for r in curve.rows]


def _curve(inputs):
    curve = survival_curve(inputs["time"], inputs["event"])
    return {
        # Shares and standard errors stand in one list: held to the finer tolerance of the shares.
        "rows_time_atrisk_events_S_greenwood_se": (_rows(curve), "S"),
        "median": (curve.median, "S"),
    }


def _nist(inputs):
    curve = survival_curve(inputs["time"], inputs["event"])
    return {
        "rows_time_atrisk_events_S_greenwood_se": (_rows(curve), "S"),
        "printed_R": ([r.open_share for r in curve.rows], "printed"),
    }


def _logrank(inputs):
    groups = [inputs["referenced_inputs"][inputs[name]] for name in ("group_1", "group_2")]
    found = logrank([(group["time"], group["event"]) for group in groups])
    return {
        "chi2": found.chi2,
        "df": found.df,
        "p": found.p,
        "observed": list(found.observed),
        "expected": list(found.expected),
    }


def _rmst(inputs):
    data = inputs["referenced_inputs"]["km-6mp"]
    return {"rmst": restricted_mean(data["time"], data["event"], inputs["tau"]).mean}


def _edge(inputs):
    curves = [survival_curve(case["time"], case["event"]) for case in inputs["cases"]]
    return {
        "S_end": [c.rows[-1].open_share if c.rows else 1.0 for c in curves],
        "median": [c.median for c in curves],
    }


BY_ID = {
    "km-6mp": _curve,
    "km-6mp-logrank": _logrank,
    "km-nist-20units": _nist,
    "km-aml-maintained": _curve,
    "km-6mp-rmst": _rmst,
    "km-edge": _edge,
}


def test_published(item, agrees):
    if item["id"] == "km-edge":
        # A median that is not reached is None in both; the runner asks for an infinite number.
        found = BY_ID["km-edge"](item["inputs"])
        assert found["median"] == item["expected"]["median"]
        agrees(item, {"S_end": found["S_end"]}, {"median": "held against it in the line above"})
        return
    agrees(item, BY_ID[item["id"]](item["inputs"]))


def test_limits_are_those_of_the_log_log_formula():
    """Against scipy's own limits, where these are defined."""
    generator = np.random.default_rng(7)
    times, ended = generator.exponential(30, 60).round(), generator.random(60) < 0.7
    ended[[times.argmin(), times.argmax()]] = True, False  # else scipy's have no value at an end
    found = survival_curve(times, ended)
    sf = stats.ecdf(stats.CensoredData.right_censored(times, ~ended)).sf
    limits = sf.confidence_interval(0.95, method="log-log")
    lower = dict(zip(sf.quantiles, limits.low.probabilities, strict=True))
    upper = dict(zip(sf.quantiles, limits.high.probabilities, strict=True))
    assert found.rows[-1].open_share > 0
    for row in found.rows:
        assert row.lower == pytest.approx(lower[row.time])
        assert row.upper == pytest.approx(upper[row.time])


def test_no_curve_below_zero_and_limits_where_all_are_closed():
    found = survival_curve([3, 3, 5], [1, 1, 1])
    last = found.rows[-1]
    assert (last.open_share, last.se, last.lower) == (0, None, 0)
    assert last.upper == found.rows[0].upper < 1


def _samples(size, n=60):
    generator = np.random.default_rng(7)
    lasting = generator.exponential(20, (size, n))
    seen = generator.uniform(10, 60, (size, n))
    return np.minimum(lasting, seen), lasting <= seen


def test_limits_cover():
    """Approximate limits, n = 60 with a third still open: share at 20 d, median, mean to 40 d."""
    size = 500
    days, closed = _samples(size)
    truth = math.exp(-1), 20 * math.log(2), 20 * (1 - math.exp(-2))
    covered = np.zeros(3)
    for times, ended in zip(days, closed, strict=True):
        curve = survival_curve(times, ended)
        row = [r for r in curve.rows if r.time <= 20][-1]
        upper = math.inf if curve.median_upper is None else curve.median_upper
        mean = restricted_mean(times, ended, 40) if curve.longest >= 40 else None
        covered += (
            row.lower <= truth[0] <= row.upper,
            curve.median_lower <= truth[1] <= upper,
            mean is None or mean.lower <= truth[2] <= mean.upper,
        )
    # Not exact limits: they may fall short of 95 % by about two points at this size.
    assert np.all(covered / size >= 0.93 - 3 * math.sqrt(0.05 * 0.95 / size)), covered / size


def test_logrank_rejects_as_often_as_it_says_and_sees_a_real_difference():
    size = 400
    days, closed = _samples(size, n=80)
    equal = [
        logrank([(d[:40], c[:40]), (d[40:], c[40:])]).p for d, c in zip(days, closed, strict=True)
    ]
    false_alarms = np.mean(np.array(equal) < 0.05)
    assert false_alarms <= 0.05 + 3 * math.sqrt(0.05 * 0.95 / size), f"{false_alarms:.3f}"
    slower = [
        logrank([(d[:40], c[:40]), (2 * d[40:], c[40:])]).p
        for d, c in zip(days[:150], closed[:150], strict=True)
    ]
    # Schoenfeld, Biometrika 68 (1981): power from the number of closures and the ratio of rates.
    closures = closed[:150].sum(axis=1).mean()
    expected = stats.norm.cdf(math.log(2) * math.sqrt(closures / 4) - stats.norm.ppf(0.975))
    power = np.mean(np.array(slower) < 0.05)
    assert abs(power - expected) <= 3 * math.sqrt(0.25 / 150), f"{power:.3f}, not {expected:.3f}"


def test_two_groups_agree_with_scipy():
    generator = np.random.default_rng(7)
    groups = [(generator.exponential(m, 25).round(1), generator.random(25) < 0.6) for m in (9, 15)]
    pair = [stats.CensoredData.right_censored(t, ~e) for t, e in groups]
    assert logrank(groups).p == pytest.approx(stats.logrank(*pair).pvalue)


def test_groups_that_never_overlap_cannot_be_compared():
    found = logrank([([1, 2], [1, 1]), ([0.5], [0])])
    assert found.p is None
    assert "cannot be compared" in found.sentence
    nobody = logrank([([1, 2], [0, 0]), ([3], [0])], names=["early", "late"])
    assert (nobody.p, nobody.chi2, nobody.df) == (None, 0, 0)


def test_few_expected_closures_are_said():
    found = logrank([([3, 5, 7, 9], [1, 1, 1, 0]), ([10, 14, 20, 21], [1, 1, 0, 1])], ["A", "B"])
    assert any("expected in A, B" in said for said in found.assumptions)
    assert "A: 4 actions, 3 closed against" in found.sentence
    assert "does not show why" in found.sentence


def test_sentence_gives_the_median_and_how_many_are_open():
    said = survival_curve([5, 8, 12, 20, 20], [1, 1, 0, 1, 0]).sentence
    assert said.startswith("Of 5 actions, 3 were closed with verification and 2 are still open.")
    assert "median time to verified closure, open ones counted, is 20 days" in said
    assert "no upper limit" in said
    none = survival_curve([5, 8, 12], [0, 0, 1 - 1])
    assert none.median is None
    assert "no median time to verified closure can be given" in none.sentence


def test_the_mean_age_of_closed_ones_would_be_too_short():
    """Half of the actions are open for long: the curve's median says so, the closed do not."""
    days, closed = [10] * 5 + [100] * 6, [1] * 5 + [0] * 6
    assert survival_curve(days, closed).median is None
    assert restricted_mean(days, closed, 100).mean == pytest.approx((5 * 10 + 6 * 100) / 11)


def test_restricted_mean_of_a_curve_that_ends():
    found = restricted_mean([3, 3, 3], [1, 1, 1], until=10)
    assert (found.mean, found.se) == (3, 0)
    with pytest.raises(ValueError, match="until = 10: needs at most the longest time seen"):
        restricted_mean([3, 5], [1, 0], until=10)
    assert "stays open 3.0 on average" in found.sentence


@pytest.mark.parametrize(
    ("x", "n", "said"),
    [
        (30, 60, "above the 25 %"),
        (1, 60, "not above 25 %"),
        (9, 20, "is not shown"),
        (0, 0, "No a"),
    ],
)
def test_redated_share_says_only_what_its_limits_allow(x, n, said):
    found = redated_share(x, n)
    assert said in found.sentence
    assert found.lower <= (found.share or 0) <= found.upper


@pytest.mark.parametrize(
    ("days", "closed", "message"),
    [
        ([], [], "days: 0 values: needs at least 1"),
        ([3, -1], [1, 1], "1 of 2 are negative"),
        ([3, math.nan], [1, 1], "1 of 2 values are missing"),
        ([3, 4], [1], r"rows of different length \(days: 2, closed: 1\)"),
        ([3, 4], [1, 2], "closed has other values"),
    ],
)
def test_refusals(days, closed, message):
    with pytest.raises(ValueError, match=message):
        survival_curve(days, closed)


def test_one_group_is_no_comparison():
    with pytest.raises(ValueError, match="1 groups: needs at least 2"):
        logrank([([1], [1])])


@given(
    st.lists(st.tuples(st.integers(0, 20), st.booleans()), min_size=1, max_size=25),
    st.randoms(use_true_random=False),
)
def test_curve_falls_limits_nest_and_order_does_not_matter(pairs, random):
    days, closed = zip(*pairs, strict=True)
    narrow, wide = survival_curve(days, closed, 0.8), survival_curve(days, closed, 0.99)
    shares = [row.open_share for row in narrow.rows]
    assert all(a > b for a, b in pairwise(shares))
    for one, other in zip(narrow.rows, wide.rows, strict=True):
        assert 0 <= other.lower <= one.lower <= one.open_share
        assert one.open_share <= one.upper <= other.upper <= 1
    shuffled = random.sample(pairs, len(pairs))
    assert survival_curve(*zip(*shuffled, strict=True), 0.8) == narrow
    in_hours = survival_curve([24 * d for d in days], closed, 0.8)
    assert [row.open_share for row in in_hours.rows] == shares
    if all(closed):
        assert restricted_mean(days, closed, 21).mean == pytest.approx(np.mean(days))


@given(st.lists(st.tuples(st.integers(0, 9), st.booleans()), min_size=4, max_size=30))
def test_observed_and_expected_closures_add_up_alike(pairs):
    groups = [zip(*pairs[i::2], strict=True) for i in range(2)]
    found = logrank([tuple(group) for group in groups])
    assert sum(found.observed) == pytest.approx(sum(found.expected))
    assert found.p is None or 0 <= found.p <= 1
    assert found.chi2 >= -1e-9
