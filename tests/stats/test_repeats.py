"""Repeated sets against chance, by hand and by simulation."""

import math
from itertools import combinations, permutations, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.stats.repeats import repeated_sets


def test_expected_pairs_equal_the_mean_over_all_dealings():
    """Every order of both places of four sets, counted out."""
    readings = np.array([[1, 5], [1, 5], [2, 6], [2, 5]])

    def pairs(rows):
        return sum(a == b for a, b in combinations(rows, 2))

    dealings = [
        pairs(list(zip(first, second, strict=True)))
        for first, second in product(permutations(readings[:, 0]), permutations(readings[:, 1]))
    ]
    found = repeated_sets(readings)
    assert found.expected == pytest.approx(np.mean(dealings))
    assert found.pairs == pairs([tuple(row) for row in readings])


def test_expected_pairs_within_and_between_blocks():
    generator = np.random.default_rng(7)
    readings = generator.integers(0, 3, (12, 2))
    blocks = ["a"] * 5 + ["b"] * 6 + ["c"]
    found = repeated_sets(readings, blocks)
    means = []
    for _ in range(4000):
        dealt = readings.copy()
        dealt[:5] = generator.permuted(dealt[:5], axis=0)
        dealt[5:11] = generator.permuted(dealt[5:11], axis=0)
        _, counts = np.unique(dealt, axis=0, return_counts=True)
        means.append(np.sum(counts * (counts - 1) / 2))
    assert found.expected == pytest.approx(np.mean(means), abs=4 * np.std(means) / math.sqrt(4000))


def test_groups_name_the_sets():
    found = repeated_sets([[1, 2], [3, 4], [1, 2], [3, 4], [1, 2], [5, 6]])
    assert found.groups == ((0, 2, 4), (1, 3))
    assert (found.pairs, found.repeated, found.largest) == (4, 5, 3)
    assert "5 are identical with another one (4 pairs" in found.sentence
    assert "does not show how" in found.sentence
    none = repeated_sets([[1, 2], [3, 4], [5, 6]])
    assert (none.groups, none.largest, none.pairs) == ((), 1, 0)


def test_honest_sets_raise_no_more_alarms_than_they_may():
    size, generator = 60, np.random.default_rng(7)
    p = [
        repeated_sets(np.round(generator.normal(0, 1.5, (30, 3))), generator=generator).p
        for _ in range(size)
    ]
    alarms = np.mean(np.array(p) <= 0.05)
    assert alarms <= 0.05 + 3 * math.sqrt(0.05 * 0.95 / size), f"{alarms:.3f}"


def test_copied_sets_are_seen():
    generator = np.random.default_rng(7)
    readings = np.round(generator.normal(0, 4, (60, 5)))
    readings[[10, 20, 30]] = readings[3]
    found = repeated_sets(readings, generator=generator)
    assert found.groups == ((3, 10, 20, 30),)
    assert found.p == 1 / 2000


def test_blocks_keep_a_moving_process_from_looking_repeated():
    """Each block has its own level and a coarse gauge: repeats are many, and expected."""
    generator = np.random.default_rng(7)
    blocks = np.repeat(np.arange(8), 6).tolist()
    readings = np.round(generator.normal(0, 0.5, (48, 3))) + 10 * np.array(blocks)[:, np.newaxis]
    lumped = repeated_sets(readings, generator=np.random.default_rng(7))
    apart = repeated_sets(readings, blocks, np.random.default_rng(7))
    assert lumped.p == 1 / 2000
    assert apart.p > 0.05
    assert apart.expected > 10 * lumped.expected


@pytest.mark.parametrize(
    ("readings", "blocks", "message"),
    [
        ([[1, 2]], None, r"readings of shape \(1, 2\): needs at least 2 sets"),
        ([[1], [2]], None, r"readings of shape \(2, 1\)"),
        ([1, 2, 3], None, r"readings of shape \(3,\)"),
        ([[1, 2], [1, math.nan]], None, "1 of 4 values are missing"),
        ([[1, 2], [1, 3]], ["a"], r"rows of different length \(readings: 2, blocks: 1\)"),
    ],
)
def test_refusals(readings, blocks, message):
    with pytest.raises(ValueError, match=message):
        repeated_sets(readings, blocks)


@given(
    st.lists(st.lists(st.integers(0, 2), min_size=2, max_size=2), min_size=2, max_size=12),
    st.randoms(use_true_random=False),
)
def test_order_and_unit_do_not_matter(readings, random):
    one = repeated_sets(readings)
    shuffled = repeated_sets(random.sample(readings, len(readings)))
    scaled = repeated_sets(np.array(readings) * 0.01)
    for other in (shuffled, scaled):
        assert (other.pairs, other.largest, other.repeated) == (
            one.pairs,
            one.largest,
            one.repeated,
        )
        assert other.expected == pytest.approx(one.expected)
    assert 0 <= one.expected <= len(readings) * (len(readings) - 1) / 2
