"""The request letter asks for exactly what the chosen tests need."""

import json
from dataclasses import asdict
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.audit.request_letter import ACCEPTABLE, as_text, request_letter
from witnessmark.record_tests.record_test import BASES, catalogue
from witnessmark.records.tables import TABLES

UNTIL = date(2026, 3, 22)
TESTS = list(catalogue().values())


def letter(*slugs, **more):
    return request_letter([catalogue()[slug] for slug in slugs], UNTIL, **more)


def test_one_test_asks_for_its_tables_and_columns():
    found = letter("gauge-overdue")
    by = {extract.table: extract for extract in found.extracts}
    assert {name for name, extract in by.items() if extract.needed} == {
        "measurements", "checks", "calibrations",
    }  # fmt: skip
    done_at = next(column for column in by["checks"].columns if column.name == "done_at")
    assert done_at.needed
    assert TABLES["checks"].column("done_at").optional
    assert [item.slug for item in by["calibrations"].unlocks] == ["gauge-overdue"]


def test_one_of_several_tables_is_said_to_serve():
    found = letter("check-while-stopped")
    by = {extract.table: extract for extract in found.extracts}
    needs = [need for need in catalogue()["check-while-stopped"].needs if "|" in need]
    assert needs, "the test needs one of several tables"
    first, second = (option.partition(".")[0] for option in needs[0].split("|")[:2])
    assert second in by[first].instead
    assert "Instead of it, one of these serves as well: " in as_text(found)


def test_thirteen_weeks_are_ninety_one_days():
    found = letter("gauge-overdue")
    assert (found.period_to - found.period_from).days + 1 == 91
    assert found.period_to == UNTIL


def test_what_the_person_basis_does_not_allow_is_left_out_and_said():
    slugs = [test.slug for test in TESTS if test.basis == "allocations"]
    assert slugs
    found = letter("gauge-overdue", *slugs)
    assert found.left_out == tuple(slugs)
    assert slugs[0] in as_text(found)
    assert letter(*slugs, basis="allocations").left_out == ()


def test_persons_are_asked_for_as_places_or_pseudonyms():
    text = as_text(letter("unallocated-running"))
    assert "never a name" in text
    assert "As a place or pseudonym." in text


def test_control_totals_are_sums_that_mean_something():
    found = {e.table: e for e in request_letter(TESTS, UNTIL, basis="profiling").extracts}
    assert "sum of good [pieces]" in found["outputs"].totals
    assert not any("cumulative" in total for total in found["piece_counts"].totals)
    assert any("done at" in total for total in found["checks"].totals)


def test_the_text_says_everything():
    found = request_letter(TESTS, UNTIL, process="bar turning", zone="Europe/Berlin")
    text = as_text(found)
    assert all(line in text for line in ACCEPTABLE)
    assert "2025-12-22 to 2026-03-22" in text
    assert "Europe/Berlin" in text
    for extract in found.extracts:
        assert extract.title in text
    json.dumps(asdict(found), default=str)


@given(st.sets(st.sampled_from(sorted(catalogue())), max_size=6), st.sampled_from(BASES))
def test_every_need_is_asked_for_and_nothing_else(slugs, basis):
    tests = [catalogue()[slug] for slug in sorted(slugs)]
    found = request_letter(tests, UNTIL, basis=basis)
    served = [test for test in tests if test.slug not in found.left_out]
    wanted = {
        option.strip().partition(".")[0]
        for test in served
        for need in [*test.needs, *test.uses]
        for option in need.split("|")
    }
    assert {extract.table for extract in found.extracts} == wanted & set(TABLES)
    assert wanted <= set(TABLES)
    for extract in found.extracts:
        keys = {column.name for column in extract.columns if column.needed}
        assert set(TABLES[extract.table].key) <= keys | {
            c.name for c in TABLES[extract.table].columns if c.optional
        }
        assert extract.unlocks


@pytest.mark.parametrize("weeks", [1, 8, 26])
def test_another_period(weeks):
    found = letter("gauge-overdue", weeks=weeks)
    assert found.period_from == UNTIL - timedelta(days=7 * weeks - 1)
