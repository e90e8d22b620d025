"""Attended against unattended, and bounds by clusters, against hand arithmetic and scipy."""

import pytest
from scipy.stats import hypergeom

from witnessmark.record_tests.contrast import with_contrasts
from witnessmark.record_tests.engine import bounds_of
from witnessmark.record_tests.outcome import Counts, Outcome
from witnessmark.record_tests.record_test import catalogue
from witnessmark.stats.proportion import exact_interval

CHECKS = catalogue()["late-entry"]
STAFFING = catalogue()["unallocated-running"]


def outcome(classes, design_effect=1.0):
    strata = {"attendance": {name: Counts(n - x, x) for name, (x, n) in classes.items()}}
    return Outcome("late-entry", "assessed", strata=strata, design_effect=design_effect)


def only(tests, outcomes):
    return [one.contrast for one in with_contrasts(tests, outcomes)]


def test_all_ways_of_being_unattended_stand_together():
    classes = {"attended": (1, 8), "covered": (2, 4), "uncovered": (7, 8), "mixed": (5, 5)}
    (found,) = only([CHECKS], [outcome(classes)])
    assert (found.attended_exceptions, found.attended) == (1, 8)
    assert (found.unattended_exceptions, found.unattended) == (9, 12)
    # Fisher: every table with these margins that is no more likely than the one found.
    chances = hypergeom(20, 10, 8).pmf(range(9))
    assert found.p == pytest.approx(sum(c for c in chances if c <= chances[1] * (1 + 1e-9)))
    assert found.adjusted == found.p


def test_many_looks_make_the_same_difference_less_telling():
    telling = outcome({"attended": (1, 20), "uncovered": (9, 20)})
    quiet = outcome({"attended": (3, 20), "uncovered": (3, 20)})
    alone, *_ = only([CHECKS], [telling])
    among, *_ = only([CHECKS] * 10, [telling] + [quiet] * 9)
    assert among.p == alone.p
    # Benjamini and Yekutieli: p times the looks times 1 + 1/2 + ... + 1/10.
    assert among.adjusted == pytest.approx(alone.p * 10 * sum(1 / k for k in range(1, 11)))


def test_units_that_resemble_each_other_count_less():
    classes = {"attended": (10, 100), "uncovered": (30, 100)}
    (plain,), (clustered,) = (
        only([CHECKS], [outcome(classes)]),
        only([CHECKS], [outcome(classes, 5)]),
    )
    assert clustered.p > 10 * plain.p


def test_no_contrast_where_a_side_is_missing_or_attendance_itself_is_judged():
    classes = {"attended": (1, 8), "uncovered": (7, 8)}
    assert only([STAFFING], [outcome(classes)]) == [None]
    assert only([CHECKS], [outcome({"attended": (1, 8), "uncovered": (0, 0)})]) == [None]
    assert only([CHECKS], [outcome({"attended": (0, 8), "uncovered": (0, 8)})]) == [None]


def test_bounds_widen_with_clusters_and_not_without():
    counts = Counts(conforming=80, exceptions=20)
    exact, effect = bounds_of(counts, [20], [100])
    assert (exact, effect) == (exact_interval(20, 100), 1.0)
    wide, effect = bounds_of(counts, [10, 0, 10, 0, 0], [20] * 5)
    # Ratio estimate over clusters of 20, rate 0.2: 5/4 * (2 * 6^2 + 3 * 4^2) / 100^2 over
    # 0.2 * 0.8 / 100.
    assert effect == pytest.approx(5 / 4 * (2 * 36 + 3 * 16) / 100**2 / (0.16 / 100))
    assert wide.lower < exact.lower < exact.upper < wide.upper
