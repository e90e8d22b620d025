"""Changes of level against published data, by simulation, and what is refused."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.stats.change_points import cusum_of_deviations, mean_shift, pettitt
from witnessmark.stats.change_segments import segmented_means
from witnessmark.stats.change_share import share_shift

TOPIC = "change_points"


def _nile_mean(inputs):
    found = mean_shift(inputs["x"])
    segments = segmented_means(inputs["x"], most_breaks=5, least_segment=15)
    assert segments.chosen.breaks == 1
    exact = {
        "last_index_of_first_segment_1based": found.before,
        "last_year_of_first_segment": inputs["start_year"] + found.before - 1,
    }
    values = {
        "mean_before": found.mean_before,
        "mean_after": found.mean_after,
        "rss_no_change": found.rss_no_change,
        "rss_one_change": found.rss,
        "sup_F": found.sup_f,
        "rss_by_breaks_0_to_5": [one.rss for one in segments.by_breaks],
        "bic_by_breaks_0_to_5": [one.bic for one in segments.by_breaks],
    }
    return {name: (value, "index") for name, value in exact.items()} | values, {}


def _nile_cusum(inputs):
    found = cusum_of_deviations(inputs["referenced_inputs"]["cp-nile-mean"]["x"])
    assert found.lowest == 0
    return {
        "index_of_max_abs_1based": found.peak,
        "S_max": found.highest,
        "S_range": found.spread,
    }, {"S_min": "the rounding of a sum that is 0: here 0 exactly, asserted above"}


def _made_clear(inputs):
    found, ranks = mean_shift(inputs["x"]), pettitt(inputs["x"])
    return {
        "last_index_before_1based": found.before,
        "mean_before": found.mean_before,
        "mean_after": found.mean_after,
        "rss": found.rss,
        "pettitt_K": ranks.k,
        "pettitt_index": ranks.before,
        "pettitt_p": ranks.p,
    }, {}


def _made_binomial(inputs):
    found = share_shift(inputs["defectives"], [inputs["n"]] * len(inputs["defectives"]))
    return {
        "last_index_before_1based": found.before,
        "p_before": found.share_before,
        "p_after": found.share_after,
        "deviance_2logLR": found.deviance,
    }, {}


BY_ID = {
    "cp-nile-mean": _nile_mean,
    "cp-nile-cusum": _nile_cusum,
    "cp-made-clear": _made_clear,
    "cp-made-binomial": _made_binomial,
}


def test_published(item, agrees):
    found, left_out = BY_ID[item["id"]](item["inputs"])
    agrees(item, found, left_out)


def test_a_perfect_change_leaves_no_rest():
    found = mean_shift([1, 1, 1, 5, 5, 5, 5], generator=np.random.default_rng(7))
    assert (found.before, found.rss, found.sup_f) == (3, 0, None)
    assert (found.earliest, found.latest) == (3, 3)
    # 7! / (3! 4!) = 35 orders, of which the row and, by symmetry, its mirror are as clear.
    assert found.p == pytest.approx(2 / 35, abs=3 * math.sqrt(2 / 35 / 2000))


def _rows(size, n, shift, at):
    generator = np.random.default_rng(7)
    return generator.normal(size=(size, n)) + shift * (np.arange(n) >= at)


def test_the_range_of_places_covers_the_place():
    for shift in (1.5, 3.0):
        rows = _rows(500, 40, shift, 15)
        found = [mean_shift(row) for row in rows]
        covered = np.mean([one.earliest <= 15 <= one.latest for one in found])
        assert covered >= 0.95 - 3 * math.sqrt(0.05 * 0.95 / 500), f"{shift}: {covered:.3f}"


def test_shuffled_probabilities_are_honest_and_see_a_change():
    generator = np.random.default_rng(7)
    rows = _rows(150, 30, 0.0, 0)
    for call in (mean_shift, cusum_of_deviations):
        p = np.array([call(row, generator=generator).p for row in rows])
        assert np.mean(p <= 0.05) <= 0.05 + 3 * math.sqrt(0.05 * 0.95 / 150)
        p = np.array([call(row, generator=generator).p for row in _rows(60, 30, 1.5, 15)])
        assert np.mean(p <= 0.05) > 0.8


def test_pettitt_keeps_its_probability_and_the_share_shift_too():
    p = np.array([pettitt(row).p for row in _rows(1000, 25, 0.0, 0)])
    assert np.mean(p <= 0.05) <= 0.05 + 3 * math.sqrt(0.05 * 0.95 / 1000)
    generator = np.random.default_rng(7)
    counts = generator.binomial(50, 0.06, size=(150, 16))
    p = np.array([share_shift(row, [50] * 16, generator).p for row in counts])
    assert np.mean(p <= 0.05) <= 0.05 + 3 * math.sqrt(0.05 * 0.95 / 150)


def test_a_clear_change_of_share_is_not_chance():
    found = share_shift(
        [2, 1, 3, 2, 0, 1, 2, 1, 6, 5, 7, 4, 8, 6, 5, 7], [50] * 16, np.random.default_rng(7)
    )
    assert found.p == 1 / 2000
    assert "after sample 8: 3 % before, 12 % after" in found.sentence


def test_bic_finds_the_number_of_changes():
    generator = np.random.default_rng(7)
    level = np.repeat([0, 3, 1], 20)
    found = [segmented_means(level + generator.normal(size=60)).chosen for _ in range(100)]
    assert np.mean([one.breaks == 2 for one in found]) > 0.85
    none = [segmented_means(generator.normal(size=60)).chosen.breaks for _ in range(100)]
    assert np.mean(np.array(none) == 0) > 0.85


@pytest.mark.parametrize("breaks", [1, 2])
def test_divisions_are_the_best_of_all(breaks):
    """Against trying every division."""
    values = np.random.default_rng(7).normal(size=12)
    found = segmented_means(values, most_breaks=2, least_segment=3).by_breaks[breaks]

    def rss(ends):
        return sum(np.sum((part - part.mean()) ** 2) for part in np.split(values, ends))

    divisions = [(i,) for i in range(3, 10)]
    if breaks == 2:
        divisions = [(i, j) for i in range(3, 7) for j in range(i + 3, 10)]
    best = min(divisions, key=rss)
    assert found.ends == best
    assert found.rss == pytest.approx(rss(best))


def test_fewer_breaks_where_the_row_is_short():
    assert len(segmented_means([1, 2, 3, 9], least_segment=2).by_breaks) == 2
    assert segmented_means([1, 1, 5, 5]).chosen.bic is None


def test_values_that_hang_together_are_said():
    walk = np.cumsum(np.random.default_rng(7).normal(size=80))
    assert any("the probability is too small" in said for said in mean_shift(walk).assumptions)
    white = np.random.default_rng(8).normal(size=80)
    assert not any("too small" in said for said in mean_shift(white).assumptions)


def test_sentences_name_the_place_and_no_cause():
    x = [10.1, 9.8, 10.2, 9.9, 11.4, 11.6, 11.2, 11.5]
    for found in (mean_shift(x), cusum_of_deviations(x), pettitt(x)):
        assert "value 4" in found.sentence
        assert "does not show what caused" in found.sentence
    assert "was not calculated" in mean_shift(x).sentence
    assert "probability 0." in mean_shift(x, generator=np.random.default_rng(7)).sentence
    assert "after value 4: means" in segmented_means(x).sentence
    level = np.random.default_rng(7).normal(size=40)
    assert "no change of mean (of 0 to 5 looked at)" in segmented_means(level).sentence


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: mean_shift([1, 2, 3]), "x: 3 values: needs at least 4"),
        (lambda: mean_shift([1, 2, math.nan, 3]), "1 of 4 values are missing"),
        (lambda: mean_shift([2, 2, 2, 2]), "all 4 values are 2: needs some variation"),
        (lambda: mean_shift([1, 2, 3, 4], least_segment=3), "least_segment = 3: needs at least 6"),
        (lambda: cusum_of_deviations([5] * 9), "all 9 values are 5"),
        (lambda: pettitt([]), "x: 0 values"),
        (lambda: segmented_means([7] * 5), "all 5 values are 7"),
        (lambda: segmented_means([1, 2, 3, 4], least_segment=9), "least_segment = 9 of 4 values"),
        (lambda: share_shift([1], [5]), "found: 1 values: needs at least 2"),
        (lambda: share_shift([1, 2], [5]), r"sizes: 1 values"),
        (lambda: share_shift([1, 6], [5, 5]), "more found than looked at"),
        (lambda: share_shift([1, 0], [5, 0]), "a sample that is empty"),
        (lambda: share_shift([0, 0], [5, 5]), "0 of 10 found: needs some and not all"),
        (lambda: share_shift([0.5, 1], [5, 5]), "found has other than whole numbers"),
    ],
)
def test_refusals(call, message):
    with pytest.raises(ValueError, match=message):
        call()


VALUES = st.lists(st.integers(-50, 50), min_size=6, max_size=30).filter(lambda x: len(set(x)) > 1)


@given(VALUES, st.floats(0.01, 100), st.floats(-1000, 1000))
def test_scale_and_shift_of_the_values_do_not_matter(x, scale, shift):
    one, other = mean_shift(x), mean_shift(np.array(x) * scale + shift)
    assert one.earliest <= one.before <= one.latest
    assert other.rss == pytest.approx(one.rss * scale**2, rel=1e-6, abs=1e-6)
    assert one.rss <= one.rss_no_change * (1 + 1e-9)
    wide = mean_shift(x, confidence=0.99)
    assert wide.earliest <= one.earliest <= one.latest <= wide.latest
    assert 0 < pettitt(x).p <= 1
    assert pettitt([-v for v in x]).k == pytest.approx(pettitt(x).k)


@given(VALUES)
def test_one_break_is_the_single_change(x):
    found = segmented_means(x, most_breaks=1, least_segment=1)
    assert found.by_breaks[1].rss == pytest.approx(mean_shift(x).rss, rel=1e-6, abs=1e-6)
    rss = [one.rss for one in segmented_means(x, least_segment=1).by_breaks]
    assert all(a >= b - 1e-6 for a, b in pairwise(rss))
