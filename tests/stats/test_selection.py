"""Draws that anyone can repeat: order, growth, replacement; chosen samples give no rate."""

from collections import Counter
from hashlib import sha256

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chisquare

from witnessmark.stats.selection import (
    TargetedSample,
    allocate,
    draw_sample,
    replace_missing,
)

REFS = [f"C{i}" for i in range(40)]
names = st.lists(st.text(max_size=6), unique=True, max_size=40)


def test_the_draw_is_what_anyone_computes_from_the_seed():
    """Sorted by the hexadecimal digest, as any tool prints it."""
    by_hand = sorted(REFS, key=lambda ref: sha256(f"2024:{ref}".encode()).hexdigest())
    stratum = draw_sample(REFS, 6, seed=2024).strata[0]
    assert stratum.refs == tuple(by_hand[:6])
    assert stratum.reserve == tuple(by_hand[6:11])
    assert stratum.refs[:3] == ("C2", "C14", "C29")


@given(names, st.randoms(use_true_random=False), st.integers(0, 10**9), st.data())
def test_order_of_arrival_changes_nothing(refs, random, seed, data):
    n = data.draw(st.integers(0, len(refs)))
    mixed = refs.copy()
    random.shuffle(mixed)
    one, other = draw_sample(refs, n, seed), draw_sample(mixed, n, seed)
    assert one == other
    assert len(set(one.refs)) == n
    assert set(one.refs) <= set(refs)


def test_a_larger_sample_contains_the_smaller_one():
    small, large = (draw_sample(REFS, n, 5).refs for n in (5, 12))
    assert large[:5] == small


def test_every_item_is_drawn_equally_often():
    """2,000 seeds, 4 of 40: each expected 200 times."""
    times = Counter(ref for seed in range(2000) for ref in draw_sample(REFS, 4, seed).refs)
    assert chisquare([times[ref] for ref in REFS]).pvalue > 0.001


def test_strata_are_drawn_apart():
    strata = ["night" if i % 4 == 0 else "day" for i in range(40)]
    draw = draw_sample(REFS, 8, 3, strata)
    assert [(s.name, s.size, len(s.refs)) for s in draw.strata] == [
        ("day", 30, 6),
        ("night", 10, 2),
    ]
    given_numbers = draw_sample(REFS, {"night": 5}, 3, strata, "given")
    assert [len(s.refs) for s in given_numbers.strata] == [0, 5]


sizes = st.dictionaries(st.text(max_size=3), st.integers(0, 60), min_size=1, max_size=8)


@given(sizes, st.sampled_from(["proportional", "equal"]), st.integers(0, 5), st.data())
def test_allocation_adds_up_within_the_strata(sizes, how, minimum, data):
    least = sum(min(minimum, size) for size in sizes.values())
    n = data.draw(st.integers(least, sum(sizes.values())))
    taken = allocate(sizes, n, how, minimum)
    assert sum(taken.values()) == n
    for name, size in sizes.items():
        assert min(minimum, size) <= taken[name] <= size
    if how == "proportional" and minimum == 0:
        whole = sum(sizes.values())
        assert all(abs(taken[k] - n * sizes[k] / max(whole, 1)) < 1 + 1e-9 for k in sizes)


def test_a_missing_item_stays_an_exception_until_explained():
    draw = draw_sample(REFS, 3, 11, reserve=2)
    first, second = draw.refs[:2]
    draw = replace_missing(draw, first)
    draw = replace_missing(draw, second, "scrapped with record 4711")
    assert draw.unexplained == (first,)
    assert draw.refs[-2:] == draw.strata[0].reserve
    assert first in draw.refs
    assert "2 missing, of which 1 unexplained" in draw.sentence
    draw = replace_missing(draw, draw.refs[-1])
    assert draw.replacements[-1].by is None
    with pytest.raises(ValueError, match="not missing already"):
        replace_missing(draw, first)
    with pytest.raises(ValueError, match="a drawn item"):
        replace_missing(draw, "X9")


def test_a_chosen_sample_has_no_rate():
    chosen = TargetedSample(("C1", "C2", "C3"), "the alarm log named them", ("C2",))
    with pytest.raises(ValueError, match="needs a random sample"):
        _ = chosen.rate
    assert chosen.sentence == (
        "3 items chosen because the alarm log named them: 1 exception among them. As they were "
        "chosen for this, they say that it happens, not how often."
    )
    with pytest.raises(ValueError, match="what it was chosen for"):
        TargetedSample(("C1",), " ")
    with pytest.raises(ValueError, match="items that were chosen"):
        TargetedSample(("C1",), "a reason", ("C2",))


def test_nothing_to_draw_from():
    assert draw_sample([], 0, 1).refs == ()
    assert draw_sample([], {}, 1, allocation="given").refs == ()


def test_refusals():
    with pytest.raises(ValueError, match="1 reference more than once, such as 'C0'"):
        draw_sample([*REFS, "C0"], 3, 1)
    with pytest.raises(ValueError, match="a number from 0 to 40"):
        draw_sample(REFS, 41, 1)
    with pytest.raises(ValueError, match="same length"):
        draw_sample(REFS, 3, 1, ["a"])
    with pytest.raises(ValueError, match="needs allocation='given'"):
        draw_sample(REFS, {"all": 3}, 1)
    with pytest.raises(ValueError, match="a number for each stratum"):
        draw_sample(REFS, 3, 1, allocation="given")
    with pytest.raises(ValueError, match="strata that are there"):
        draw_sample(REFS, {"night": 3}, 1, allocation="given")
    with pytest.raises(ValueError, match="'proportional' or 'equal'"):
        allocate({"a": 3}, 1, "optimal")
    with pytest.raises(ValueError, match="a number from 4 to 6"):
        allocate({"a": 3, "b": 3}, 3, minimum=2)
