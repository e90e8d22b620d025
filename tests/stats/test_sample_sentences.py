"""What every result about samples, rates and effects says for itself: complete, plain, no blame."""

import re

import numpy as np
import pytest

from witnessmark.stats.acceptance import acceptance_curve, find_plan, quality_at
from witnessmark.stats.approximate_interval import mid_p_interval, wilson_interval
from witnessmark.stats.attribute_sample import attribute_sample
from witnessmark.stats.before_after import before_after
from witnessmark.stats.binomial_test import against_rate
from witnessmark.stats.clean_days import clean_days_needed
from witnessmark.stats.clusters import cluster_bootstrap, clustered_interval
from witnessmark.stats.declared_recomputed import declared_agreement, paired_direction
from witnessmark.stats.detection import clean_exposure, could_miss, detection_sample
from witnessmark.stats.finite_lot import census, lot_limits
from witnessmark.stats.indexed_plans import indexed_plan
from witnessmark.stats.multiplicity import expected_false_alarms, false_discovery
from witnessmark.stats.odds_ratio import exact_table, mantel_haenszel
from witnessmark.stats.proportion import SIDES, exact_bounds, exact_interval
from witnessmark.stats.rates import compare_rates, power_of_comparison, rate_interval
from witnessmark.stats.rectifying import rectifying
from witnessmark.stats.selection import TargetedSample, draw_sample
from witnessmark.stats.sister_machine import against_sister
from witnessmark.stats.staged_plans import double_plan, sequential_plan
from witnessmark.stats.stratified import stratified_rate
from witnessmark.stats.switching import InspectionState
from witnessmark.stats.work_sampling import (
    chance_to_see,
    looks_for_margin,
    looks_to_see,
    round_times,
)

RESULTS = [
    *(exact_interval(12_345, 99_999, side=side) for side in SIDES),
    *(rate_interval(4, 1_234_567.5, side=side) for side in SIDES),
    *(lot_limits(3, 100, 2000, side=side) for side in SIDES),
    exact_interval(3.4, 33.3),
    exact_bounds([1, 0], [3, 0]),
    mid_p_interval(0, 9),
    wilson_interval(9, 9),
    against_rate(3, 40, 0.001),
    census(7, 40),
    clustered_interval([5, 0, 4, 0], [10, 10, 10, 10]),
    cluster_bootstrap([5, 0, 4, 0], [10, 10, 10, 10], np.random.default_rng(7), replicates=200),
    compare_rates(5, 0.00001, 0, 1_000_000),
    compare_rates(0, 10, 3, 10),
    power_of_comparison(0.4, 0.33, 30, 30),
    *(before_after(*row) for row in ((12, 30, 4, 30), (6, 20, 0, 10), (3, 30, 12, 30))),
    before_after(10, 12_345_678.5, 9, 12_345_678),
    against_sister((14, 100), (3, 100), (12, 100), (11, 100)),
    exact_table(7, 1, 3, 17),
    mantel_haenszel([[[8, 32], [4, 36]], [[6, 14], [3, 17]]]),
    expected_false_alarms(720, 0.05),
    expected_false_alarms(720_000, 0.05),
    false_discovery([0.001, 0.2]),
    detection_sample(0.05, accept=2),
    detection_sample(0.1, lot=100),
    could_miss(5),
    could_miss(60, lot=500),
    clean_exposure(0.000001),
    attribute_sample(0.01, 0.05),
    clean_days_needed(0.2),
    looks_for_margin(0.2, 0.05),
    chance_to_see(0.15, 10),
    looks_to_see(0.15),
    round_times(450, 4, np.random.default_rng(7)),
    stratified_rate([1, 4], [20, 20], [900, 100]),
    draw_sample([f"C{i}" for i in range(40)], 6, 3),
    TargetedSample(("C1",), "its card was torn"),
    acceptance_curve(52, 3, [0.01, 0.1]),
    quality_at(80, 2, 0.1),
    find_plan(0.01, 0.05),
    rectifying(52, 3, 10_000, []),
    double_plan(50, 1, 4, 100, 3, [0.05]),
    sequential_plan(0.01, 0.1),
    indexed_plan(1000, 1.0),
    InspectionState(),
    declared_agreement([[40, 9], [1, 10]]),
    paired_direction(9, 2),
]
NOT_SAID = re.compile(r"\bnan\b|\binf\b|None|significan|defective|falsif|\de[+-]\d\d, |\d(e\+)\d")


@pytest.mark.parametrize("result", RESULTS, ids=lambda result: type(result).__name__)
def test_a_result_states_itself(result):
    assert result.method
    assert result.assumptions
    assert all(one.rstrip().endswith(".") for one in result.assumptions)
    assert result.sentence.endswith(".")
    assert not NOT_SAID.search(result.sentence), result.sentence
    assert "  " not in result.sentence
