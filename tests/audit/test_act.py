"""Acting: permission, check, append; nothing enters a journal in another way."""

import pytest
from tests.audit.conftest import AUDIT, LEAD

from witnessmark.audit.actions.close_trail import CloseTrail, ConditionBody
from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.link_evidence import LinkEvidence
from witnessmark.audit.actions.open_audit import OpenAudit
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.cited import Cited
from witnessmark.audit.journal import check_chain
from witnessmark.audit.people import Actor, NotAllowedError, RefusedError, Role


def test_an_audit_opens_once(opened):
    with pytest.raises(RefusedError, match="open already"):
        opened.act(AUDIT, LEAD, OpenAudit(title="Again", process="turning"))
    assert len(opened.store.received(AUDIT)) == 1


def test_words_stand_in_the_journal_as_their_mark_only(opened):
    said = opened.act(AUDIT, LEAD, HearStatement(role="setter"), {"words": "we always check"})
    mark = said.event.body["words"]
    assert "always" not in str(said.event.as_json())
    assert opened.store.reveal(mark) == "we always check"


def test_a_correction_keeps_the_first_moment_and_says_what_it_replaced(opened):
    said = opened.act(AUDIT, LEAD, HearStatement(role="setter"), {"words": "first"}).event
    new = opened.act(
        AUDIT, LEAD, HearStatement(role="leader"), {"words": "second"}, supersedes=said.id
    ).event
    statement = opened.state(AUDIT).statements[said.id]
    assert (statement.role, statement.at, statement.history) == ("leader", said.at, [new.id])
    assert opened.store.reveal(said.body["words"]) == "first"


def test_an_auditor_does_not_correct_what_is_anothers(opened):
    said = opened.act(AUDIT, LEAD, HearStatement(role="setter"), {"words": "first"}).event
    other = Actor("second", Role.AUDITOR)
    with pytest.raises(NotAllowedError, match="not their own"):
        opened.act(AUDIT, other, HearStatement(role="x"), {"words": "y"}, supersedes=said.id)


def test_a_trail_ends_only_with_its_open_conditions_declared(opened):
    trail = opened.act(
        AUDIT, LEAD, OpenTrail(proposition="no check at night", rival="checked elsewhere")
    ).event.id
    said = opened.act(AUDIT, LEAD, HearStatement(role="setter"), {"words": "never"}).event.id
    opened.act(AUDIT, LEAD, LinkEvidence(trail=trail, cited=Cited("statement", id=said)))
    with pytest.raises(RefusedError, match="two-kinds"):
        opened.act(
            AUDIT,
            LEAD,
            CloseTrail(
                trail=trail,
                verdict="supported",
                conclusion="so it is",
                conditions=(ConditionBody("rival-tested", met=True, said="looked"),),
            ),
        )
    opened.act(
        AUDIT,
        LEAD,
        CloseTrail(trail=trail, verdict="undetermined", conclusion="open", limitation="one source"),
    )
    closed = opened.state(AUDIT).trails[trail]
    assert (closed.state, closed.limitation) == ("undetermined", "one source")
    assert [link.cited.id for link in closed.not_considered] == [said]


def test_the_chain_of_all_this_holds(opened):
    for number in range(5):
        opened.act(AUDIT, LEAD, HearStatement(role="setter"), {"words": f"word {number}"})
    assert check_chain(opened.store.received(AUDIT)) == 6
