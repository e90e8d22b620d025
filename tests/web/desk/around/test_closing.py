"""Reviewing one's own audit, ending it, and what is given out of it."""

import json

import pytest
from tests.web.one_audit import WHISPERED

from witnessmark.audit.actions.close_trail import CloseTrail
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.canonical import sha256
from witnessmark.audit.container import open_sealed
from witnessmark.web.desk.around.papers import make_papers, sets_of
from witnessmark.web.desk.around.sealing import make_sealed
from witnessmark.web.jobs.kinds import KINDS
from witnessmark.web.jobs.models import Job
from witnessmark.web.store.desk import STORE


def quiet(step, share=None):
    """Takes what a job tells."""


def test_what_is_not_covered_stands_before_the_closing(audit):
    finding = audit.finding(suspect_product=True)
    page = audit.read("closing")
    assert "Finding 1: suspect product may have left" in page
    assert f"/findings/{finding}/" in page
    assert "No records were taken in." in page
    # What concerns the team's own review is the team's.
    assert "Not covered yet" not in audit.read("closing", who="observer")


def test_a_gap_becomes_a_limitation_in_one_step(audit):
    page = audit.read("closing")
    assert "/closing/limitation/?what=" in page
    form = audit.read("declare-limitation", what="No records were taken in.")
    assert "No records were taken in." in form
    audit.post("declare-limitation", what="The weekend.", why="Not there.", effect="From records.")
    (item,) = audit.state.limitations.values()
    assert "From records." in audit.read("closing")
    audit.post("correct-limitation", item.id, what="All weekends.", why="Not there.", effect="")
    (item,) = audit.state.limitations.values()
    assert item.what == "All weekends."
    assert item.history


def test_a_protected_statement_is_no_limitation_to_declare(audit):
    audit.hear(WHISPERED, protected=True)
    page = audit.read("closing")
    assert "A statement of a protected source is not answered" in page
    assert "protected%20source" not in page


def test_a_limitation_without_a_reason_is_refused(audit):
    page = audit.post("declare-limitation", what="The weekend.", why=" ").content.decode()
    assert 'class="errors"' in page
    assert not audit.state.limitations


def test_the_six_questions_are_concluded_in_words(audit):
    page = audit.read("closing")
    assert "Is it staffed as documented?" in page
    audit.post("conclude", "staffed", answer="partly", reason="By day only.")
    assert audit.state.conclusions["staffed"].answer == "partly"
    assert "By day only." in audit.read("meeting-sheet")
    assert audit.get("conclude", "nonsense").status_code == 404
    assert audit.get("conclude", "staffed", who="auditor").status_code == 403


def test_an_audit_is_closed_once_every_trail_has_ended(audit, cited):
    trail = audit.do(OpenTrail(proposition="Still open."))
    page = audit.post("close-audit", closing_day="2026-11-25").content.decode()
    assert "Still open." in page
    assert not audit.state.closed_on
    audit.do(CloseTrail(trail=trail, verdict="transferred", conclusion="To safety."))
    assert audit.post("close-audit", closing_day="2026-11-25").status_code == 302
    assert audit.state.closed_on == "2026-11-25"
    assert "closed; closing meeting on" in audit.read("closing")
    # Follow-up goes on, and deadlines count from that day.
    finding = audit.finding()
    audit.post("grade-finding", finding, decide="1", grade="minor", reason="So.",
               requirement_broken="yes", rule="unknown", special="unknown", plant_acted="unknown",
               product_left="unknown", repeated="unknown", customer_trigger="unknown",
               minors="1")  # fmt: skip
    assert 'value="2026-11-25"' in audit.read("issue-finding", finding)


def test_the_sheet_says_it_in_one_sentence_by_risk(audit):
    audit.issued(grade="minor", statement="A minor one.")
    audit.issued(grade="major", statement="A major one.")
    audit.finding(statement="Withdrawn one.")
    last = list(audit.state.findings)[-1]
    audit.post("withdraw-finding", last, reason="Mistaken.")
    page = audit.read("meeting-sheet")
    assert page.index("A major one.") < page.index("A minor one.")
    assert "Withdrawn one." not in page
    assert "1 major" in page
    assert "31 Jan 2020" in page


def test_papers_are_made_with_their_hashes_and_given_out_as_made(audit, cited):
    audit.issued(trail=audit.trail(cited))
    one = make_papers(audit.id, is_final=False, tell=quiet)
    names = {file.name for file in one.made.files}
    assert names == {"report.pdf", "working-papers.xlsx", "report.json", "record-1.pdf"}
    assert [made.key for made in sets_of(audit.id)] == [one.key]
    answer = audit.get("paper", one.key, "report.pdf")
    assert answer.content.startswith(b"%PDF")
    assert answer["Content-Type"] == "application/pdf"
    assert sha256(answer.content) == one.file("report.pdf").sha256
    assert json.loads(audit.get("paper", one.key, "report.json").content)
    page = audit.read("reports")
    assert one.file("report.pdf").sha256 in page
    assert "Issue it" not in page
    answer = audit.post("issue-paper", one.key, "report.pdf")
    assert not audit.state.reports
    assert audit.get("paper", one.key, "made.json").status_code == 404
    assert audit.get("paper", "other", "report.pdf").status_code == 404
    assert "Nonconformity record (draft)" in audit.read("finding", next(iter(audit.state.findings)))


def test_final_papers_are_issued_with_their_hash(audit):
    audit.issued()
    one = make_papers(audit.id, is_final=True, tell=quiet)
    for who in ("observer", "programme-owner"):
        assert audit.get("paper", one.key, "report.pdf", who=who).status_code == 404
        assert "No report is issued yet" in audit.read("reports", who=who)
    assert audit.post("issue-paper", one.key, "report.pdf", who="auditor").status_code == 403
    audit.post("issue-paper", one.key, "report.pdf")
    (report,) = audit.state.reports.values()
    assert (report.sha256, report.head) == (one.file("report.pdf").sha256, one.made.head)
    audit.post("issue-paper", one.key, "report.pdf")
    assert len(audit.state.reports) == 1
    for who in ("observer", "programme-owner"):
        assert audit.get("paper", one.key, "report.pdf", who=who).status_code == 200
        assert audit.get("paper", one.key, "report.json", who=who).status_code == 404
    assert audit.get("paper", one.key, "report.pdf", who="auditee").status_code == 403


def test_a_file_that_was_changed_on_disk_is_not_given_out(audit):
    audit.finding()
    one = make_papers(audit.id, is_final=True, tell=quiet)
    path = one.folder / "report.pdf"
    path.write_bytes(path.read_bytes() + b" ")
    answer = audit.get("paper", one.key, "report.pdf")
    assert answer.status_code == 422
    assert b"not the file that was made" in answer.content
    assert audit.post("issue-paper", one.key, "report.pdf").status_code == 422
    assert not audit.state.reports


def test_a_protected_source_is_in_no_paper(audit):
    audit.hear(WHISPERED, protected=True)
    audit.issued()
    one = make_papers(audit.id, is_final=True, tell=quiet)
    data = one.read(one.file("report.json")).decode()
    assert "enter every check" not in data


def test_making_papers_and_sealing_are_asked_of_the_background(audit, monkeypatch):
    monkeypatch.setattr("witnessmark.web.jobs.ask._start", lambda _: None)
    answer = audit.post("make-papers", who="auditor")
    (job,) = Job.objects.all()
    assert answer["Location"] == f"/jobs/{job.pk}/"
    assert (job.kind, job.audit_id, job.arguments) == ("papers", audit.id, {"is_final": False})
    assert audit.post("make-papers", who="auditor", final="1").status_code == 403
    audit.post("make-papers", final="1")
    audit.post("seal", width="cited")
    kinds = {(job.kind, *job.arguments.values()) for job in Job.objects.all()}
    assert kinds == {("papers", False), ("papers", True), ("seal", "cited")}
    audit.post("seal", width="../etc")
    assert Job.objects.count() == 3
    for who in ("observer", "programme-owner", "auditee"):
        assert audit.post("make-papers", who=who).status_code == 403
        assert audit.post("seal", who=who, width="cited").status_code == 403
    assert audit.post("seal", who="auditor", width="cited").status_code == 403
    assert "Sealing" in audit.read("reports")


@pytest.mark.parametrize("width", ["outcomes", "cited", "everything"])
def test_a_sealed_file_is_taken_away_by_the_lead(audit, cited, width):
    audit.hear("Checks are made.")
    audit.issued(trail=audit.trail(cited))
    sealed = make_sealed(audit.id, width)
    assert sealed.entries == len(list(audit_entries(audit)))
    page = audit.read("reports")
    assert sealed.path.name in page
    answer = audit.get("sealed-file", sealed.path.name)
    assert b"".join(answer.streaming_content) == sealed.path.read_bytes()
    assert open_sealed(sealed.path).seal.signature
    for who in ("auditor", "observer", "programme-owner"):
        assert audit.get("sealed-file", sealed.path.name, who=who).status_code == 403
    assert audit.get("sealed-file", "witnessmark.db").status_code == 404


def audit_entries(audit):
    return STORE.received(audit.id)


def test_the_kinds_of_work_are_declared_and_do_it(audit):
    audit.finding()
    job = Job.objects.create(kind="papers", audit_id=audit.id, arguments={"is_final": False})
    result = KINDS["papers"].work(job, quiet)
    assert "4 files" in result["says"]
    assert result["href"] == audit.url("reports")
    job = Job.objects.create(kind="seal", audit_id=audit.id, arguments={"width": "outcomes"})
    result = KINDS["seal"].work(job, quiet)
    assert "entries" in result["says"]
    assert len(sets_of(audit.id)) == 1
