"""Who sees which page, and what of a protected source is seen by whom."""

import re

import pytest
from django.urls import reverse

from witnessmark.audit.actions.answer_statement import AnswerStatement
from witnessmark.audit.actions.link_evidence import LinkEvidence
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.cited import Cited

READ = ("spine", "said", "seen", "records", "asked", "promises", "agenda")
WRITE = (
    "open-trail", "hear", "take-photo", "transcribe", "take-in", "ask-for", "promise", "plan",
)  # fmt: skip
SECRETS = ("back-date", "packer of the night", "dock seven")


@pytest.mark.parametrize("name", READ)
def test_readers_see_a_list_and_others_do_not(audit, name):
    for role in ("lead", "auditor", "observer", "owner"):
        assert audit.get(name, as_=role).status_code == 200, role
    assert audit.get(name, as_="auditee").status_code == 403
    assert audit.get(name, as_="stranger").status_code == 404


@pytest.mark.parametrize("name", WRITE)
def test_only_the_team_reaches_a_form(audit, name):
    for role in ("lead", "auditor"):
        assert audit.get(name, as_=role).status_code == 200, role
    for role in ("observer", "owner", "auditee"):
        assert audit.get(name, as_=role).status_code == 403, role
        assert audit.post(name, as_=role).status_code == 403, role


def test_every_address_of_these_pages_refuses_an_auditee_and_a_visitor(audit, visitor):
    from witnessmark.web.desk import working_urls

    nil = "00000000-0000-4000-8000-000000000000"
    seen = 0
    for part in working_urls.AUDIT:
        for pattern in getattr(part, "url_patterns", [part]):
            names = re.findall(r"<(\w+):(\w+)>", str(part.pattern) + str(pattern.pattern))
            values = {word: nil if kind == "uuid" else "x" for kind, word in names}
            address = reverse(f"desk:{pattern.name}", kwargs={"audit": audit.id, **values})
            for method in ("get", "post"):
                answer = getattr(audit.client("auditee"), method)(address)
                assert answer.status_code in {403, 405}, address
                assert getattr(visitor, method)(address).status_code in {302, 405}, address
            seen += 1
    assert seen > 40


def test_a_reader_gets_no_link_to_what_they_may_not_do(audit, trail, statement):
    pages = [("spine",), ("said",), ("trail", trail), ("statement", statement), ("seen",)]
    for name, *args in pages:
        page = audit.page(name, *args, as_="observer")
        for word in ("open-trail", "hear", "close-trail", "take-in"):
            target = audit.url(word, *([trail] if word == "close-trail" else []))
            assert target not in page, (name, word)


@pytest.fixture
def told(audit, trail, statement, protected):
    """A protected source on a trail, as the start of another, and as an answer."""
    cited = Cited("statement", id=protected)
    audit.do(LinkEvidence(trail=trail, cited=cited, bears="for", group="g", note="seventh note"))
    born = audit.do(OpenTrail(proposition="Sheets are filled later.", origin=cited))
    answered = AnswerStatement(
        statement=statement, how="another person", result="contradicts", cited=cited,
        reason="eighth reason",
    )  # fmt: skip
    audit.do(answered)
    return born


@pytest.mark.parametrize("role", ["observer", "owner"])
def test_nothing_of_a_protected_source_reaches_a_reader(
    audit, trail, statement, protected, told, role
):
    shown = [
        audit.page("spine", as_=role, show="all"),
        audit.page("said", as_=role),
        audit.page("said", as_=role, q="back-date"),
        audit.page("said", as_=role, show="protected"),
        audit.page("seen", as_=role),
        audit.page("trail", trail, as_=role),
        audit.page("trail", told, as_=role),
        audit.page("trail-history", trail, as_=role),
        audit.page("statement", statement, as_=role),
        audit.page("promises", as_=role),
    ]
    for page in shown:
        for secret in (*SECRETS, protected, "seventh note", "eighth reason"):
            own_query = page.replace('value="back-date"', "").replace("q=back-date", "")
            assert secret not in own_query, secret
    assert audit.get("statement", protected, as_=role).status_code == 404


@pytest.mark.parametrize("role", ["lead", "auditor"])
def test_the_team_sees_a_protected_source_and_that_it_is_one(audit, trail, protected, told, role):
    for page in (
        audit.page("said", as_=role),
        audit.page("trail", trail, as_=role),
        audit.page("statement", protected, as_=role),
    ):
        assert "They told us to back-date" in page
        assert "protected source" in page


def test_a_tab_counts_only_what_its_reader_may_see(audit, statement, protected):
    counts = {
        role: re.search(r">Said <span class=\"n\">(\d+)<", audit.page("spine", as_=role)).group(1)
        for role in ("lead", "observer")
    }
    assert counts == {"lead": "2", "observer": "1"}


def test_a_photo_of_another_audit_is_not_given_out(audit):
    nil = "00000000-0000-4000-8000-000000000000"
    assert audit.get("photo-file", nil).status_code == 404


def test_an_auditor_corrects_only_their_own(audit, statement):
    answer = audit.post(
        "correct-statement", statement, as_="auditor", words="Other words", role="setter",
        language="en", read_back="agreed",
    )  # fmt: skip
    assert answer.status_code == 422
    assert "may not write down a statement that is not their own" in answer.content.decode()
    assert "correct/" not in audit.page("statement", statement, as_="auditor")
    assert "correct/" in audit.page("statement", statement)
