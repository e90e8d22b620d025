"""The report as values: everything that stands in it stands in the journal, and nothing else."""

import json
import re
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import pytest
from tests.report.audit_report.plant_audit import (
    AUDIT,
    FREEZE,
    LATER,
    LEAD,
    MEMORY_CLAUSE,
    made_up_outcomes,
    new_desk,
    outcome,
    sources_of,
)

from witnessmark.audit.actions.draft_finding import DraftFinding
from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.issue_report import IssueReport
from witnessmark.audit.actions.open_audit import OpenAudit
from witnessmark.audit.cited import Cited, Fact, Requirement
from witnessmark.report.audit_report.compose import compose
from witnessmark.report.audit_report.papers import papers_of
from witnessmark.report.audit_report.wording import wording

ROOM = Path(str(files("witnessmark.report.audit_report")))


def test_the_result_counts_what_was_issued(report):
    assert report.result == (
        "Nonconformities found: 3, of them 1 major and 2 minor; suspect product may have left, and "
        "the plant was informed by its own route; suspicions refuted: 1; suspicions not determined "
        "or still open: 3."
    )


def test_suspect_product_stands_first_with_its_route_and_acknowledgement(report):
    assert [one.number for one in report.findings] == [2, 1, 3]
    (suspect,) = report.suspect
    (step,) = suspect.steps
    assert (step.informed_role, step.acknowledged_role) == ("quality manager", "quality manager")
    assert step.informed_at == "Tue 1 Dec 2026, 14:45"


def test_the_auditors_answer_stands_before_the_proposal(report):
    answers = {one.key: one for one in report.conclusions}
    assert answers["checked"].judged
    assert answers["checked"].reason.startswith("Attended machines")
    assert not answers["staffed"].judged
    assert answers["known"].findings == (3,)


def test_a_nonconformity_never_leaves_a_proposed_yes(report):
    assert {one.key: one.answer for one in report.conclusions}["corrected"] in {"partly", "no"}


def test_shifts_and_machines_nobody_met_are_limitations(report):
    said = " ".join(one.what for one in report.limitations)
    assert "2 of 4 (night and weekend)" in said
    assert "1 of 4 (T-12)" in said
    assert "Watch a restart at night" in said
    assert "Load list of the truck" in said
    assert "Statements that nothing was found to test: 2 of 3." in said


def test_refuted_trails_are_evidence_of_conformity(report):
    (refuted,) = report.refuted
    assert refuted.proposition.startswith("First-off checks are skipped")
    assert [one.bears for one in refuted.evidence] == ["against", "against"]


def test_strengths_carry_their_n(report):
    assert report.strengths[0].startswith("Of 3 answers noted on the floor")
    assert any("5\u202f221 assessed units" in said for said in report.strengths)


def test_a_clause_from_memory_is_not_printed_and_a_confirmed_one_is(report, sources):
    by_number = {one.number: one for one in report.findings}
    assert by_number[1].requirement.clause == ""
    assert "licensed copy" in by_number[1].requirement.note
    assert by_number[2].requirement.clause == "ISO 9001 8.7"
    assert MEMORY_CLAUSE not in papers_of(sources).json().decode()


def test_a_fact_that_its_outcome_contradicts_says_so(written):
    outcomes = tuple(
        outcome(one.slug, one.counts.exceptions + 1, one.counts.assessed)
        for one in made_up_outcomes()
    )
    found = compose(sources_of(written[0], {FREEZE: outcomes})).findings
    assert "14 of 20" in found[0].facts[0].doubt
    assert not compose(sources_of(written[0])).findings[0].facts[0].doubt


def test_numbers_say_where_they_come_from(report):
    by_slug = {one.slug: one for one in report.numbers}
    assert by_slug["late-entry"].criteria == ("late_entry_min 30 min (WI-021 rev 5, section 4)",)
    assert by_slug["check-interval-exceeded"].criteria == ("patrol_grace_share 0.1 (default)",)
    assert all(one.digest for one in report.numbers)


def test_without_kept_outcomes_the_journals_counts_stand_and_say_so(written):
    report = compose(sources_of(written[0]))
    noted = {one.slug: one for one in report.numbers}["suspect-shipped"]
    assert (noted.counted, noted.note) == (
        "13 of 20",
        "From the journal; the rows are not at hand.",
    )


def test_a_draft_becomes_a_report_when_one_is_issued():
    desk = new_desk()
    desk.act(AUDIT, LEAD, OpenAudit(title="t", process="p"))
    assert compose(sources_of(desk)).draft
    assert not compose(sources_of(desk), issued=True).draft
    desk.act(AUDIT, LEAD, IssueReport(sha256="0" * 64, head="0" * 64))
    assert not compose(sources_of(desk)).draft


def test_an_audit_with_nothing_in_it_says_so_honestly():
    desk = new_desk()
    desk.act(AUDIT, LEAD, OpenAudit(title="Empty", process="turning"))
    report = compose(sources_of(desk))
    assert report.result == "Nothing has been examined yet, so nothing is concluded."
    assert {one.answer for one in report.conclusions} == {"not determined"}
    said = " ".join(one.what for one in report.limitations)
    assert "No records were frozen" in said
    assert "No handover was attended" in said
    assert report.strengths == ()


def test_a_draft_is_no_nonconformity_and_no_conformity_either():
    desk = new_desk()
    desk.act(AUDIT, LEAD, OpenAudit(title="t", process="p"))
    desk.act(AUDIT, LEAD, HearStatement(role="setter"), {"words": "all is well"})
    assert compose(sources_of(desk)).result == "No nonconformity was found."
    desk.act(AUDIT, LEAD, DraftFinding(requirement=Requirement(document="WI"), statement="s"))
    assert compose(sources_of(desk)).result == (
        "No nonconformity has been decided yet; findings still in draft: 1."
    )


def test_people_stand_by_role_and_never_with_their_shift(report):
    assert [(one.role, one.statements) for one in report.people] == [
        ("operator", 1),
        ("planner", 1),
        ("shift leader", 1),
    ]
    told = json.dumps([one.evidence for one in report.trails], default=vars)
    assert "operator" in told
    assert '"early"' not in told


def test_a_split_by_shift_is_not_printed_where_the_group_size_is_not_known():
    desk = new_desk()
    desk.act(AUDIT, LEAD, OpenAudit(title="t", process="p"))
    cited = Cited("stratum", freeze=FREEZE, slug="late-entry", stratum="shift=night")
    desk.act(
        AUDIT,
        LEAD,
        DraftFinding(
            requirement=Requirement(document="WI"),
            statement="s",
            facts=(Fact("at night", 1, 2, cited=cited),),
        ),
    )
    (finding,) = compose(sources_of(desk)).findings
    assert finding.facts[0].source == f"late-entry, {FREEZE[:12]}"


def test_the_follow_up_tells_response_verdict_and_verification(report):
    (told,) = report.follow_up
    assert told.number == 1
    assert any("4 in 3,900 assessed gaps" in line for line in told.said)
    assert any(LATER[:12] in line for line in told.said)
    assert any(line.startswith("Accepted") for line in told.said)


def test_an_unknown_language_falls_back_to_english(sources):
    assert compose(replace(sources, language="xx")).language == "en"
    assert wording("xx")("result.none") == "No nonconformity was found"


@pytest.mark.parametrize("marked_later", [False, True])
def test_a_text_that_repeats_a_protected_source_is_not_printed(marked_later):
    desk = new_desk()
    desk.act(AUDIT, LEAD, OpenAudit(title="t", process="p"))
    words = {"words": "every night the leader copies yesterday's sheet by hand"}
    heard = HearStatement(role="temp", protected=not marked_later)
    first = desk.act(AUDIT, LEAD, heard, words).event.id
    if marked_later:
        protected = HearStatement(role="temp", protected=True)
        desk.act(AUDIT, LEAD, protected, words, supersedes=first)
    desk.act(
        AUDIT,
        LEAD,
        DraftFinding(
            requirement=Requirement(document="WI"),
            statement="Records do not demonstrate checks.",
            consequence="As told, every night the leader copies yesterday's sheet.",
        ),
    )
    told = papers_of(sources_of(desk)).json().decode()
    assert "yesterday" not in told
    assert "temp" not in told
    assert "Records do not demonstrate checks." in told


def test_every_phrase_that_is_asked_for_exists():
    phrases = wording("en").phrases
    asked = {
        key
        for file in ROOM.rglob("*.py")
        for key in re.findall(r"\bsay\(\s*\"([a-z_]+\.[a-z_]+)\"", file.read_text("utf-8"))
    }
    assert len(asked) > 60
    assert asked <= set(phrases)


@pytest.mark.parametrize(
    ("template", "sections"), [("report", ("page",)), ("record", ("page", "record"))]
)
def test_every_word_of_a_template_exists(template, sections):
    text = (ROOM / "page" / f"{template}.typ").read_text("utf-8")
    text += (ROOM / "page" / "look.typ").read_text("utf-8")
    asked = set(re.findall(r"\b(?:w|words)\.([a-z_]+)", text))
    known = {name for section in sections for name in wording("en").section(section)}
    assert asked
    assert asked <= known
