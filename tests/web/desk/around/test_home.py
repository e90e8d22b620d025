"""The first page: whose audits, whose findings, and opening one."""

import time
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from witnessmark.audit.actions.open_audit import OpenAudit
from witnessmark.audit.people import Actor, Role
from witnessmark.web.store.desk import STATES, code_of, desk

OPENING = {
    "title": "Washing", "process": "Washing of valve parts", "site": "Works 2",
    "starts_on": "2026-11-24", "ends_on": "2026-11-25", "zone": "Europe/Berlin",
    "language": "en", "deadlines": "rules5",
}  # fmt: skip


def test_without_an_audit_the_page_says_how_to_begin(client):
    page = client.get("/").content.decode()
    assert "No audit yet" in page
    assert "/audit/new/" in page


def test_opening_an_audit_leads_to_its_preparation(client, user):
    answer = client.post("/audit/new/", OPENING)
    assert answer.status_code == 302
    assert answer["Location"].endswith("/preparation/")
    audit = answer["Location"].split("/")[2]
    state = STATES.state(audit)
    assert (state.opening.title, state.opening.deadlines) == ("Washing", "rules5")
    assert state.members[code_of(user)].role == "lead-auditor"
    page = client.get("/").content.decode()
    assert "Washing of valve parts" in page
    assert "24 Nov 2026" in page
    assert "rules5" in client.get("/audit/new/").content.decode()


@pytest.mark.parametrize(
    ("field", "value"),
    [("title", " "), ("zone", "Mars/Olympus"), ("ends_on", "2026-11-01"), ("starts_on", "24.11."),
     ("language", "xx"), ("deadlines", "site"), ("title", "x" * 301)],
)  # fmt: skip
def test_an_opening_that_cannot_be_says_why(client, field, value):
    answer = client.post("/audit/new/", OPENING | {field: value})
    assert answer.status_code == 200
    assert 'class="errors"' in answer.content.decode()


def test_only_a_programme_owner_opens_an_audit(audit):
    for who in ("auditor", "auditee", "observer", "stranger"):
        assert audit.browser(who).get("/audit/new/").status_code == 403
        assert audit.browser(who).post("/audit/new/", OPENING).status_code == 403
        assert "/audit/new/" not in audit.browser(who).get("/").content.decode()
    assert audit.browser("programme-owner").get("/audit/new/").status_code == 200


def test_the_list_holds_the_audits_in_which_one_has_a_part(audit, another):
    for who, seen in (("lead", True), ("auditor", True), ("observer", True), ("stranger", False)):
        page = audit.browser(who).get("/").content.decode()
        assert (audit.state.opening.title in page) is seen, who


def test_an_auditee_sees_findings_and_never_the_audit_around_them(audit):
    audit.issued(statement="Own finding.")
    audit.issued(to="other-auditee", statement="Of another.")
    page = audit.browser("auditee").get("/").content.decode()
    assert "Own finding." in page
    assert "Of another." not in page
    assert "Trails open" not in page
    assert f"/audit/{audit.id}/answers/" in page
    assert f'"/audit/{audit.id}/"' not in page
    assert "overdue by" in page


def test_an_auditee_without_a_finding_is_told_nothing_of_the_audit(audit):
    page = audit.browser("auditee").get("/").content.decode()
    assert audit.state.opening.title not in page


def test_searching_takes_every_word(audit, another):
    browser = audit.browser()
    assert "Another audit" in browser.get("/", {"q": "another bar"}).content.decode()
    page = browser.get("/", {"q": "another <b>zebra"}).content.decode()
    assert "No audit matches" in page
    assert "<b>zebra" not in page


def test_a_hundred_audits_are_listed_quickly_and_paged(client, user, web):
    lead = Actor(code_of(user), Role.OWNER)
    for number in range(100):
        opening = OpenAudit(title=f"Audit {number}", process="Turning")
        desk().act(str(uuid4()), lead, opening)
    client.get("/")
    with CaptureQueriesContext(connection) as queries:
        started = time.perf_counter()
        page = client.get("/").content.decode()
        took = time.perf_counter() - started
    assert len(queries) < 8
    assert took < 0.5
    assert "100 audits" in page
    assert page.count("/audit/") >= 25
    assert "Page 1 of 4" in page
    assert "Audit 99" in page
    assert "Audit 0<" in client.get("/", {"page": "4"}).content.decode()
    assert client.get("/", {"page": "<x>"}).status_code == 200


def test_numbers_of_the_list_follow_the_audit(audit, cited):
    audit.trail(cited)
    audit.finding()
    page = audit.browser().get("/").content.decode()
    assert "0 of 1" in page
    assert "1 of 1" in page
