"""The nonconformity record of one finding: the auditor's part, the auditee's, the verifier's.

What is not known yet is an empty field with room for a hand. This module adds nothing to a finding.
"""

from collections.abc import Sequence
from datetime import datetime

from witnessmark.report.audit_report.layout import running, title_data
from witnessmark.report.audit_report.sources import SHORT
from witnessmark.report.audit_report.typeset import has_boxes, typeset
from witnessmark.report.audit_report.values import (
    AuditReport,
    EvidenceSaid,
    FindingSaid,
    ResponseSaid,
    RouteStep,
    VerificationSaid,
)
from witnessmark.report.audit_report.wording import Wording, wording

AUDITEE = (
    ("containment", 2),
    ("quantities", 1),
    ("correction", 2),
    ("cause_occurrence", 2),
    ("cause_detection", 2),
    ("cause_system", 2),
    ("action", 2),
    ("owner_role", 1),
    ("due", 1),
    ("implemented_on", 1),
    ("similar_examined", 2),
    ("documents_changed", 1),
)
"""The auditee's fields, and how many lines a hand is given."""

KEPT_TOGETHER = 900
"""Signs of a part that is kept on one page; a longer one may be broken."""


def record_pdf(report: AuditReport, number: int, made_at: datetime) -> bytes:
    """The record of a finding as PDF.

    Args:
        report: The report that the finding stands in.
        number: Of the finding.
        made_at: Time of the last entry of the journal.

    Raises:
        KeyError: No finding that stands has this number.
    """
    return typeset("record.typ", [record_data(report, number)], made_at)


def record_data(report: AuditReport, number: int) -> dict[str, object]:
    """What the template of the record is given."""
    found = {one.number: one for one in report.findings}
    finding, say = found[number], wording(report.language)
    title = title_data(report, "record.title")
    name = say("record.name", number=number, title=report.title.title)
    data: dict[str, object] = {
        "words": say.section("page") | say.section("record"),
        "title": title
        | {
            "document": name,
            "running": running(name),
            "draft": finding.state in {"draft", "graded"},
        },
        "parts": [
            _identity(report, finding, say),
            _requirement(finding, say),
            _facts(report, finding, say),
            _grade(finding, say),
            *(_route(step, say) for step in finding.routes),
            *_responses(finding.responses, say),
            *_verifications(finding, say),
        ],
    }
    return data | {"boxes": has_boxes(data)}


def _part(
    heading: str,
    fields: Sequence[dict[str, object]],
    facts: Sequence[dict[str, str]] = (),
    said: str = "",
) -> dict[str, object]:
    signs = sum(len(str(one["value"])) for one in fields) + len(said)
    return {
        "heading": heading,
        "fields": list(fields),
        "facts": list(facts),
        "said": said,
        "whole": not facts and len(fields) < len(AUDITEE) and signs < KEPT_TOGETHER,
    }


def _field(say: Wording, name: str, value: str, lines: int = 1) -> dict[str, object]:
    return {"label": say(f"record.{name}"), "value": value, "lines": lines}


def _identity(report: AuditReport, one: FindingSaid, say: Wording) -> dict[str, object]:
    return _part(
        say("record.identity"),
        [
            _field(say, "id", f"{report.title.audit[:8]}-{one.number}"),
            _field(say, "process", one.process or report.title.process),
            _field(say, "place", one.place or report.title.site),
            _field(say, "date", one.drafted_at),
            _field(say, "issued_at", one.issued_at),
            _field(say, "answers_due", "; ".join(f"{step} {on}" for step, on in one.due)),
        ],
    )


def _requirement(one: FindingSaid, say: Wording) -> dict[str, object]:
    asked = one.requirement
    fields = [_field(say, "document", asked.document)]
    if asked.clause:
        fields.append(_field(say, "clause", asked.clause))
    if asked.words:
        fields.append(_field(say, "asks", asked.words))
    fields.append(_field(say, "statement", one.statement, 2))
    return _part(say("record.requirement"), fields, said=asked.note)


def _facts(report: AuditReport, one: FindingSaid, say: Wording) -> dict[str, object]:
    facts = [
        {
            "counted": fact.counted,
            "text": fact.text,
            "beside": " \u00b7 ".join(
                part
                for part in (fact.rate, fact.period, fact.selection, fact.source, fact.doubt)
                if part
            ),
        }
        for fact in one.facts
    ]
    return _part(
        say("record.facts"),
        [
            _field(say, "evidence", "\n".join(map(_evidence, _on_trail(report, one)))),
            _field(say, "extent", one.extent),
            _field(say, "consequence", one.consequence),
            _field(say, "rival", one.rival_excluded),
            _field(say, "containment_asked", one.containment_asked_at),
            _field(say, "acknowledged", one.acknowledged),
            _field(say, "acknowledged_note", one.acknowledged_note),
        ],
        facts,
    )


def _on_trail(report: AuditReport, one: FindingSaid) -> Sequence[EvidenceSaid]:
    """Evidence of the trail that the finding grew out of, what speaks against it as well."""
    return next((trail.evidence for trail in report.trails if trail.number == one.trail), ())


def _evidence(one: EvidenceSaid) -> str:
    mark = "\u2212" if one.bears == "against" else "+" if one.bears == "for" else "\u00b7"
    return f"{mark} {one.text}"


def _grade(one: FindingSaid, say: Wording) -> dict[str, object]:
    inputs = "; ".join(f"{question}: {answer}" for question, answer in one.inputs)
    return _part(
        say("record.graded"),
        [
            _field(say, "grade", say.named("grade", one.grade or "not_graded")),
            _field(say, "grade_reason", one.grade_reason, 2),
            _field(say, "grade_inputs", inputs),
        ],
    )


def _route(step: RouteStep, say: Wording) -> dict[str, object]:
    return _part(
        say("record.route"),
        [
            _field(say, "product", step.product),
            _field(say, "informed", _joined(step.informed_role, step.informed_at)),
            _field(say, "deputy", step.deputy_role),
            _field(say, "heard", _joined(step.acknowledged_role, step.acknowledged_at)),
            _field(say, "decided", step.decided),
        ],
    )


def _responses(given: Sequence[ResponseSaid], say: Wording) -> list[dict[str, object]]:
    """Each response with its verdict; one empty part where there is none yet."""
    parts = []
    for number, one in enumerate(given or (None,), 1):
        heading = say("record.response")
        if len(given) > 1:
            heading += f" {number}"
        fields = [
            _field(say, name, getattr(one, name) if one else "", lines) for name, lines in AUDITEE
        ]
        verdict = say.named("verdict", one.verdict) if one and one.verdict else ""
        fields.append(_field(say, "verdict", verdict))
        fields.append(_field(say, "verdict_reason", one.verdict_reason if one else "", 2))
        parts.append(_part(heading, fields, said=say("record.response_said")))
    return parts


def _verifications(one: FindingSaid, say: Wording) -> list[dict[str, object]]:
    parts = []
    for item in one.verifications or (None,):
        fields = [
            _field(say, "repeated", _repeated(item)),
            _field(say, "exposure", item.exposure if item else ""),
            _field(say, "before", item.before if item else ""),
            _field(say, "after", item.after if item else ""),
            _field(say, "effect", _joined(item.verdict, item.text) if item else "", 2),
        ]
        parts.append(_part(say("record.verification"), fields))
    closing = [
        _field(say, "closed", one.closed),
        _field(say, "watch", one.watch_until),
        *(_field(say, "again", again) for again in one.recurrences),
    ]
    return [*parts, _part(say("record.closing"), closing)]


def _repeated(item: VerificationSaid | None) -> str:
    if item is None:
        return ""
    return f"{item.slug}: {item.before_freeze[:SHORT]}, {item.after_freeze[:SHORT]}"


def _joined(*parts: str) -> str:
    return ", ".join(part for part in parts if part)
