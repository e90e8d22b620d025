"""Decisions that both practice audits make alike: closing, grading, issuing, verifying."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from msgspec import structs

from witnessmark.audit.actions.acknowledge_facts import AcknowledgeFacts
from witnessmark.audit.actions.close_trail import CloseTrail, ConditionBody
from witnessmark.audit.actions.grade_finding import GradeFinding
from witnessmark.audit.actions.issue_finding import IssueFinding
from witnessmark.audit.cited import Grade
from witnessmark.audit.deadlines import due_dates, written_due
from witnessmark.audit.effect import Side
from witnessmark.audit.effect import verify as hold_against
from witnessmark.audit.exhaustion import CONDITIONS
from witnessmark.audit.grading import as_answers, inputs_of, propose
from witnessmark.practice.audits.records import Records
from witnessmark.practice.audits.scribe import Scribe

DEADLINES = "rules5"


def close(scribe: Scribe, trail: str, closing: CloseTrail, judged: Mapping[str, str]) -> None:
    """Closes a trail with its seven conditions: those judged are met, the others are not."""
    evidence = scribe.desk.state(scribe.audit).trails[trail].evidence
    conditions = tuple(
        ConditionBody(key, met=key in judged, said=judged.get(key, "")) for key in CONDITIONS
    )
    considered = tuple(link.id for link in evidence)
    scribe.do(structs.replace(closing, conditions=conditions, considered=considered))


def grade(
    scribe: Scribe, finding: str, decided: Grade, reason: str, answers: Mapping[str, Any]
) -> None:
    """Grades a finding beside what the tool proposes from the inputs.

    Args:
        scribe: The lead auditor.
        finding: Its id.
        decided: The auditor's grade.
        reason: In the auditor's words.
        answers: Inputs of `grading` that the audit does not know by itself.
    """
    state = scribe.desk.state(scribe.audit)
    inputs = replace(inputs_of(state, state.findings[finding]), **answers)
    scribe.do(
        GradeFinding(
            finding=finding,
            grade=decided,
            reason=reason,
            proposed=propose(inputs).grade,
            inputs=as_answers(inputs),
        )
    )


def grade_and_issue(
    scribe: Scribe,
    finding: str,
    decided: Grade,
    reason: str,
    answers: Mapping[str, Any],
    closing_day: str,
) -> None:
    """Grades a finding, has its facts heard, and issues it with its dates."""
    grade(scribe, finding, decided, reason, answers)
    scribe.do(
        AcknowledgeFacts(
            finding=finding, role="team leader, turning", note="The facts are as stated."
        )
    )
    dues = due_dates(DEADLINES, decided, date.fromisoformat(closing_day))
    scribe.do(IssueFinding(finding=finding, due=written_due(dues)))


def verify(scribe: Scribe, finding: str, slug: str, before: Records, after: Records) -> None:
    """Holds the same test on both periods against each other."""
    then, since = (Side(records.freeze, records.outcomes[slug]) for records in (before, after))
    found = scribe.desk.state(scribe.audit).findings[finding]
    scribe.do(hold_against(found, then, since).action)
