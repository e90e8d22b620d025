"""Detection samples: figures of practice, minimality, what a look can hide, refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.stats.attribute_sample import attribute_sample
from witnessmark.stats.detection import (
    chance_to_miss,
    clean_exposure,
    could_miss,
    detection_sample,
    pocket_sample,
)

rates = st.floats(0.005, 0.9)


@pytest.mark.parametrize(
    ("rate", "lot", "n"),
    [
        *((0.10, lot, n) for lot, n in ((20, 16), (40, 21), (60, 23), (100, 25), (200, 27))),
        *((0.05, lot, n) for lot, n in ((60, 38), (100, 45), (200, 51), (500, 56))),
    ],
)
def test_lots_as_calculated_by_hand(rate, lot, n):
    """Hypergeometric, 95 %: hand calculation, common practice."""
    assert detection_sample(rate, lot=lot).n == n


@pytest.mark.parametrize(("share", "days"), [(0.1, 29), (0.2, 14), (0.3, 9), (0.5, 5)])
def test_clean_days_in_a_row(share, days):
    """ln 0.05 / ln (1 - share), rounded up: common practice, recomputed."""
    assert detection_sample(share).n == days


def test_five_good_pieces_from_a_bad_run():
    assert round(chance_to_miss(5, 0.05), 2) == 0.77
    assert round(could_miss(5).rate, 2) == 0.45


@given(rates, st.integers(0, 4), st.floats(0.5, 0.999))
def test_endless_sample_is_the_smallest_that_detects(rate, accept, confidence):
    plan = detection_sample(rate, confidence, accept)
    assert plan.chance_to_miss <= (1 - confidence) * (1 + 1e-8)
    assert chance_to_miss(plan.n - 1, rate, accept) > 1 - confidence


@given(rates, st.integers(1, 2000), st.floats(0.5, 0.999))
def test_lot_sample_is_the_smallest_and_below_the_endless_one(rate, lot, confidence):
    plan = detection_sample(rate, confidence, lot=lot)
    assert 1 <= plan.n <= min(lot, detection_sample(rate, confidence).n)
    assert plan.chance_to_miss <= (1 - confidence) * (1 + 1e-8)
    if plan.n > 1:
        assert chance_to_miss(plan.n - 1, rate, lot=lot) > 1 - confidence


def test_the_chance_is_what_drawing_finds():
    generator = np.random.default_rng(7)
    plan = detection_sample(0.05, lot=200, accept=1)
    drawn = generator.hypergeometric(plan.deviations, 200 - plan.deviations, plan.n, size=20_000)
    missed = float(np.mean(drawn <= 1))
    assert missed == pytest.approx(plan.chance_to_miss, abs=0.006)


@given(st.integers(0, 300), st.integers(0, 300), st.integers(0, 300))
def test_more_looks_hide_less(x, n, lot):
    x, n, lot = sorted((x, n, lot))
    found = could_miss(n, x, lot)
    if lot == 0:
        assert found.rate is None
        assert "empty" in found.sentence
        return
    assert 0 <= found.unseen <= lot - n
    assert x / lot <= found.rate <= 1
    if n < lot and x == 0:
        assert could_miss(n + 1, 0, lot).rate <= found.rate


def test_a_look_at_everything_hides_nothing():
    assert could_miss(40, 2, 40).unseen == 0
    assert could_miss(0).rate == 1


def test_sentences_say_what_is_not_shown():
    assert detection_sample(0.05).sentence.endswith("A smaller rate can stay unseen.")
    assert could_miss(60, lot=500).sentence == (
        "60 items looked at, 0 found: at 95 % confidence a rate of up to 4.4 % cannot be excluded, "
        "22 more among those not looked at."
    )
    assert "no event" in clean_exposure(0.01).sentence
    assert "at most 2 events" in clean_exposure(0.01, events=2).sentence


@given(st.floats(0, 0.03), st.floats(0.06, 0.3))
def test_attribute_sample_leaves_room_for_what_is_expected(expected, tolerable):
    plan = attribute_sample(expected, tolerable)
    assert plan.n * expected <= plan.expected * (1 + 1e-6)
    assert chance_to_miss(plan.n, tolerable, plan.expected) <= 0.05 * (1 + 1e-6)
    assert f"{plan.n:,} items" in plan.sentence


def test_refusals():
    with pytest.raises(ValueError, match="2 deviations in a lot of 20: needs more than the 2"):
        detection_sample(0.1, accept=2, lot=20)
    with pytest.raises(ValueError, match="a sample within the lot"):
        chance_to_miss(30, 0.1, lot=20)
    with pytest.raises(ValueError, match="rate = 0: needs a number between 0 and 1"):
        detection_sample(0)
    with pytest.raises(ValueError, match="x no larger than n"):
        pocket_sample(10, 11)
    with pytest.raises(ValueError, match="needs rates further apart"):
        attribute_sample(0.19, 0.2)
    with pytest.raises(ValueError, match="0 up to the tolerable rate"):
        attribute_sample(0.3, 0.2)
    with pytest.raises(ValueError, match="a number above 0"):
        clean_exposure(0)
