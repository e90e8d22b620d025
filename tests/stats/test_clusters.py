"""Clustered shares: known inflation, coverage by simulation, refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.stats.clusters import (
    cluster_bootstrap,
    clustered_interval,
    planned_design_effect,
)
from witnessmark.stats.proportion import design_effect, exact_interval

pairs = st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9)).map(sorted), min_size=2)


def test_ten_checks_per_shift_alike_by_a_fifth():
    """1 + (m - 1) rho: hand calculation, common practice."""
    assert planned_design_effect(10, 0.2) == pytest.approx(2.8)
    assert round(100 / planned_design_effect(10, 0.2)) == 36


def simulated(generator, shifts, checks, rate, strength):
    """Shifts whose own rates vary by a beta law with intraclass correlation `strength`."""
    size = 1 / strength - 1
    own = generator.beta(rate * size, (1 - rate) * size, size=shifts)
    return generator.binomial(checks, own)


def test_design_effect_finds_the_correlation_put_in():
    generator = np.random.default_rng(7)
    found = simulated(generator, 4000, 10, 0.15, 0.2)
    assert design_effect(found.tolist(), [10] * 4000) == pytest.approx(2.8, rel=0.08)


@pytest.mark.parametrize(
    ("method", "least"), [("effective number", 0.93), ("bootstrap", 0.92), ("naive", None)]
)
def test_coverage_under_clustering(method, least):
    """60 shifts of 10 checks, intraclass correlation 0.2; rows taken as independent fall short."""
    generator, rate, times = np.random.default_rng(7), 0.15, 400
    inside = 0
    for _ in range(times):
        found = simulated(generator, 60, 10, rate, 0.2)
        if method == "bootstrap":
            limits = cluster_bootstrap(found, [10] * 60, generator, replicates=600)
        elif method == "naive":
            limits = exact_interval(int(found.sum()), 600)
        else:
            limits = clustered_interval(found, [10] * 60)
        inside += limits.lower <= rate <= limits.upper
    covered = inside / times
    if least is None:
        assert covered < 0.85, f"{method}: {covered:.3f}"
    else:
        assert covered >= least - 2 * np.sqrt(0.05 * 0.95 / times), f"{method}: {covered:.3f}"


@given(pairs, st.randoms(use_true_random=False))
def test_order_of_clusters_changes_nothing(rows, random):
    if len([n for _, n in rows if n]) == 1:
        return
    mixed = rows.copy()
    random.shuffle(mixed)
    one, other = (clustered_interval(*zip(*order, strict=True)) for order in (rows, mixed))
    assert one.lower == pytest.approx(other.lower, abs=1e-12)
    assert one.upper == pytest.approx(other.upper, abs=1e-12)
    assert one.lower <= (one.rate or 0) <= one.upper


def test_clustering_costs_and_never_gains():
    alike = clustered_interval([10, 0] * 10, [10] * 20)
    free = exact_interval(100, 200)
    assert alike.upper - alike.lower > 2.5 * (free.upper - free.lower)
    assert alike.effective_n < 21


def test_a_share_of_none_takes_the_design_effect_it_is_given():
    none = clustered_interval([0] * 30, [10] * 30)
    careful = clustered_interval([0] * 30, [10] * 30, least_effect=2.8)
    assert none.lower == careful.lower == 0
    assert careful.upper > 2.5 * none.upper
    assert "cannot show clustering" in careful.assumptions[1]


def test_nothing_looked_at_gives_no_rate():
    found = clustered_interval([0, 0], [0, 0])
    assert (found.rate, found.lower, found.upper) == (None, 0, 1)
    assert "nothing is known" in found.sentence


def test_bootstrap_repeats_with_its_generator():
    found = [5, 0, 4, 1] * 8
    one, two = (
        cluster_bootstrap(found, [10] * 32, np.random.default_rng(7), replicates=500)
        for _ in range(2)
    )
    assert one == two


def test_bootstrap_holds_many_clusters():
    generator = np.random.default_rng(7)
    found = generator.binomial(5, 0.2, size=30_000)
    limits = cluster_bootstrap(found, np.full(30_000, 5), generator, replicates=400)
    even = 2 * 1.96 * np.sqrt(0.2 * 0.8 / 150_000)
    assert limits.upper - limits.lower == pytest.approx(even, rel=0.15)


def test_refusals():
    generator = np.random.default_rng(7)
    with pytest.raises(ValueError, match="a single cluster: needs at least two"):
        clustered_interval([3], [10])
    with pytest.raises(ValueError, match="needs clusters that differ"):
        cluster_bootstrap([0, 0], [5, 5], generator)
    with pytest.raises(ValueError, match="at least 200"):
        cluster_bootstrap([0, 1], [5, 5], generator, replicates=20)
    with pytest.raises(ValueError, match="0 <= found <= looked_at"):
        clustered_interval([6, 0], [5, 5])
    with pytest.raises(ValueError, match="missing or infinite"):
        clustered_interval([1, np.nan], [5, 5])
    with pytest.raises(ValueError, match="same length"):
        clustered_interval([1], [5, 5])
    with pytest.raises(ValueError, match="from 0 to 1"):
        planned_design_effect(10, 1.2)
