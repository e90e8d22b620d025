"""What an audit consists of, as plain values that the fold builds.

Texts that may say something of a person stand here as commitments (`*_sealed`); the store reveals
them where the key still exists. Instants are UTC in the journal's form. Lists grow, nothing is
overwritten: a corrected item keeps what it replaced in `history`.
"""

from dataclasses import dataclass, field
from typing import Literal

from witnessmark.audit.cited import (
    CLOSED,
    Bearing,
    Cited,
    Fact,
    Grade,
    Outcome,
    ReadBack,
    Requirement,
    TestResult,
    TrailState,
)


@dataclass(slots=True)
class Written:
    """What every item has: who wrote it, when, on which device."""

    id: str
    author: str
    at: str
    device: str
    history: list[str] = field(default_factory=list)
    """Ids of the events it replaced, oldest first."""


@dataclass(slots=True)
class Statement(Written):
    """What somebody said, by role."""

    role: str = ""
    place: str = ""
    shift: str = ""
    language: str = ""
    words_sealed: str = ""
    translation_sealed: str = ""
    read_back: ReadBack = "not-read-back"
    protected: bool = False
    vague: tuple[str, ...] = ()
    requirement: str = ""
    answers: list["Answer"] = field(default_factory=list)


@dataclass(slots=True)
class Answer(Written):
    """What a statement was answered by, or that it was not."""

    how: str = ""
    cited: Cited | None = None
    result: str = ""
    reason: str = ""


@dataclass(slots=True)
class Observation(Written):
    """What the auditor saw. `values` hold what the form asks (see `forms`)."""

    form: str = "free"
    machine: str = ""
    place: str = ""
    seen_at: str = ""
    values: dict[str, object] = field(default_factory=dict)
    note_sealed: str = ""
    photos: tuple[str, ...] = ()
    agreed_by: str = ""
    compared: list["Comparison"] = field(default_factory=list)


@dataclass(slots=True)
class Comparison(Written):
    """What the records of that time say to an observation."""

    freeze: str = ""
    field_name: str = ""
    result: str = ""
    seen: str = ""
    recorded: str = ""
    rows: tuple[str, ...] = ()


@dataclass(slots=True)
class Photo(Written):
    """A picture or another attachment, kept by its hash."""

    sha256: str = ""
    media_type: str = ""
    size: int = 0
    caption: str = ""
    permission: str = ""
    destroyed: bool = False


@dataclass(slots=True)
class Document(Written):
    """A document read on the spot: transcribed, or kept by the plant under a receipt."""

    title: str = ""
    revision: str = ""
    page: str = ""
    text_sealed: str = ""
    receipt: str = ""
    place: str = ""


@dataclass(slots=True)
class Danger(Written):
    """An imminent danger, told at once to whom the site's rules name."""

    what_sealed: str = ""
    place: str = ""
    told_role: str = ""
    told_at: str = ""


@dataclass(slots=True)
class Request(Written):
    """Evidence asked for, and what had become of it when it came."""

    what: str = ""
    asked_role: str = ""
    seen_when_asked: str = ""
    due: str = ""
    receipts: list["Receipt"] = field(default_factory=list)


@dataclass(slots=True)
class Receipt(Written):
    """What came in answer to a request."""

    what: str = ""
    changed: str = ""
    sha256: str = ""


@dataclass(slots=True)
class Promise(Written):
    """What was promised to be looked at, with whom, where, and until when."""

    what: str = ""
    with_role: str = ""
    place: str = ""
    earliest: str = ""
    latest: str = ""
    window: str = ""
    outcome: Outcome | None = None
    settled_note: str = ""
    settled_at: str = ""


@dataclass(slots=True)
class Link(Written):
    """A piece of evidence on a trail."""

    cited: Cited = field(default_factory=lambda: Cited("statement"))
    bears: Bearing = "neutral"
    group: str = ""
    """Independence: pieces of one group (one database, one person) count as one."""
    by_audited_function: bool = True
    note: str = ""


@dataclass(slots=True)
class Condition:
    """One of the seven conditions of an exhausted trail, as it was judged at closing."""

    key: str
    met: bool
    said: str


@dataclass(slots=True)
class Trail(Written):
    """A proposition with its rival, and what speaks for and against."""

    proposition: str = ""
    rival: str = ""
    origin: Cited | None = None
    clauses: tuple[str, ...] = ()
    highest_grade: Grade = "minor"
    next_step: str = ""
    closes_at: str = ""
    parent: str = ""
    dropped_if: str = ""
    state: TrailState = "open"
    reason: str = ""
    return_at: str = ""
    evidence: list[Link] = field(default_factory=list)
    conditions: list[Condition] = field(default_factory=list)
    considered: frozenset[str] = frozenset()
    conclusion: str = ""
    limitation: str = ""

    @property
    def is_closed(self) -> bool:
        """Whether it has ended, in whatever way."""
        return self.state in CLOSED

    @property
    def not_considered(self) -> list[Link]:
        """Evidence that came after the trail was closed: its closing did not see it."""
        if not self.is_closed:
            return []
        return [link for link in self.evidence if link.id not in self.considered]


@dataclass(slots=True)
class Limitation(Written):
    """What was not examined, why, and what that means for the result."""

    what: str = ""
    why: str = ""
    effect: str = ""
    trail: str = ""


@dataclass(slots=True)
class Appointment(Written):
    """A place in the agenda of the audit."""

    what: str = ""
    kind: str = "interview"
    with_role: str = ""
    place: str = ""
    shift: str = ""
    starts_at: str = ""
    ends_at: str = ""
    promise: str = ""
    auditor: str = ""
    worth: int = 2
    """1 can be dropped first, 3 must stay."""
    moves: int = 0
    dropped: str = ""


@dataclass(slots=True)
class Member(Written):
    """An account in the audit: its role, and for auditors independence and competence."""

    user: str = ""
    role: str = ""
    function: str = ""
    independence: str = ""
    competence: str = ""


@dataclass(slots=True)
class Freeze(Written):
    """Records frozen for this audit; their outcomes once the tests ran."""

    freeze: str = ""
    period: str = ""
    purpose: str = "audit"
    outcomes: dict[str, "TestResult"] = field(default_factory=dict)
    tool_version: str = ""


@dataclass(slots=True)
class Grading(Written):
    """A grade decided by the auditor, beside what the tool proposed from which inputs."""

    grade: Grade = "none"
    reason: str = ""
    proposed: Grade = "none"
    inputs: dict[str, str] = field(default_factory=dict)


@dataclass(slots=True)
class Route(Written):
    """The plant's own information route for suspect product."""

    product: str = ""
    informed_role: str = ""
    deputy_role: str = ""
    informed_at: str = ""
    acknowledged_at: str = ""
    acknowledged_role: str = ""
    plant_decided: str = ""


@dataclass(slots=True)
class Response(Written):
    """What the auditee answered to a finding."""

    containment: str = ""
    quantities: str = ""
    correction: str = ""
    cause_occurrence: str = ""
    cause_detection: str = ""
    cause_system: str = ""
    action: str = ""
    owner_role: str = ""
    due: str = ""
    implemented_on: str = ""
    similar_examined: str = ""
    documents_changed: str = ""
    verdict: Literal["", "accepted", "returned"] = ""
    verdict_reason: str = ""


@dataclass(slots=True)
class Verification(Written):
    """The same test on a new period, against the old one."""

    slug: str = ""
    before_freeze: str = ""
    after_freeze: str = ""
    exposure: str = ""
    before_x: int = 0
    before_exposure: float = 0.0
    after_x: int = 0
    after_exposure: float = 0.0
    verdict: str = ""
    text: str = ""


@dataclass(slots=True)
class Finding(Written):
    """A requirement that was not met, with the facts, their extent and consequence."""

    number: int = 0
    trail: str = ""
    requirement: Requirement = field(default_factory=Requirement)
    process: str = ""
    place: str = ""
    statement: str = ""
    facts: tuple[Fact, ...] = ()
    extent: str = ""
    consequence: str = ""
    suspect_product: bool = False
    rival_excluded: str = ""
    containment_asked_at: str = ""
    grading: Grading | None = None
    gradings: list[Grading] = field(default_factory=list)
    acknowledged_at: str = ""
    acknowledged_role: str = ""
    acknowledged_note: str = ""
    addressed_to: str = ""
    """Code of the auditee's account that answers it; empty until issued."""
    routes: list[Route] = field(default_factory=list)
    responses: list[Response] = field(default_factory=list)
    verifications: list[Verification] = field(default_factory=list)
    state: Literal["draft", "graded", "issued", "closed", "withdrawn"] = "draft"
    issued_at: str = ""
    due: dict[str, str] = field(default_factory=dict)
    closed_at: str = ""
    reason: str = ""
    watch_until: str = ""
    recurrences: list[str] = field(default_factory=list)
    versions: int = 1


@dataclass(slots=True)
class Conclusion(Written):
    """What the auditor concludes on one of the six questions."""

    question: str = ""
    answer: str = ""
    reason: str = ""


@dataclass(slots=True)
class Report(Written):
    """A report that was issued, by its hash."""

    sha256: str = ""
    form: str = "pdf"
    head: str = ""
    """Hash of the last journal entry it was made from."""
