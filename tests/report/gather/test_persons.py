"""Nobody is named: persons are replaced, small groups merged."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from witnessmark.record_tests.outcome import Counts
from witnessmark.record_tests.persons import A_PERSON, without_persons
from witnessmark.record_tests.record_test import read_record_test
from witnessmark.report.gather.persons import (
    SMALL_GROUPS,
    merged_small,
    sentence_of,
    summed,
)

TEST = read_record_test(
    """/*---
finding = "A person stood at a machine without the level."
says = "{person_key} at {machine_id} from {start_at}, trainer {trainer}; see {ref}."
needs = ["allocations"]
criteria = []
clauses = []
pattern = "depends"
strata = ["attendance"]
key = ["person_key", "machine_id", "start_at"]
since = "0.1"
---
## What it tests
Levels.
*/
select 1 as exception
""",
    "staffing",
    "unqualified-attendance",
)
ROW = {
    "ref": "kp-7731/T01/2026-05-12T03:30Z",
    "sentence": "kp-7731 at T01",
    "person_key": "kp-7731",
    "machine_id": "T01",
    "trainer": None,
    "start_at": datetime(2026, 5, 12, 3, 30, tzinfo=UTC),
}


def test_sentence_and_ref_are_made_anew_without_the_person():
    ref, sentence = sentence_of(TEST, ROW, ZoneInfo("Europe/Berlin"))
    assert ref == "a person/T01/2026-05-12T03:30Z"
    assert sentence == (
        "a person at T01 from 2026-05-12 05:30, trainer \u2013; see a person/T01/2026-05-12T03:30Z."
    )


def test_an_empty_person_stays_empty():
    assert without_persons(ROW)["trainer"] is None
    assert without_persons(ROW)["person_key"] == A_PERSON


def test_a_small_group_is_never_alone_so_that_it_cannot_be_subtracted():
    values = {"early": Counts(10, 1), "late": Counts(8, 2), "night": Counts(3, 4)}
    merged, changed = merged_small(values, {"early": 9, "late": 6, "night": 2}, 5)
    assert changed
    assert merged == {"early": Counts(10, 1), SMALL_GROUPS: Counts(11, 6)}


def test_groups_that_are_large_enough_stay_as_they_are():
    values = {"early": Counts(10, 1), "night": Counts(3, 4)}
    assert merged_small(values, {"early": 9, "night": 5}, 5) == (values, False)


def test_values_that_stand_for_no_persons_stay():
    values = {"T01": Counts(1, 0), "T02": Counts(2, 0)}
    assert merged_small(values, {}, 5) == (values, False)


@given(
    st.dictionaries(st.text("abc", min_size=1, max_size=3), st.integers(1, 12), max_size=6),
    st.integers(1, 8),
)
def test_merging_loses_no_unit_and_leaves_no_small_group(sizes, least):
    values = {name: Counts(size, 1) for name, size in sizes.items()}
    merged, changed = merged_small(values, sizes, least)
    assert summed(list(merged.values())) == summed(list(values.values()))
    assert all(sizes[name] >= least for name in merged if name != SMALL_GROUPS)
    assert changed == (SMALL_GROUPS in merged)
