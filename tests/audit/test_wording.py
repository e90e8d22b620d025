"""The ten points of a sound statement, on the weak and the sound example of common practice."""

import dataclasses

import pytest

from witnessmark.audit.cited import Cited, Fact, Requirement
from witnessmark.audit.items import Finding
from witnessmark.audit.wording import check_wording, clause_of, unwanted_words

WRITTEN = {"id": "f", "author": "lead", "at": "2026-03-24T05:30:00Z", "device": "d"}
WEAK = Finding(
    **WRITTEN,
    statement="Machines run unattended and checks are often missed; operators must be trained.",
)
CITED = Cited("outcome", freeze="f1", slug="check-interval-exceeded", exceptions=46, assessed=212)
SOUND = Finding(
    **WRITTEN,
    requirement=Requirement(
        standard="IATF 16949:2016",
        clause="A 8.5.1.1; Q 8.5.1 c",
        document="Control plan CP-114",
        revision="rev. 7",
        confirmed=True,
    ),
    statement=(
        "Control plan CP-114 rev. 7 requires a patrol check every 2 h of running. On machines 3, "
        "7, 9 in weeks 20–27, 46 of 212 due intervals (22 %) exceeded 2 h 15 min running; 41 of "
        "the 46 unattended (41 of 88 such intervals, against 5 of 124 attended). Longest 5 h 10 "
        "min, about 3,700 pieces."
    ),
    facts=(
        Fact("46 of 212 due intervals exceeded 2 h 15 min", 46, 212, "weeks 20–27",
             "whole population", CITED),
        Fact("41 of the 46 unattended", 41, 88, "weeks 20–27", "whole population", CITED),
    ),
    consequence="No record shows these quantities held; lots L1–L3 shipped.",
    rival_excluded="The sheets of all three machines were read: no check between.",
    acknowledged_at="2026-03-25T14:00:00Z",
    acknowledged_role="process owner",
)  # fmt: skip


def verdicts(finding, language="en"):
    return {point.number: point.verdict for point in check_wording(finding, language)}


def test_the_weak_example_fails_where_it_is_weak():
    points = {point.number: point for point in check_wording(WEAK)}
    assert len(points) == 10
    assert {n for n, p in points.items() if p.verdict == "not met"} == {1, 3, 4, 6, 7, 8, 9}
    assert "often" in points[4].why
    assert "must be trained" in points[4].why


def test_the_sound_example_stands_and_what_is_left_is_the_auditors():
    found = verdicts(SOUND)
    assert {number for number, verdict in found.items() if verdict == "judge"} == {2, 5, 10}
    assert all(verdict != "not met" for verdict in found.values())


def test_the_nearest_clause_is_asked_with_those_of_the_record_test():
    assert "A 8.5.1.1" in check_wording(SOUND)[9].why


@pytest.mark.parametrize(
    ("change", "point"),
    [
        ({"requirement": Requirement(document="CP-114", clause="A 8.5.1.1")}, 1),
        ({"requirement": Requirement(standard="IATF", clause="A 8.5.1.1; Q 8.5.1")}, 1),
        ({"requirement": Requirement(clause="8.5.1.1")}, 1),
        ({"facts": (Fact("late", 3, 5, "", "random", CITED),)}, 3),
        ({"facts": (Fact("late", 6, 5, "week 20", "random", CITED),)}, 3),
        ({"facts": (Fact("late", None, None, "week 20", "random", CITED),)}, 3),
        ({"extent": "This is due to missing people."}, 4),
        ({"extent": "Mr X was careless."}, 4),
        ({"rival_excluded": " "}, 6),
        ({"consequence": "None found."}, 7),
        ({"facts": (Fact("late", 3, 5, "week 20", "random"),)}, 8),
        ({"acknowledged_at": ""}, 9),
    ],
)
def test_each_point_is_lost_by_its_own_fault(change, point):
    found = verdicts(dataclasses.replace(SOUND, **change))
    assert {number for number, verdict in found.items() if verdict == "not met"} == {point}


def test_none_found_with_the_end_of_the_search_is_a_consequence():
    looked = dataclasses.replace(SOUND, consequence="None found, looked until shipment.")
    assert verdicts(looked)[7] == "met"


def test_a_clause_from_memory_is_said_to_be_one():
    bare = Requirement(document="CP-114", revision="7", clause="A 8.5.1.1")
    point = check_wording(dataclasses.replace(SOUND, requirement=bare))[0]
    assert (point.verdict, "from memory" in point.why) == ("met", True)


def test_a_single_item_is_said_to_be_one():
    one = dataclasses.replace(SOUND, facts=(Fact("late", 1, 1, "week 20", "targeted", CITED),))
    points = check_wording(one)
    assert "one item" in points[4].why
    assert "no rate" in points[2].why


def test_german_words_are_known_and_other_languages_left_to_the_auditor():
    assert unwanted_words("Leider hat Herr X das vergessen, weil er nachgeschult wird", "de") == {
        "cause": ("weil",),
        "remedy": ("nachgeschult",),
        "adjective": ("Leider",),
        "person": ("Herr", "vergessen"),
    }
    assert verdicts(SOUND, "pl")[4] == "judge"


def test_a_clause_is_named_as_the_record_tests_name_it():
    assert clause_of("IATF 16949:2016", "8.5.1.1") == "A 8.5.1.1"
    assert clause_of("ISO 9001:2015", "8.5.1 c") == "Q 8.5.1 c"
    assert clause_of("", "A 7.2.1") == "A 7.2.1"
    assert clause_of("plant", "4") == "4"
