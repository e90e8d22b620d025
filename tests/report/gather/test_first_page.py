"""The first page: suspect product first, one gap to its bins, five questions, one dropped."""

from dataclasses import replace

import pytest

from witnessmark.record_tests.outcome import Counts, Outcome
from witnessmark.record_tests.record_test import catalogue
from witnessmark.report.gather.asks import asks_of, dropped_of
from witnessmark.report.gather.escapes import escapes_of
from witnessmark.report.gather.gap import gap_of
from witnessmark.report.gather.groups import groups_of
from witnessmark.report.gather.intervals import sentence_of
from witnessmark.report.gather.reader import Reader
from witnessmark.report.gather.trace import caption_of, trace_of
from witnessmark.stats.proportion import exact_interval


@pytest.fixture
def reader(battery):
    return Reader(battery.timeline)


def outcome(slug, conforming=0, exceptions=0, fragile=0, status="assessed", **given):
    counts = Counts(conforming, exceptions, {}, {}, fragile)
    return Outcome(slug, status, counts, exact_interval(exceptions, counts.assessed), **given)


def test_the_gap_is_the_unattended_one_whose_product_got_loose(reader):
    gap = gap_of(reader, "05:30")
    assert "from Tue 12 May 2026, 22:00 to the next check on Wed 13 May 2026, 02:00" in gap.sentence
    assert "4 h of running, against 2 h 12 min allowed" in gap.sentence
    assert "attendance: uncovered" in gap.sentence
    assert "would look the same" in gap.sentence
    assert gap.ribbon.day.isoformat() == "2026-05-12"


def test_its_bins_are_followed_to_the_shipment(reader):
    tree = gap_of(reader, "05:30").trace
    states = {node.label: node.state for node in tree.nodes}
    assert states == {
        "T01, failed check": None,
        "L2": "not-held",
        "L3": "not-held",
        "L4": "held",
        "W9": "shipped",
        "S-501/10": "shipped",
    }
    assert ("L2", "W9") in tree.links
    assert [node.column for node in tree.nodes] == [0, 1, 1, 1, 2, 3]
    assert "1 held in time, 2 not held and 1 shipped" in tree.caption


def test_the_ribbon_of_the_gap_shows_its_window_and_bins(reader):
    ribbon = gap_of(reader, "05:30").ribbon
    assert "suspect 21:55 \u2013 02:45" in [window.label for window in ribbon.windows]
    assert {one.lot_no: one.state for one in ribbon.bins} == {
        "L1": None,
        "L2": "not-held",
        "L3": "not-held",
        "L4": "held",
    }


def test_a_window_that_no_lot_touches_has_no_tree(reader):
    assert trace_of(reader, 999) is None


def test_a_caption_counts_each_lot_once():
    lots = [{"how": "touch", "state": "held"}, {"how": "link", "state": "shipped"}]
    assert caption_of(lots, [{}]) == (
        "1 bin open in the window and 1 lot into which they went on: 1 held in time and 1 shipped; "
        "named in 1 shipment line."
    )


def test_the_contrast_names_each_way_of_being_unattended():
    said = sentence_of(
        {"attended": Counts(119, 5), "covered": Counts(61, 9), "uncovered": Counts(47, 41)},
        Counts(230, 57),
    )
    assert said == (
        "Of the gaps between checks, beyond the limit ran 5 of 124 (4.0 %) on attended machines, "
        "9 of 70 (13 %) where a neighbour covered and 41 of 88 (47 %) where nobody covered. "
        "2 of 5 others had mixed attendance, or it is not known."
    )


def test_without_the_other_side_there_is_no_contrast():
    assert "the other side of the contrast is missing" in sentence_of(
        {"attended": Counts(10, 1)}, Counts(10, 1)
    )
    assert "who attended is not known" in sentence_of({}, Counts(10, 1))


def test_suspect_product_says_how_many_and_whom_to_tell(reader):
    slug = "check-interval-exceeded"
    test = replace(catalogue()[slug], says="Lot {lot_no} left.", key=("lot_no",))
    rows = (
        {"ref": "L2", "sentence": "", "is_fragile": True, "lot_no": "L2"},
        {"ref": "L9", "sentence": "", "is_fragile": False, "lot_no": "L9"},
    )
    found = escapes_of(reader, test, outcome(slug, 3, 2, fragile=1, rows=rows, rows_total=2))
    assert [lot.sentence for lot in found.lots] == ["Lot L9 left.", "Lot L2 left."]
    assert found.headline.startswith("2 times a suspect lot is recorded as shipped")
    assert "1 of them whatever the clocks" in found.headline
    assert "quality engineer" in found.route
    assert "RP-12" in found.route
    assert "the plant decides" in found.route


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (outcome("s", status="failed"), "did not run to an end"),
        (outcome("s", status="not-assessable", missing=("lots",)), "the records lack lots"),
        (outcome("s", status="nothing-to-test"), "no suspect window"),
        (outcome("s", 4), "None of 4 suspect lots left before a decision"),
    ],
)
def test_no_escape_found_is_never_said_without_its_reason(reader, given, said):
    found = escapes_of(reader, catalogue()["late-entry"], given)
    assert said in found.headline
    assert found.lots == ()
    assert found.route == ""


def test_questions_are_five_the_certain_first_then_what_the_records_lack():
    tests = catalogue()
    outcomes = [
        outcome("late-entry", 10, 1),
        outcome("gauge-overdue", 10),
        outcome("reaction-missing", 3, 2, fragile=2),
        outcome("check-interval-exceeded", 10, 4),
        outcome("handover-incomplete", status="not-assessable", missing=("handovers",)),
        outcome("stop-unanswered", 10, 9),
        outcome("unexplained-time", 10, 9),
    ]
    asked = asks_of(tests, outcomes)
    assert [ask.slug for ask in asked] == [
        "check-interval-exceeded",
        "stop-unanswered",
        "handover-incomplete",
        "reaction-missing",
        "gauge-overdue",
    ]
    assert asked[0].reason == "Raised by 4 of 14 units"
    assert "the records lack handovers" in asked[2].reason


def test_a_suspicion_is_dropped_with_its_bound_only_where_coverage_is_enough(reader, monkeypatch):
    monkeypatch.setattr(reader, "one", lambda *_: None)
    tests = catalogue()
    thin = [outcome("gauge-overdue", 19), outcome("late-entry", 500)]
    assert dropped_of(reader, tests, thin).startswith("None can be dropped")
    said = dropped_of(reader, tests, [outcome("gauge-overdue", 299), *thin])
    assert "None of 299 assessed units shows it, which bounds the rate at 1.2 %" in said


def test_a_shift_of_few_persons_is_not_shown_alone(reader, paper):
    groups = groups_of(reader, 5)
    assert groups.persons["shift"] == {"early": 1, "late": 1, "night": 2}
    page = next(one for one in paper.tests if one.slug == "check-interval-exceeded")
    by_shift = next(stratum for stratum in page.strata if stratum.name == "shift")
    assert by_shift.rows == ()
    assert by_shift.note == "Not split by shift: each group has fewer than 5 persons."
