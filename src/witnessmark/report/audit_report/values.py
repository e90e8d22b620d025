"""What an audit report says, as plain values: no journal, no query, no layout.

PDF, workbook and JSON are all made from these, so they cannot say different things. Instants are
words in the plant's zone already; texts are revealed, protected sources are gone.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Title:
    """What was audited, when, and from which journal this was made."""

    title: str
    process: str
    site: str
    dates: str
    zone: str
    audit: str
    head: str
    entries: int
    made_at: str
    tool_version: str
    closed_on: str


@dataclass(frozen=True)
class RouteStep:
    """One step of the plant's own information route for suspect product."""

    product: str
    informed_role: str
    deputy_role: str
    informed_at: str
    acknowledged_at: str
    acknowledged_role: str
    decided: str


@dataclass(frozen=True)
class SuspectProduct:
    """Suspect product of one finding; it stands before everything else."""

    number: int
    consequence: str
    containment_asked_at: str
    steps: tuple[RouteStep, ...]


@dataclass(frozen=True)
class ScopeSaid:
    """What was to be examined, and what was left out."""

    text: str
    not_in_scope: str
    areas: tuple[str, ...]
    shifts: tuple[str, ...]
    machines: tuple[str, ...]


@dataclass(frozen=True)
class CriterionSaid:
    """A document with its revision; `clauses` only those held against a licensed copy."""

    document: str
    revision: str
    valid_on: str
    clauses: tuple[str, ...]
    clauses_withheld: int


@dataclass(frozen=True)
class Met:
    """A shift, area or machine of the scope, and by what it was met; empty for not at all."""

    name: str
    by: str


@dataclass(frozen=True)
class DayOnSite:
    """A day on which something was noted."""

    date: str
    hours: str
    statements: int
    observations: int


@dataclass(frozen=True)
class Covered:
    """What was actually covered, from the notes and the agenda, not from the plan."""

    days: tuple[DayOnSite, ...]
    shifts: tuple[Met, ...]
    areas: tuple[Met, ...]
    machines: tuple[Met, ...]
    handovers: tuple[str, ...]
    handovers_missing: tuple[str, ...]


@dataclass(frozen=True)
class TeamMember:
    """An auditor, by role and function; no name."""

    role: str
    function: str
    independence: str
    competence: str


@dataclass(frozen=True)
class Heard:
    """How many statements were heard from a role; roles and shifts are never crossed."""

    role: str
    statements: int


@dataclass(frozen=True)
class Extract:
    """Records that were frozen for the audit."""

    freeze: str
    purpose: str
    period: str
    files: int
    rows: int
    refused: int
    tests: int
    tool_version: str


@dataclass(frozen=True)
class Method:
    """How it was examined."""

    extracts: tuple[Extract, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class ConclusionSaid:
    """One of the six questions.

    Args:
        answer: The auditor's where there is one, else what the rule proposes from the records.
        judged: Whether it is the auditor's.
        proposed: What the rule proposes.
        reason: Of the answer.
        coverage: How much of what decides could be assessed.
        findings: Numbers of nonconformities that bear on it.
    """

    key: str
    text: str
    answer: str
    judged: bool
    proposed: str
    reason: str
    coverage: str
    findings: tuple[int, ...]


@dataclass(frozen=True)
class RequirementSaid:
    """A requirement as a formal record may print it; `note` says what was withheld."""

    document: str
    clause: str
    words: str
    note: str


@dataclass(frozen=True)
class FactSaid:
    """One fact; `source` leads to its number in the annex, `doubt` where the two differ."""

    text: str
    counted: str
    rate: str
    period: str
    selection: str
    source: str
    doubt: str


@dataclass(frozen=True)
class ResponseSaid:
    """The auditee's part."""

    at: str
    containment: str
    quantities: str
    correction: str
    cause_occurrence: str
    cause_detection: str
    cause_system: str
    action: str
    owner_role: str
    due: str
    implemented_on: str
    similar_examined: str
    documents_changed: str
    verdict: str
    verdict_reason: str


@dataclass(frozen=True)
class VerificationSaid:
    """The same test on a new period."""

    at: str
    slug: str
    before_freeze: str
    after_freeze: str
    exposure: str
    before: str
    after: str
    verdict: str
    text: str


@dataclass(frozen=True)
class FindingSaid:
    """A finding in full; what the record of it prints, and the report in short.

    Args:
        trail: Number of the trail it grew out of; 0 for none.
    """

    number: int
    trail: int
    grade: str
    grade_reason: str
    proposed: str
    inputs: tuple[tuple[str, str], ...]
    state: str
    requirement: RequirementSaid
    process: str
    place: str
    drafted_at: str
    statement: str
    facts: tuple[FactSaid, ...]
    extent: str
    consequence: str
    suspect: bool
    rival_excluded: str
    containment_asked_at: str
    acknowledged: str
    acknowledged_note: str
    issued_at: str
    due: tuple[tuple[str, str], ...]
    routes: tuple[RouteStep, ...]
    responses: tuple[ResponseSaid, ...]
    verifications: tuple[VerificationSaid, ...]
    closed: str
    watch_until: str
    recurrences: tuple[str, ...]


@dataclass(frozen=True)
class EvidenceSaid:
    """A piece of evidence on a trail, in words."""

    bears: str
    kind: str
    text: str
    note: str
    independent: bool
    after_closing: bool


@dataclass(frozen=True)
class ConditionSaid:
    """One of the seven conditions of an exhausted trail, as judged at its closing."""

    key: str
    met: bool
    said: str


@dataclass(frozen=True)
class TrailSaid:
    """A trail with what speaks for and against it."""

    number: int
    proposition: str
    rival: str
    state: str
    conclusion: str
    limitation: str
    reason: str
    highest_grade: str
    conditions: tuple[ConditionSaid, ...]
    evidence: tuple[EvidenceSaid, ...]


@dataclass(frozen=True)
class LimitationSaid:
    """What was not examined, why, and what it means."""

    what: str
    why: str
    effect: str


@dataclass(frozen=True)
class FollowUp:
    """What has become of a finding since it was issued."""

    number: int
    statement: str
    grade: str
    state: str
    said: tuple[str, ...]


@dataclass(frozen=True)
class Picture:
    """A picture as SVG, with its caption and what a reader is told who cannot see it."""

    kind: str
    caption: str
    alternative: str
    svg: str


@dataclass(frozen=True)
class NumberSaid:
    """Where a number comes from: freeze, test, criteria, digest."""

    freeze: str
    slug: str
    status: str
    counted: str
    bounds: str
    not_assessable: int
    fragile: int
    criteria: tuple[str, ...]
    digest: str
    note: str


@dataclass(frozen=True)
class AgendaItem:
    """A place in the agenda, and whether it was dropped."""

    when: str
    what: str
    with_role: str
    place: str
    moves: int
    dropped: str


@dataclass(frozen=True)
class Withdrawn:
    """A finding that was withdrawn, with the reason."""

    number: int
    statement: str
    reason: str


@dataclass(frozen=True)
class AuditReport:
    """The whole report.

    Args:
        draft: Whether no report has been issued yet.
        result: The result in one sentence.
    """

    language: str
    draft: bool
    title: Title
    result: str
    suspect: tuple[SuspectProduct, ...]
    conclusions: tuple[ConclusionSaid, ...]
    findings: tuple[FindingSaid, ...]
    strengths: tuple[str, ...]
    refuted: tuple[TrailSaid, ...]
    limitations: tuple[LimitationSaid, ...]
    follow_up: tuple[FollowUp, ...]
    scope: ScopeSaid
    criteria: tuple[CriterionSaid, ...]
    covered: Covered
    team: tuple[TeamMember, ...]
    people: tuple[Heard, ...]
    method: Method
    distribution: tuple[str, ...]
    pictures: tuple[Picture, ...]
    numbers: tuple[NumberSaid, ...]
    trails: tuple[TrailSaid, ...]
    agenda: tuple[AgendaItem, ...]
    withdrawn: tuple[Withdrawn, ...]
