"""Thresholds and requirements as data."""

from decimal import Decimal

import pytest

from witnessmark.criteria.keys import KEYS
from witnessmark.criteria.load import default_criteria, load_criteria, read_value
from witnessmark.criteria.requirements import requirement_of, requirements
from witnessmark.errors import UnusableInputError
from witnessmark.record_tests.record_test import catalogue


def test_every_clause_of_a_record_test_is_in_the_catalogue():
    for test in catalogue().values():
        for clause in test.clauses:
            assert requirement_of(clause).paraphrase.endswith(".")


def test_an_unknown_clause_is_an_error():
    with pytest.raises(KeyError, match="Q 99"):
        requirement_of("Q 99")


def test_clauses_say_how_sure_they_are():
    assert {entry.confidence for entry in requirements().values()} <= {
        "memory",
        "secondary",
        "confirmed",
    }


def test_durations_enter_sql_as_whole_seconds():
    parameters = default_criteria().parameters()
    assert parameters["late_entry_s"] == 1800
    assert isinstance(parameters["late_entry_s"], int)
    assert parameters["alpha"] == Decimal("0.01")


def test_half_minutes_are_kept():
    assert KEYS["late_entry_min"].as_parameter(Decimal("2.5")) == 150


def test_the_plants_own_rule_overrides_and_keeps_its_document(tmp_path):
    path = tmp_path / "criteria.toml"
    path.write_text('[late_entry_min]\nvalue = 20\ndocument = "WI-07 rev 3"\n')
    criterion = load_criteria(path).in_force["late_entry_min"]
    assert (criterion.value, criterion.source, criterion.is_default) == (20, "WI-07 rev 3", False)


def test_no_file_leaves_every_default_in_force(tmp_path):
    criteria = load_criteria(tmp_path / "criteria.toml")
    assert all(criterion.is_default for criterion in criteria.in_force.values())


def test_all_faults_are_listed_at_once(tmp_path):
    path = tmp_path / "criteria.toml"
    path.write_text(
        'late_entry_min = 20\n[alpha]\nvalue = 5\ndocument = "d"\n'
        '[late_entry]\nvalue = 1\ndocument = "d"\n'
    )
    with pytest.raises(UnusableInputError) as refusal:
        load_criteria(path)
    said = str(refusal.value)
    assert len(refusal.value.faults) == 3
    assert 'criteria.toml, column "late_entry": no such criterion.' in said
    assert "a share from 0 to 1" in said


@pytest.mark.parametrize("key", KEYS.values(), ids=lambda key: key.name)
def test_every_default_fits_its_kind_and_differs_from_what_it_is_varied_to(key):
    assert read_value(key, key.default) == key.default
    assert read_value(key, key.vary_to) == key.vary_to
    assert key.default != key.vary_to
    assert key.about.endswith(".")
