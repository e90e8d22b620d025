"""Who sees what, tried on every address of the site as its resolver knows it.

A new page is tried here without being named: an auditee gets into nothing but their own findings,
and the words of a protected source reach nobody outside the team.
"""

import re
from uuid import UUID

import pytest
from django.urls import NoReverseMatch, URLPattern, get_resolver, reverse
from tests.web.one_audit import WHISPERED

from witnessmark.audit.actions.answer_statement import AnswerStatement
from witnessmark.audit.actions.declare_limitation import DeclareLimitation
from witnessmark.audit.actions.make_observation import MakeObservation
from witnessmark.audit.actions.promise_step import PromiseStep
from witnessmark.audit.actions.request_evidence import RequestEvidence
from witnessmark.audit.cited import Cited

OTHERS = "zebra-finding-of-somebody-else"
OPEN_TO_AUDITEES = {"answers", "answer", "respond", "answer-facts", "answer-route"}
OUTSIDE = {"enter", "sign-in", "sign-out", "alive", "account", "home", "looks"}


def patterns(resolver=None, namespace="", arguments=()):
    """Every named address with the names of its arguments."""
    for item in (resolver or get_resolver()).url_patterns:
        own = (*arguments, *item.pattern.converters)
        if isinstance(item, URLPattern):
            if item.name:
                yield namespace, item.name, own
        else:
            inner = f"{item.namespace}:" if item.namespace else namespace
            yield from patterns(item, inner, own)


@pytest.fixture
def full(audit, cited):
    """An audit with something of everything, a protected source among it."""
    hidden = audit.hear(WHISPERED, protected=True)
    said = audit.hear("Checks are made every two hours.")
    audit.do(AnswerStatement(statement=hidden, how="untested", reason="No record of it."))
    seen = audit.do(MakeObservation(place="row 2"), note="Nobody there.")
    trail = audit.trail(cited, Cited("statement", id=hidden), Cited("observation", id=seen))
    return audit, {
        "finding": audit.issued(to="other-auditee", statement=OTHERS, extent=OTHERS, trail=trail),
        "own": audit.issued(to="auditee", statement="Own finding."),
        "trail": trail,
        "statement": said,
        "hidden": hidden,
        "item": audit.do(RequestEvidence(what="The check sheets")),
        "promise": audit.do(PromiseStep(what="See the emptying")),
        "limitation": audit.do(DeclareLimitation(what="The weekend", why="Not there")),
        "freeze": cited.freeze,
        "slug": cited.slug,
    }


def addresses(audit, ids):
    """Every address of an audit, filled with what is there; two for what has two."""
    fillers = {
        "audit": UUID(audit.id), "event": UUID(ids["finding"]), "question": "staffed",
        "mark": "0" * 64, "key": "none", "form": "free",
        "digest": "0" * 64, "freeze": ids["freeze"], "slug": ids["slug"],
    }  # fmt: skip
    for namespace, name, arguments in patterns():
        if "audit" not in arguments:
            continue
        for finding, statement in (("finding", "statement"), ("own", "hidden")):
            told = {}
            for argument in arguments:
                known = {"finding": ids[finding], "statement": ids[statement]} | ids
                known |= {"finding": ids[finding], "statement": ids[statement]}
                value = fillers.get(argument, known.get(argument, ids["item"]))
                told[argument] = value
            yield namespace, name, _address(f"{namespace}{name}", told)


def _address(name, told):
    """An address; a name that must be one of a few is one of the notebook's lines."""
    for word in ("report.pdf", "heard"):
        try:
            return reverse(name, kwargs=told | ({"name": word} if "name" in told else {}))
        except NoReverseMatch:
            continue
    pytest.fail(f"The address {name} takes {sorted(told)}; say in this test what fits.")


def test_an_auditee_gets_into_nothing_but_their_own_findings(full):
    audit, ids = full
    browser, tried = audit.browser("auditee"), set()
    for namespace, name, address in addresses(audit, ids):
        is_own = namespace == "desk:" and name in OPEN_TO_AUDITEES
        for answer in (browser.get(address), browser.post(address, {"reason": "x", "role": "x"})):
            text = answer.content.decode(errors="replace") if not answer.streaming else ""
            assert OTHERS not in text, (name, address)
            assert WHISPERED not in text, (name, address)
            assert answer.status_code < 500, (name, address)
            if not is_own:
                assert answer.status_code in {302, 403, 404, 405}, (name, address)
                if answer.status_code == 302:  # to signing in, to the start: never onwards
                    assert answer["Location"] in {"/", "/sign-in/"}, (name, answer["Location"])
        tried.add(name)
    assert len(tried) > 60
    assert audit.state.findings[ids["finding"]].responses == []


def test_an_auditee_sees_their_own_finding_and_not_another(full):
    audit, ids = full
    assert "Own finding." in audit.read("answer", ids["own"], who="auditee")
    assert "Own finding." in audit.read("answers", who="auditee")
    for name in ("answer", "respond", "answer-facts", "answer-route"):
        assert audit.get(name, ids["finding"], who="auditee").status_code == 404
        posted = audit.post(name, ids["finding"], who="auditee", role="x", containment="Held.")
        assert posted.status_code == (405 if name == "answer" else 404)
    draft = audit.finding(statement="A draft.")
    assert audit.get("answer", draft, who="auditee").status_code == 404


def test_a_stranger_is_told_that_there_is_nothing(full):
    audit, ids = full
    for _, name, address in addresses(audit, ids):
        answer = audit.browser("stranger").get(address)
        assert answer.status_code in {404, 405}, (name, address, answer.status_code)


def test_a_visitor_signs_in_first(full, visitor):
    audit, ids = full
    for _, name, address in addresses(audit, ids):
        answer = visitor.get(address)
        assert answer.status_code in {302, 401, 403}, (name, address, answer.status_code)
        assert OTHERS.encode() not in answer.getvalue()


@pytest.mark.parametrize("who", ["observer", "programme-owner"])
def test_a_protected_source_reaches_nobody_outside_the_team(full, who):
    audit, ids = full
    browser = audit.browser(who)
    for _, name, address in addresses(audit, ids):
        answer = browser.get(address)
        assert answer.status_code < 500, (name, address)
        assert WHISPERED not in answer.getvalue().decode(errors="replace"), (name, address)
    entry = audit.read("entry", ids["hidden"], who=who)
    assert "protected source" in entry
    assert "night" not in re.sub(r"<[^>]*>", "", entry)


def test_the_team_sees_the_words_of_a_protected_source(full):
    audit, ids = full
    assert WHISPERED in audit.read("entry", ids["hidden"], who="auditor")


def test_every_view_of_an_audit_names_its_roles(full):
    audit, ids = full
    for _, name, address in addresses(audit, ids):
        answer = audit.browser("lead").get(address)
        assert answer.status_code < 500, (name, address)
