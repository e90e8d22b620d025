"""From a supported trail to a closed finding and back, by the pages alone."""

import re

import pytest
from tests.web.one_audit import WHISPERED

from witnessmark.audit.actions.join_member import JoinMember
from witnessmark.audit.cited import Cited
from witnessmark.record_tests.kept import keep
from witnessmark.record_tests.outcome import Counts, Outcome

TEXTAREA = re.compile(r'<textarea name="([^"]*)"[^>]*>\n?(.*?)</textarea>', re.DOTALL)
NONE = {
    "standard": "", "clause": "", "paraphrase": "", "process": "", "place": "", "extent": "",
    "consequence": "", "rival_excluded": "", "containment_asked_at": "",
}  # fmt: skip


def form_of(page):
    """What a browser would send back from the form of a page, unchanged."""
    body = re.search(r'<form method="post" class="with-side">.*?</form>', page, re.DOTALL).group()
    told = {}
    for tag in re.findall(r"<input[^>]*>", body):
        name = re.search(r'name="([^"]*)"', tag)
        if not name or ('type="checkbox"' in tag and "checked" not in tag):
            continue
        value = re.search(r'value="([^"]*)"', tag)
        told[name.group(1)] = value.group(1) if value else ""
    for name, text in re.findall(
        r'<textarea name="([^"]*)"[^>]*>\n?(.*?)</textarea>', body, re.DOTALL
    ):
        told[name] = text.strip()
    told.pop("csrfmiddlewaretoken", None)
    return told


def facts(*rows):
    """The management form and rows of facts."""
    told = {"fact-TOTAL_FORMS": str(len(rows)), "fact-INITIAL_FORMS": "0"}
    for place, row in enumerate(rows):
        blank = {"source": "", "text": "", "x": "", "n": "", "period": "", "selection": ""}
        told |= {f"fact-{place}-{name}": value for name, value in (blank | row).items()}
    return told


def inputs(**told):
    """Answers to the questions of grading."""
    blank = dict.fromkeys(
        ("x", "n", "machines_x", "machines_n", "shifts_x", "shifts_n"), ""
    ) | dict.fromkeys(
        ("requirement_broken", "rule", "special", "plant_acted", "product_left", "repeated",
         "customer_trigger"), "unknown",
    )  # fmt: skip
    return blank | {"minors": "1"} | told


def test_a_draft_from_a_trail_has_its_numbers_and_keeps_them(audit, cited):
    trail = audit.trail(cited)
    page = audit.read("draft-finding", trail=trail)
    assert "46 of 212" in page
    assert "weeks 40 to 47" in page
    sent = form_of(page)
    place = next(n[5:-7] for n, v in sent.items() if n.endswith("-source") and v)
    # Whoever sends other numbers for what was counted gets the counted ones.
    sent |= {f"fact-{place}-x": "1", f"fact-{place}-n": "9", f"fact-{place}-text": "My words."}
    sent |= {"document": "CP-1", "revision": "7", "keep": "1"}
    answer = audit.post("draft-finding", query=f"?trail={trail}", **sent)
    assert answer.status_code == 302, answer.content.decode()
    (finding,) = audit.state.findings.values()
    (fact,) = finding.facts
    assert (fact.text, fact.x, fact.n) == ("My words.", 46, 212)
    assert fact.cited == cited
    assert finding.statement == "They did."
    assert finding.trail == trail


def test_an_outcome_named_in_the_address_is_offered_as_a_fact(audit, cited):
    page = audit.read("draft-finding", outcome=f"{cited.freeze}:{cited.slug}")
    assert "46 of 212" in page
    assert "3 not assessable" in page


def test_a_source_that_is_not_offered_is_refused(audit, cited):
    hidden = audit.hear(WHISPERED, protected=True)
    trail = audit.trail(cited, Cited("statement", id=hidden))
    page = audit.read("draft-finding", trail=trail)
    link = next(one for one in audit.state.trails[trail].evidence if one.cited.id == hidden)
    assert link.id not in page
    assert "end of the shift" not in page
    rows = facts({"source": f"link:{link.id}", "text": "Somebody said so."})
    sent = NONE | rows | {"statement": "It was so.", "document": "CP", "revision": "1"}
    answer = audit.post("draft-finding", query=f"?trail={trail}", **sent)
    assert "may not cite" in answer.content.decode()
    assert not audit.state.findings


def test_words_of_a_protected_source_are_refused_wherever_they_would_be_read(audit):
    audit.hear(WHISPERED, protected=True)
    sent = NONE | facts() | {"statement": f"As {WHISPERED}.", "document": "CP", "revision": "1"}
    answer = audit.post("draft-finding", **sent)
    assert "repeats words of a protected source" in answer.content.decode()
    answer = audit.post("declare-limitation", what=WHISPERED, why="It is so.", effect="")
    assert "repeats words of a protected source" in answer.content.decode()
    assert not audit.state.findings
    assert not audit.state.limitations


def test_a_source_protected_after_the_draft_stops_the_issue(audit):
    finding = audit.finding(statement=f"As {WHISPERED}.")
    audit.post(
        "grade-finding", finding, decide="1", grade="minor", reason="So.",
        **inputs(requirement_broken="yes"),
    )  # fmt: skip
    audit.hear(WHISPERED, protected=True)
    day = {"closing_day": "2026-11-25", "profile": "default", "addressed_to": ""}
    answer = audit.post("issue-finding", finding, **day)
    assert "repeats words of a protected source" in answer.content.decode()
    assert audit.state.findings[finding].state == "graded"


def test_the_ten_points_are_held_against_what_stands_in_the_form(audit):
    sent = NONE | facts({"text": "On machine 7.", "x": "2", "n": "31"})
    sent |= {"statement": "Operators must be trained.", "document": "CP-1", "revision": "7"}
    page = audit.post("draft-finding", **sent, check="1").content.decode()
    assert "a remedy" in page
    assert "lacks period and selection" in page
    assert not audit.state.findings


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ({"text": "A", "x": "5", "n": "3"}, "more failed than were looked at"),
        ({"text": "A", "x": "5"}, "belong together"),
        ({"x": "1", "n": "2"}, "Say what was counted"),
    ],
)
def test_numbers_that_cannot_be_are_said(audit, row, said):
    sent = NONE | facts(row) | {"statement": "So.", "document": "", "revision": ""}
    assert said in audit.post("draft-finding", **sent).content.decode()
    assert not audit.state.findings


def test_wording_anew_keeps_facts_and_numbers_and_is_numbered(audit, cited):
    trail = audit.trail(cited)
    sent = form_of(audit.read("draft-finding", trail=trail)) | {"document": "CP", "revision": "1"}
    audit.post("draft-finding", query=f"?trail={trail}", **sent)
    (finding,) = audit.state.findings
    page = audit.read("reword-finding", finding)
    assert "46 of 212" in page
    again = form_of(page) | {"statement": "Better words."}
    assert audit.post("reword-finding", finding, **again).status_code == 302
    item = audit.state.findings[finding]
    assert (item.statement, item.versions, item.number) == ("Better words.", 2, 1)
    assert [(fact.x, fact.n) for fact in item.facts] == [(46, 212)]
    assert "Version" in audit.read("finding", finding).replace("version", "Version")


def test_an_auditor_words_their_own_drafts_only(audit):
    mine, theirs = audit.finding(who="auditor"), audit.finding()
    assert audit.get("reword-finding", mine, who="auditor").status_code == 200
    assert audit.get("reword-finding", theirs, who="auditor").status_code == 403


@pytest.mark.parametrize(
    "name", ["grade-finding", "issue-finding", "withdraw-finding", "judge-response",
             "close-finding", "reopen-finding", "key-in-response"],
)  # fmt: skip
def test_what_the_lead_decides_is_closed_to_others(audit, name):
    finding = audit.finding()
    for who in ("auditor", "observer", "programme-owner", "auditee"):
        assert audit.get(name, finding, who=who).status_code == 403, who
        assert audit.post(name, finding, who=who, reason="x").status_code == 403, who
    assert audit.get(name, finding, who="stranger").status_code == 404


def test_a_grade_is_proposed_with_reasons_and_decided_in_words(audit):
    finding = audit.finding()
    page = audit.post(
        "grade-finding", finding, propose="1",
        **inputs(requirement_broken="yes", product_left="probable", x="4", n="30"),
    ).content.decode()  # fmt: skip
    assert "Proposed: major nonconformity" in page
    assert "probably left" in page
    assert audit.state.findings[finding].grading is None
    told = inputs(requirement_broken="yes", product_left="probable")
    page = audit.post("grade-finding", finding, decide="1", grade="minor", reason="", **told)
    assert audit.state.findings[finding].grading is None
    audit.post("grade-finding", finding, decide="1", grade="minor", reason="One lot.", **told)
    grading = audit.state.findings[finding].grading
    assert (grading.grade, grading.proposed, grading.reason) == ("minor", "major", "One lot.")
    again = audit.read("grade-finding", finding)
    assert re.search(r'value="probable" selected', again)


def test_suspect_product_starts_the_route_before_the_issue(audit):
    finding = audit.finding(suspect_product=True)
    audit.post(
        "grade-finding", finding, decide="1", grade="major", reason="So.",
        **inputs(requirement_broken="yes"),
    )  # fmt: skip
    day = {"closing_day": "2026-11-25", "profile": "default", "addressed_to": ""}
    page = audit.post("issue-finding", finding, **day).content.decode()
    assert "information route first" in page
    assert "Inform the plant" in audit.read("finding", finding)
    audit.post(
        "start-route", finding, product="Lots L1", informed_role="safety representative",
        deputy_role="shift leader", informed_at="",
    )  # fmt: skip
    audit.post("acknowledge-route", finding, role="shift leader", decided="Held in H2.")
    page = audit.read("finding", finding)
    assert "the plant decides" in page
    assert "Held in H2." in page
    assert audit.post("issue-finding", finding, **day).status_code == 302
    item = audit.state.findings[finding]
    assert item.state == "issued"
    assert any("at once" in step for step in item.due)
    assert item.due["Containment and correction, with quantities (common practice, no source)"] == (
        "2026-11-26"
    )


def test_the_whole_way_of_a_finding(audit, cited):
    trail = audit.trail(cited)
    sent = form_of(audit.read("draft-finding", trail=trail)) | {"document": "CP", "revision": "1"}
    audit.post("draft-finding", query=f"?trail={trail}", **sent)
    (finding,) = audit.state.findings
    audit.post("acknowledge-facts", finding, role="team leader", note="One of them was repaired.")
    told = inputs(requirement_broken="yes", x="46", n="212")
    audit.post("grade-finding", finding, decide="1", grade="major", reason="All nights.", **told)
    audit.post(
        "issue-finding", finding, closing_day="2026-11-25", profile="rules5",
        addressed_to=audit.code("auditee"),
    )  # fmt: skip
    assert audit.state.findings[finding].addressed_to == audit.code("auditee")

    first = {"containment": "Held.", "action": "Told again."}
    assert audit.post("respond", finding, who="auditee", **first).status_code == 302
    audit.post("judge-response", finding, verdict="returned", reason="No cause is stated.")
    page = audit.read("answer", finding, who="auditee")
    assert "No cause is stated." in page
    assert "Returned" in page
    second = {"containment": "Held.", "cause_system": "No rule.", "action": "Rule rev. 2.",
              "implemented_on": "2026-12-01", "due": "2026-12-01"}  # fmt: skip
    audit.post("respond", finding, who="auditee", **second)
    audit.post("judge-response", finding, verdict="accepted", reason="So it is.")
    page = audit.post("close-finding", finding, reason="Done.", watch_until="").content.decode()
    assert "Verify the effect" in page

    before, after = cited.freeze, audit.take_in("b" * 32, [made(2, 300)], "verification", "later")
    told = {"slug": cited.slug, "before": before, "after": after, "trigger_x": "", "trigger_n": ""}
    page = audit.post("verify-finding", finding, compare="1", **told).content.decode()
    assert "What the records say: shown" in page
    assert "2 in 300" in page
    assert not audit.state.findings[finding].verifications
    assert audit.post("verify-finding", finding, keep="1", **told).status_code == 302
    (verified,) = audit.state.findings[finding].verifications
    assert (verified.before_x, verified.after_x, verified.verdict) == (46, 2, "shown")

    audit.post("close-finding", finding, reason="The rate fell.", watch_until="2027-03-01")
    assert audit.state.findings[finding].state == "closed"
    page = audit.read("answer", finding, who="auditee")
    assert "The rate fell." in page
    assert "/respond/" not in page
    audit.take_in("c" * 32, [made(60, 200)], "same day", "March")
    page = audit.read("finding", finding)
    assert "Found again" in page
    audit.post("reopen-finding", finding, reason="60 of 200 again.", recurrence="on")
    item = audit.state.findings[finding]
    assert (item.state, item.recurrences) == ("issued", ["60 of 200 again."])
    assert audit.get("respond", finding, who="auditee").status_code == 200


def made(exceptions, assessed, digest="e" * 64):
    counts = Counts(assessed - exceptions, exceptions)
    return Outcome("check-interval-exceeded", "assessed", counts, digest=digest)


def test_an_outcome_that_is_not_the_recorded_one_verifies_nothing(audit, cited):
    finding = audit.issued()
    after = audit.take_in("b" * 32, [made(2, 300)], "verification")
    keep([made(0, 300, digest="f" * 64)], audit.folder.records / after)
    told = {"slug": cited.slug, "before": cited.freeze, "after": after,
            "trigger_x": "", "trigger_n": ""}  # fmt: skip
    page = audit.post("verify-finding", finding, keep="1", **told).content.decode()
    assert "is not the one in the journal" in page
    assert not audit.state.findings[finding].verifications


def test_what_is_left_out_must_be_a_part_of_the_period_before(audit, cited):
    finding = audit.issued()
    after = audit.take_in("b" * 32, [made(2, 300)], "verification")
    told = {"slug": cited.slug, "before": cited.freeze, "after": after,
            "trigger_x": "47", "trigger_n": "50"}  # fmt: skip
    page = audit.post("verify-finding", finding, keep="1", **told).content.decode()
    assert "is not a part of the period before" in page


def test_an_answer_on_paper_is_keyed_in_by_the_lead(audit):
    finding = audit.issued()
    assert audit.post("key-in-response", finding, containment="Held.").status_code == 302
    assert audit.state.findings[finding].responses[0].containment == "Held."


def test_a_withdrawn_finding_stays_readable_with_its_reason(audit):
    finding = audit.issued()
    audit.post("withdraw-finding", finding, reason="The sheet was found.")
    assert "The sheet was found." in audit.read("finding", finding)
    assert "The sheet was found." in audit.read("answer", finding, who="auditee")
    assert "Withdrawn" in audit.read("findings")


def test_overdue_is_said_in_words(audit):
    finding = audit.issued()
    page = audit.read("finding", finding)
    assert re.search(r"overdue by [\d]+ days", page)
    audit.post("respond", finding, who="auditee", containment="Held since noon.")
    page = audit.read("finding", finding)
    assert "overdue" not in page
    assert "Has come" in page


def test_readers_see_findings_once_they_are_issued(audit):
    draft, issued = audit.finding(statement="Only a draft."), audit.issued(statement="Issued one.")
    for who in ("observer", "programme-owner"):
        page = audit.read("findings", who=who)
        assert "Issued one." in page
        assert "Only a draft." not in page
        assert audit.get("finding", draft, who=who).status_code == 404
        assert audit.get("finding", issued, who=who).status_code == 200
    assert "Only a draft." in audit.read("findings", who="auditor")


@pytest.mark.parametrize(
    "text",
    ["<script>alert(1)</script>", "\"'><img src=x onerror=alert(1)>", "{{ 7|add:7 }}{% now 'Y' %}",
     "\U0001d518nicode \u202eright to left\u202c \u6a21 \u200b", "a" * 3000],
)  # fmt: skip
def test_awkward_words_are_shown_as_they_are(audit, text):
    finding = audit.issued(statement=text, extent=text, consequence=text)
    audit.post("respond", finding, who="auditee", containment=text)
    pages = [
        audit.read("finding", finding),
        audit.read("findings"),
        audit.read("meeting-sheet"),
        audit.read("journal"),
        audit.read("entry", finding),
        audit.read("answer", finding, who="auditee"),
        audit.browser("auditee").get("/").content.decode(),
    ]
    for page in pages:
        assert "<script>alert" not in page
        assert "<img src=x" not in page
        assert "14" + "2026" not in page
    assert (
        text[:20]
        .replace("&", "&amp;")
        .replace("<", "&lt;")
        .replace(">", "&gt;")
        .replace('"', "&quot;")
        .replace("'", "&#x27;")
        in pages[0]
    )


def test_an_account_that_is_no_auditee_is_not_addressed(audit):
    finding = audit.finding()
    audit.post(
        "grade-finding", finding, decide="1", grade="minor", reason="So.",
        **inputs(requirement_broken="yes"),
    )  # fmt: skip
    audit.do(JoinMember(user=audit.code("stranger"), role="observer"))
    day = {"closing_day": "2026-11-25", "profile": "default"}
    page = audit.post("issue-finding", finding, **day, addressed_to=audit.code("stranger"))
    assert page.status_code == 422
    assert audit.state.findings[finding].state == "graded"
