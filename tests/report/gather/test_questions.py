"""What answer outcomes suggest: yes is hard to get, absence of data is never conformity."""

import pytest

from witnessmark.record_tests.outcome import Counts, Outcome
from witnessmark.report.gather.questions import OF_SLUG, TEXTS, coverage, proposed
from witnessmark.stats.proportion import exact_interval


def outcome(slug="a-test", conforming=0, exceptions=0, unknown=0, fragile=0, status="assessed"):
    counts = Counts(
        conforming, exceptions, {"time missing": unknown} if unknown else {}, {}, fragile
    )
    interval = exact_interval(exceptions, counts.assessed)
    return Outcome(slug, status, counts, interval)


def test_yes_needs_every_deciding_test_with_enough_units_and_no_exception():
    assert proposed([outcome(conforming=20), outcome("b", conforming=400, unknown=44)])[0] == "yes"


@pytest.mark.parametrize(
    ("short", "why"),
    [
        (outcome("b", conforming=19), "only 19 assessed units"),
        (outcome("b", conforming=89, unknown=11), "only 89 % of its population"),
        (outcome("b", status="not-assessable"), "b could not be assessed"),
        (outcome("b", status="nothing-to-test"), "b had nothing to test"),
        (outcome("b", status="failed"), "b did not run to an end"),
    ],
)
def test_anything_short_of_that_leaves_it_open_and_says_why(short, why):
    answer, reason = proposed([outcome(conforming=100), short])
    assert answer == "not determined"
    assert why in reason


def test_a_deciding_test_that_was_not_run_leaves_it_open():
    answer, reason = proposed([outcome(conforming=100)], ["gauge-overdue"])
    assert answer == "not determined"
    assert "gauge-overdue was not run" in reason


def test_exactly_nine_tenths_assessable_is_enough():
    assert proposed([outcome(conforming=90, unknown=10)])[0] == "yes"


def test_an_exception_makes_it_partly_whatever_else_is_missing():
    answer, reason = proposed(
        [outcome(conforming=100, exceptions=3), outcome("b", status="not-assessable")]
    )
    assert answer == "partly"
    assert "a-test 3 of 103" in reason


def test_no_means_more_often_not_met_than_met_beyond_chance():
    assert proposed([outcome(conforming=10, exceptions=40)])[0] == "no"
    assert proposed([outcome(conforming=2, exceptions=18)])[0] == "no"
    assert proposed([outcome(conforming=0, exceptions=19)])[0] == "partly"
    assert proposed([outcome(conforming=20, exceptions=30)])[0] == "partly"


def test_exceptions_that_hang_on_the_clocks_decide_nothing():
    answer, reason = proposed([outcome(conforming=100, exceptions=2, fragile=2)])
    assert answer == "not determined"
    assert "tolerance of the clocks" in reason


def test_no_test_gives_no_answer():
    assert proposed([])[0] == "not determined"
    assert coverage([]) == ""


def test_coverage_counts_tests_and_units():
    said = coverage([outcome(conforming=90, unknown=10), outcome("b", status="not-assessable")])
    assert said == "1 of 2 deciding tests assessed; in them 90 of 100 units (90 %)."


def test_every_assignment_names_a_question():
    assert set(OF_SLUG.values()) <= set(TEXTS)
