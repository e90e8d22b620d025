"""The answer key speaks of rows that exist, and never says yes and no of the same row."""

import json

import pytest

from witnessmark.practice.answer_key import AnswerKey, LookAlike, Weakness, refs
from witnessmark.practice.origins import key_values

ROW_KEYS = {
    "late-entry": "checks",
    "check-while-stopped": "checks",
    "gauge-overdue": "measurements",
    "reaction-missing": "measurements",
    "setup-unrecorded": "runs",
    "produced-before-release": "runs",
    "last-off-missing": "runs",
    "last-off-late": "runs",
    "release-before-evidence": "setups",
    "restart-unverified": "stoppages",
    "stop-unanswered": "stoppages",
    "closed-unverified": "actions",
    "red-without-action": "board_statuses",
}
"""Tests whose unit is one row of a table: their refs are that table's keys."""


@pytest.mark.parametrize(("slug", "table"), ROW_KEYS.items())
def test_refs_are_keys_of_their_table(plant, slug, table):
    known = {"/".join(str(v) for v in key_values(table, row)) for row in plant.tables[table]}
    expected = plant.key.expected(slug)
    assert expected
    assert expected <= known
    assert plant.key.innocent(slug) <= known


def test_no_ref_is_expected_and_innocent_at_once(plant):
    for slug in plant.key.slugs():
        both = plant.key.expected(slug) & plant.key.innocent(slug)
        assert not both, (slug, sorted(both)[:3])


def test_every_story_says_something(plant):
    for weakness in plant.key.weaknesses:
        assert weakness.tells.endswith(".")
        assert weakness.exceptions
        assert all(weakness.exceptions.values()), weakness.name
    for one in plant.key.look_alikes:
        assert one.innocent, one.name
        assert all(one.innocent.values()), one.name


def test_names_of_stories_are_unique(plant):
    names = [one.name for one in (*plant.key.weaknesses, *plant.key.look_alikes)]
    assert len(names) == len(set(names))


def test_the_key_as_json_holds_every_ref(plant):
    said = json.loads(json.dumps(plant.key.as_json()))
    for slug in plant.key.slugs():
        listed = [ref for one in said["weaknesses"] for part in ("exceptions", "consequences")
                  for ref in one[part].get(slug, [])]  # fmt: skip
        listed += [ref for one in said["look_alikes"] for ref in one["shows"].get(slug, [])]
        assert set(listed) == plant.key.expected(slug)


def test_consequences_count_as_expected():
    key = AnswerKey(
        (Weakness("w", "w.", refs([("a", "1")]), refs([("b", "2"), ("b", "2")])),),
        (LookAlike("l", "l.", refs([("a", "3")]), refs([("b", "4")])),),
    )
    assert key.expected("a") == {"1"}
    assert key.expected("b") == {"2", "4"}
    assert key.innocent("a") == {"3"}
    assert key.slugs() == ("a", "b")
