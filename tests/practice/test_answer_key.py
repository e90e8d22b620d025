"""The record tests over the whole practice plant find what the answer key says, ref for ref.

Plant, key and record tests were written apart from each other, from the same definitions.
"""

import pytest

from witnessmark.criteria.load import load_criteria
from witnessmark.practice.exports import write_canonical
from witnessmark.record_tests.battery import stated_period
from witnessmark.record_tests.engine import Settings, run_tests
from witnessmark.record_tests.record_test import catalogue
from witnessmark.records.freeze import freeze_folder, open_freeze
from witnessmark.records.plant import load_plant
from witnessmark.timeline.build import Timeline

SLUGS = sorted(catalogue())
DESCRIBES = "unallocated-running"
"""It shows the permitted nights too: the stratum in which others compare, no fault by itself."""


def _outcomes(plant, path):
    write_canonical(plant, path / "exports")
    settings = load_plant(path / "exports")
    freeze = freeze_folder(path / "exports", path / "out")
    store = open_freeze(freeze.path)
    criteria = load_criteria(path / "exports" / "criteria.toml")
    timeline = Timeline(store, criteria, stated_period(settings))
    every_row = Settings(basis=settings.person_basis, row_cap=10**6)
    found = run_tests(catalogue().values(), timeline, every_row)
    store.con.close()
    return {outcome.slug: outcome for outcome in found}


@pytest.fixture(scope="module")
def outcomes(once, plant, tmp_path_factory):
    return once("outcomes", lambda: _outcomes(plant, tmp_path_factory.mktemp("practice")))


@pytest.fixture(scope="module")
def healthy_outcomes(once, healthy, tmp_path_factory):
    return once("healthy-outcomes", lambda: _outcomes(healthy, tmp_path_factory.mktemp("healthy")))


def _refs(outcome):
    return {row["ref"] for row in outcome.rows}


@pytest.mark.parametrize("slug", SLUGS)
def test_the_exceptions_are_those_of_the_key(plant, outcomes, slug):
    outcome = outcomes[slug]
    assert outcome.status == "assessed", outcome.message
    found, expected = _refs(outcome), plant.key.expected(slug)
    assert sorted(found - expected) == []
    assert sorted(expected - found) == []


@pytest.mark.parametrize("slug", SLUGS)
def test_no_look_alike_is_taken_for_an_exception(plant, outcomes, slug):
    assert sorted(_refs(outcomes[slug]) & plant.key.innocent(slug)) == []


def test_the_plant_exercises_every_record_test(plant):
    assert [slug for slug in SLUGS if not plant.key.expected(slug)] == []
    assert [slug for slug in plant.key.slugs() if slug not in SLUGS] == []


@pytest.mark.parametrize("slug", SLUGS)
def test_nothing_is_found_in_a_healthy_plant(healthy_outcomes, slug):
    outcome = healthy_outcomes[slug]
    assert outcome.status in {"assessed", "nothing-to-test"}, outcome.message
    machines = {row["machine_id"] for row in outcome.rows} if slug == DESCRIBES else set()
    assert machines <= {"T2-06"}
    assert slug == DESCRIBES or outcome.counts.exceptions == 0, _refs(outcome)
