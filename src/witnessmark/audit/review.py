"""What is not covered yet before closing: the auditor reviews their own audit before anyone else.

Each gap is a sentence with where to go; none is a fault by itself, and a declared limitation is an
answer. For the team's desk. This module changes nothing.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from itertools import combinations
from typing import Literal

from witnessmark.audit.coverage import Coverage, coverage
from witnessmark.audit.grading import same_requirement
from witnessmark.audit.items import Finding, Freeze
from witnessmark.audit.phrases import found_in
from witnessmark.audit.promises import open_promises
from witnessmark.audit.state import AuditState
from witnessmark.audit.wording import catalogued, clause_of

Room = Literal[
    "scope", "criteria", "agenda", "promises", "said", "seen", "requests", "records", "trails",
    "findings", "coverage",
]  # fmt: skip
CONTROL_PLAN = "A 8.5.1.1"
AUDITS = "A 9.2.2.3"
EARLIER = frozenset(
    {
        "earlier finding", "earlier findings", "previous finding", "previous findings",
        "previous audit", "last audit", "earlier audit", "frühere feststellung",
        "frühere feststellungen", "letztes audit", "letzten audits", "voraudit",
    }
)  # fmt: skip
"""Words by which something in the audit tells of earlier findings."""


@dataclass(frozen=True)
class Gap:
    """One thing not covered yet.

    Args:
        key: Its kind.
        sentence: What is missing, in words.
        room: Where to go.
        item: Id of the item there; empty for the room itself.
    """

    key: str
    sentence: str
    room: Room
    item: str = ""


def review(state: AuditState, now: datetime) -> tuple[Gap, ...]:
    """Every gap, what concerns product and findings first.

    Args:
        state: The audit.
        now: This moment, aware.
    """
    covered = coverage(state, now, with_protected=True)
    return (
        *_findings(state),
        *_trails(state),
        *_contradictions(state),
        *_promises(state, now),
        *_said_and_asked(state),
        *_reach(state, covered),
        *_records(state),
        *_earlier(state),
    )


def _findings(state: AuditState) -> Iterator[Gap]:
    standing = [item for item in state.findings.values() if item.state != "withdrawn"]
    for finding in standing:
        name = f"Finding {finding.number}"
        for key, sentence in _finding_gaps(finding):
            yield Gap(key, f"{name}: {sentence}", "findings", finding.id)
    for one, other in combinations(standing, 2):
        if same_requirement(one.requirement, other.requirement):
            said = (
                f"Findings {one.number} and {other.number} stand on one requirement; "
                "if they have one cause, they are one finding."
            )
            yield Gap("same requirement", said, "findings", other.id)


def _finding_gaps(finding: Finding) -> Iterator[tuple[str, str]]:
    if finding.suspect_product and not finding.routes:
        yield (
            "route",
            "suspect product may have left, and the plant's information route is not started.",
        )
    if finding.suspect_product and not finding.containment_asked_at:
        yield "containment", "containment has not been asked for."
    if finding.grading is None:
        yield "grade", "it has no grade yet."
    if not finding.acknowledged_at:
        yield "acknowledged", "its facts are not acknowledged."
    stated = finding.requirement
    known = catalogued(clause_of(stated.standard, stated.clause)) if stated.clause else None
    if known is not None and known.confidence != "confirmed" and not stated.confirmed:
        said = (
            f"clause {known.clause} is from {known.confidence}; confirm it against a licensed copy."
        )
        yield "clause", said


def _trails(state: AuditState) -> Iterator[Gap]:
    for trail in state.trails.values():
        if not trail.is_closed:
            yield Gap("trail", f"Trail not ended: {trail.proposition}", "trails", trail.id)
        elif trail.not_considered:
            said = f"{len(trail.not_considered)} piece(s) of evidence came after it was closed"
            yield Gap("late evidence", f"{said}: {trail.proposition}", "trails", trail.id)


def _contradictions(state: AuditState) -> Iterator[Gap]:
    followed = {trail.origin.id for trail in state.trails.values() if trail.origin}
    followed |= {link.cited.id for trail in state.trails.values() for link in trail.evidence}
    for observation in state.observations.values():
        against = [item for item in observation.compared if item.result == "contradicts"]
        if against and observation.id not in followed:
            said = (
                f"Records and sight differ and no trail holds it: {against[0].seen} "
                f"Recorded: {against[0].recorded}"
            )
            yield Gap("contradiction", said, "seen", observation.id)


def _promises(state: AuditState, now: datetime) -> Iterator[Gap]:
    for item in open_promises(state, now):
        over = ", its window has closed" if item.is_overdue else ""
        yield Gap("promise", f"Promised, not settled{over}: {item.what}", "promises", item.promise)


def _said_and_asked(state: AuditState) -> Iterator[Gap]:
    for statement in state.statements.values():
        if statement.answers:
            continue
        # A protected source is not even named by its role: a list gets printed.
        who = "of a protected source" if statement.protected else f"by {statement.role}"
        said = f"A statement {who} is not answered, nor declared untested."
        yield Gap("statement", said, "said", statement.id)
    for request in state.requests.values():
        if not request.receipts:
            yield Gap("request", f"Asked for, not received: {request.what}", "requests", request.id)


def _reach(state: AuditState, covered: Coverage) -> Iterator[Gap]:
    if not state.scope.shifts:
        said = "The scope does not say on which shifts the process runs."
        yield Gap("shifts", said, "scope")
    for shift in covered.shifts_missing:
        said = f"Shift {shift} was not seen; each shift that runs the process is to be ({AUDITS})."
        yield Gap("shift", said, "agenda")
    if not covered.handovers_seen:
        yield Gap("handover", f"No change of shift was seen ({AUDITS}).", "agenda")
    else:
        for name in covered.handovers_missing:
            yield Gap("handover", f"The handover {name} was not seen.", "agenda")
    if any(item.clause == CONTROL_PLAN for item in covered.untouched):
        said = f"Nothing has touched the control plan ({CONTROL_PLAN})."
        yield Gap("control plan", said, "coverage")
    if not any(CONTROL_PLAN in item.clauses for item in state.criteria):
        said = f"No criterion is stated as the control plan with its revision ({CONTROL_PLAN})."
        yield Gap("control plan revision", said, "criteria")
    if not covered.unattended_seen:
        yield Gap("unattended", "No machine was seen running unattended.", "seen")
    for machine in covered.machines_missing:
        yield Gap("machine", f"Machine {machine} is in scope and was not looked at.", "seen")
    for role in covered.roles_not_heard:
        yield Gap("role", f"Nobody was heard as {role}.", "coverage")


def _records(state: AuditState) -> Iterator[Gap]:
    own: Mapping[str, Freeze] = {k: f for k, f in state.freezes.items() if f.purpose == "audit"}
    if not own:
        yield Gap("records", "No records were taken in.", "records")
    for freeze in own.values():
        for status, said in (
            ("failed", "failed; their result is unknown"),
            ("not-assessable", "could not be assessed on these records"),
        ):
            slugs = sorted(r.slug for r in freeze.outcomes.values() if r.status == status)
            if slugs:
                text = f"{len(slugs)} record test(s) {said}: {', '.join(slugs)}."
                yield Gap(status, text, "records", freeze.freeze)
        if not freeze.outcomes:
            yield Gap("outcomes", "Records were taken in and not tested.", "records", freeze.freeze)


def _earlier(state: AuditState) -> Iterator[Gap]:
    texts = [trail.proposition for trail in state.trails.values()]
    texts += [item.title for item in state.documents.values()]
    texts += [item.what for item in state.requests.values()]
    texts += [item.what for item in state.limitations.values()]
    texts += [item.what for item in state.appointments.values() if not item.dropped]
    if not any(found_in(text, EARLIER) for text in texts):
        said = "Nothing tells of earlier findings: were they looked at, or declared a limitation?"
        yield Gap("earlier findings", said, "trails")
