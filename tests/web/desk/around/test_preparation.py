"""Scope, criteria, team, rules, the letter, the cards, and what has been reached."""

import pytest

from witnessmark.audit.actions.make_observation import MakeObservation
from witnessmark.record_tests.record_test import catalogue

SCOPE = {
    "text": "From bar to basket.", "not_in_scope": "Plating.", "areas": "T1-A\nT1-B\n\nT1-A",
    "shifts": "early 05:30-13:30\nlate 13:30-21:30\nnight 21:30-05:30",
    "machines": "T1\r\nT2", "questions": "Who watches at night?",
}  # fmt: skip


def rows(*documents):
    """The rows of the form of criteria."""
    told = {"row-TOTAL_FORMS": str(len(documents)), "row-INITIAL_FORMS": "0"}
    for place, document in enumerate(documents):
        blank = dict.fromkeys(("document", "revision", "valid_on", "clauses"), "")
        told |= {f"row-{place}-{name}": value for name, value in (blank | document).items()}
    return told


def test_the_scope_is_stated_and_read_back(audit):
    assert audit.post("set-scope", **SCOPE).status_code == 302
    scope = audit.state.scope
    assert scope.areas == ("T1-A", "T1-B")
    assert scope.machines == ("T1", "T2")
    page = audit.read("preparation")
    assert "From bar to basket." in page
    assert "Who watches at night?" in page
    again = audit.read("set-scope")
    assert "late 13:30-21:30" in again


def test_criteria_need_their_revision(audit):
    sent = rows({"document": "CP-1"}, {}, {})
    page = audit.post("set-criteria", **sent).content.decode()
    assert "State the revision valid then." in page
    assert not audit.state.criteria
    sent = rows({"document": "CP-1", "revision": "7", "clauses": "A 8.5.1.1; Q 8.5.1 c"}, {}, {})
    assert audit.post("set-criteria", **sent).status_code == 302
    (item,) = audit.state.criteria
    assert (item.document, item.revision) == ("CP-1", "7")
    assert item.clauses == ("A 8.5.1.1", "Q 8.5.1 c")
    assert "these not yet" in audit.read("preparation")


def test_a_row_that_names_no_document_is_not_dropped_silently(audit):
    page = audit.post("set-criteria", **rows({"revision": "7"})).content.decode()
    assert "Name the document" in page


def test_auditors_state_their_independence(audit):
    told = {"user": audit.code("stranger"), "role": "auditor", "function": "expert",
            "independence": "", "competence": ""}  # fmt: skip
    page = audit.post("join-member", **told).content.decode()
    assert "independent of what is audited" in page
    told |= {"independence": "Never worked there.", "competence": "Six audits."}
    assert audit.post("join-member", **told).status_code == 302
    page = audit.read("preparation")
    assert "Account stranger" in page
    assert "Six audits." in page


def test_somebody_without_an_account_is_known_by_function(audit):
    told = {"user": "new", "role": "observer", "independence": "", "competence": ""}
    page = audit.post("join-member", **told, function="").content.decode()
    assert "State the function" in page
    audit.post("join-member", **told, function="customer quality")
    code = list(audit.state.members)[-1]
    assert audit.state.members[code].function == "customer quality"
    assert not code.startswith("u")
    page = audit.read("join-member", member=code)
    assert 'value="customer quality"' in page
    audit.post("join-member", query=f"?member={code}", user=code, role="observer",
               function="customer quality, second visit")  # fmt: skip
    assert audit.state.members[code].function == "customer quality, second visit"


def test_an_audit_keeps_a_lead(audit):
    told = {"user": audit.code("lead"), "role": "observer", "function": "x"}
    assert "needs a lead auditor" in audit.post("join-member", **told).content.decode()


def test_the_rules_of_the_site_are_stated(audit):
    audit.post("set-site-rules", photos="not-allowed", danger_role="shift leader", safety="Shoes.")
    rules = audit.state.site_rules
    assert (rules.photos, rules.phones, rules.danger_role) == (
        "not-allowed",
        False,
        "shift leader",
    )
    assert "No photos" in audit.read("preparation")


@pytest.mark.parametrize("name", ["set-scope", "set-criteria", "set-site-rules", "join-member"])
def test_preparing_is_the_leads_work(audit, name):
    for who in ("auditor", "observer", "auditee"):
        assert audit.get(name, who=who).status_code == 403
        assert audit.post(name, who=who, **SCOPE).status_code == 403
    may_name = audit.get(name, who="programme-owner").status_code
    assert may_name == (200 if name == "join-member" else 403)


def test_roles_and_shifts_heard_and_not_heard(audit):
    audit.post("set-scope", **SCOPE)
    audit.hear("Checks are made.")
    audit.hear("Something told in confidence.", protected=True, place="row 9")
    page = audit.read("preparation")
    assert "Roles not heard" in page
    assert "planner" in page
    assert 'operator <span class="soft n">2</span>' in page
    # A protected source counts as nobody outside the team.
    assert 'operator <span class="soft n">1</span>' in audit.read("preparation", who="observer")


def test_the_letter_asks_for_what_the_chosen_tests_need(audit):
    page = audit.read("letter")
    assert "An acceptable extract" in page
    assert "Control totals" in page
    chosen = {"until": "2026-11-22", "weeks": "10", "basis": "places", "tests": "gauge-overdue"}
    page = audit.read("letter", **chosen)
    assert "14 Sep 2026 to 22 Nov 2026" in page
    assert "Calibrations" in page
    assert "Shipments" not in page
    answer = audit.get("letter-text", **chosen)
    assert answer["Content-Type"] == "text/plain; charset=utf-8"
    assert "attachment" in answer["Content-Disposition"]
    text = answer.content.decode()
    assert "Request for records for the audit of Bar turning" in text
    assert "2026-09-14 to 2026-11-22" in text
    assert "<" not in text


def test_tests_beyond_the_stated_basis_are_left_out_and_said(audit):
    beyond = next(test.slug for test in catalogue().values() if test.basis != "places")
    chosen = {"until": "2026-11-22", "weeks": "10", "basis": "places",
              "tests": [beyond, "gauge-overdue"]}  # fmt: skip
    page = audit.read("letter", **chosen)
    assert "has not recorded on what basis" in page.replace("\n", " ")
    assert beyond in page


@pytest.mark.parametrize(
    "chosen", [{"until": "x"}, {"until": "2026-11-22", "weeks": "0", "basis": "places"}]
)
def test_a_letter_that_cannot_be_says_why(audit, chosen):
    page = audit.read("letter", **chosen)
    assert 'class="errors"' in page
    assert "An acceptable extract" not in page
    assert audit.get("letter-text", **chosen)["Content-Type"].startswith("text/html")


def test_a_machine_card_says_what_was_seen_and_how_long_ago(audit):
    audit.do(
        MakeObservation(
            form="machine-state", machine="T7", values={"state": "running", "presence": "nobody"}
        )
    )
    page = audit.read("machine-card", machine="T7", records="")
    assert "running" in page
    assert "seen today" in page
    assert "0 min ago" in page
    assert "no extract of the day" in page
    page = audit.read("handover-card", area="T1-B", change_at="", records="")
    assert "runs without an operator" in page


def test_a_card_from_records_that_are_not_here_says_so(audit, cited):
    page = audit.read("machine-card", machine="T7", records=cited.freeze)
    assert "errors" in page
    assert "Machine card" in page
    page = audit.read("machine-card", machine="T7", records="../../keys")
    assert "errors" in page


def test_other_audits_of_the_process_are_named_with_what_they_covered(audit, another):
    page = audit.read("preparation")
    assert "Another audit" in page
    assert "not seen" in page
