"""The practice audits: in every state, every number from an outcome, a chain that holds."""

from datetime import UTC, datetime

import pytest

from witnessmark.audit.act import Desk
from witnessmark.audit.journal import check_chain
from witnessmark.audit.memory import MemoryStore
from witnessmark.audit.people import Actor, Role
from witnessmark.audit.signing import Signer
from witnessmark.practice.audits.october import write_october
from witnessmark.practice.audits.preparing import turning_machines
from witnessmark.practice.audits.records import Records
from witnessmark.practice.audits.scribe import Scribe
from witnessmark.practice.audits.today import write_today
from witnessmark.record_tests.outcome import Counts, Outcome
from witnessmark.record_tests.record_test import catalogue

AUDIT = "0b7f3c52-2f0e-4f59-9d38-0d9a1f3f6f01"
INSTALLATION = "5f0c8c0a-6a53-4a1b-8f6e-7a0d5a3d9f10"
NOW = datetime(2026, 12, 2, 9, 30, tzinfo=UTC)


def records(freeze, exceptions):
    """Outcomes of all tests, each with its strata and one row."""
    counts = Counts(conforming=900, exceptions=exceptions)
    strata = {"attendance": {"uncovered": counts, "attended": Counts(conforming=700)}}
    rows = ({"ref": "C-1/L-7", "sentence": "It was so."},)
    return Records(
        freeze,
        "five weeks",
        {
            slug: Outcome(slug, "assessed", counts, strata=strata, rows=rows, digest=freeze[:8])
            for slug in catalogue()
        },
    )


@pytest.fixture
def scribe():
    desk = Desk(MemoryStore(), INSTALLATION, Signer(bytes(range(32))))
    return Scribe(desk, AUDIT, Actor("lead", Role.LEAD), NOW)


def test_the_audit_under_way_has_trails_in_every_state(scribe):
    write_today(scribe, NOW, records("a" * 32, 31), dict.fromkeys(turning_machines(), "nobody"))
    state = scribe.desk.state(AUDIT)
    assert {trail.state for trail in state.trails.values()} == {
        "open", "waiting", "parked", "supported", "refuted", "undetermined", "transferred",
    }  # fmt: skip
    assert [finding.state for finding in state.findings.values()] == ["graded", "draft"]
    assert any(promise.outcome is None for promise in state.promises.values())
    assert any(statement.protected for statement in state.statements.values())
    assert check_chain(scribe.desk.store.received(AUDIT)) > 80


def test_its_facts_are_those_of_the_outcomes(scribe):
    write_today(scribe, NOW, records("a" * 32, 31), {"T1-01": "nobody"})
    facts = [f for finding in scribe.desk.state(AUDIT).findings.values() for f in finding.facts]
    counted = [(fact.x, fact.n) for fact in facts if fact.x is not None]
    assert counted == [(31, 931), (0, 700), (31, 931)]
    assert all(fact.cited.freeze == "a" * 32 for fact in facts)


def test_nothing_is_written_after_the_moment_of_looking(scribe):
    write_today(scribe, NOW, records("a" * 32, 31), {"T1-01": "nobody"})
    last = max(item.event.moment for item in scribe.desk.store.received(AUDIT))
    assert last <= NOW


def test_the_audit_of_october_is_over_and_followed_up_by_the_same_tests(scribe):
    write_october(scribe, records("a" * 32, 31), records("b" * 32, 0))
    state = scribe.desk.state(AUDIT)
    assert state.closed_on == "2026-10-14"
    assert all(trail.is_closed for trail in state.trails.values())
    verified = [finding.verifications[-1] for finding in state.findings.values()]
    assert {(v.before_x, v.after_x, v.verdict) for v in verified} == {(31, 0, "shown")}
    assert sorted(finding.state for finding in state.findings.values()) == [
        "closed",
        "issued",
        "issued",
    ]
    assert check_chain(scribe.desk.store.received(AUDIT)) > 50
