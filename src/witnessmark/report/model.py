"""What a working paper says, as plain values: no HTML, no query, no file.

Whatever is printed stands here first, worded and capped, so that a page, a summary or another
format of the same paper cannot say different things. Counts are never without their denominator.
"""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from witnessmark.report.figures import (
    ForestPlot,
    IntervalPlot,
    RibbonDay,
    StatusStrip,
    TraceTree,
)

Status = Literal["assessed", "nothing-to-test", "not-assessable", "failed"]
Answer = Literal["yes", "partly", "no", "not determined"]


@dataclass(frozen=True)
class TitleBlock:
    """What was looked at, over which time, from which records, by which version."""

    plant: str
    process: str
    period_from: date
    period_to: date
    zone: str
    freeze: str
    tool_version: str
    records_as_of: str


@dataclass(frozen=True)
class Escape:
    """One suspect lot that is recorded as shipped, in one sentence, with its fragile side."""

    lot_no: str
    sentence: str
    fragile: bool


@dataclass(frozen=True)
class Escapes:
    """Suspect product that may have left.

    Args:
        headline: The one sentence of the first page; says so when nothing could be determined.
        lots: The lots, the certain ones first.
        total: How many there are, of which `lots` shows the first.
        route: Whom the plant's own documents name to inform, or that none is named in the records.
    """

    headline: str
    lots: tuple[Escape, ...]
    total: int
    route: str


@dataclass(frozen=True)
class Contrast:
    """How often the check interval was kept, by attendance class."""

    sentence: str
    plot: IntervalPlot | None


@dataclass(frozen=True)
class Gap:
    """One gap followed all the way: its day, its sentence, its bins."""

    sentence: str
    ribbon: RibbonDay | None
    trace: TraceTree | None


@dataclass(frozen=True)
class Ask:
    """Something to ask on the floor, and why: about the process, never about a person."""

    question: str
    reason: str
    slug: str


@dataclass(frozen=True)
class FirstPage:
    """What a practitioner wants to have in hand tomorrow morning."""

    escapes: Escapes
    contrast: Contrast
    gap: Gap | None
    asks: tuple[Ask, ...]
    open_matters: tuple[str, ...]
    dropped: str


@dataclass(frozen=True)
class QuestionTest:
    """What one test gives to a question; `deciding` ones count towards the answer."""

    slug: str
    status: Status
    result: str
    deciding: bool


@dataclass(frozen=True)
class Question:
    """One of the six questions with the answer the records suggest, its reason and its coverage."""

    key: str
    text: str
    answer: Answer
    reason: str
    coverage: str
    tests: tuple[QuestionTest, ...]


@dataclass(frozen=True)
class Reason:
    """Why units could not be assessed, or do not apply, and how many."""

    words: str
    units: int


@dataclass(frozen=True)
class Rate:
    """Exceptions of assessed units with exact bounds; None where nothing was assessed."""

    exceptions: int
    assessed: int
    rate: float | None
    lower: float | None
    upper: float | None


@dataclass(frozen=True)
class StratumRow:
    """One value of a stratum."""

    words: str
    population: int
    not_assessable: int
    rate: Rate


@dataclass(frozen=True)
class Stratum:
    """The rate split by one thing; `note` says where small groups were merged."""

    name: str
    rows: tuple[StratumRow, ...]
    note: str = ""


@dataclass(frozen=True)
class CriterionUsed:
    """A limit that was used, where it comes from, and what one other value would change."""

    name: str
    value: str
    source: str
    is_default: bool
    about: str = ""
    sensitivity: str = ""


@dataclass(frozen=True)
class ShownRow:
    """An exception as it is printed: its ref, its sentence, whether it is fragile."""

    ref: str
    sentence: str
    fragile: bool
    shown: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class Prose:
    """The parts of a test's own page that the paper prints, as paragraphs."""

    tests: str
    matters: str
    population: str
    not_assessable: str
    traps: str
    ask_next: str
    source: str


@dataclass(frozen=True)
class TestPage:
    """Everything the paper says about one record test."""

    slug: str
    finding: str
    question: str
    status: Status
    result: str
    prose: Prose
    clauses: tuple[str, ...]
    population: int
    rate: Rate
    not_assessable: tuple[Reason, ...]
    not_applicable: tuple[Reason, ...]
    fragile: str
    range_words: str
    clustering: str
    contrast: str
    strata: tuple[Stratum, ...]
    criteria: tuple[CriterionUsed, ...]
    uses_absent: tuple[str, ...]
    missing: tuple[str, ...]
    message: str
    rows: tuple[ShownRow, ...]
    rows_total: int
    revision: str
    sql: str

    @property
    def strata_first(self) -> tuple[Stratum, ...]:
        """The split that the audit turns on, where there is an exception to split."""
        if not self.rate.exceptions:
            return ()
        return tuple(stratum for stratum in self.strata if stratum.name == "attendance")

    @property
    def strata_others(self) -> tuple[Stratum, ...]:
        """All other splits."""
        return tuple(stratum for stratum in self.strata if stratum not in self.strata_first)

    @property
    def not_assessable_total(self) -> int:
        """Units that could not be assessed, over all reasons."""
        return sum(reason.units for reason in self.not_assessable)


@dataclass(frozen=True)
class Unlock:
    """A table or column that the records lack, and the tests it would make possible."""

    missing: str
    slugs: tuple[str, ...]


@dataclass(frozen=True)
class SourceFile:
    """One file: its hash, and where each of its rows went."""

    name: str
    sha256: str
    tables: str
    rows_read: int
    rows_loaded: int
    rows_refused: int
    rows_duplicate: int
    control: str
    notes: tuple[str, ...] = ()

    @property
    def balances(self) -> bool:
        """Every row read is loaded, refused or a duplicate."""
        return self.rows_read == self.rows_loaded + self.rows_refused + self.rows_duplicate


@dataclass(frozen=True)
class RefusedRow:
    """A row that was not loaded: where it stands and why."""

    where: str
    value: str
    reason: str


@dataclass(frozen=True)
class Provenance:
    """Where every number comes from and how to make it again."""

    freeze: str
    how_to_repeat: str
    files: tuple[SourceFile, ...]
    refused: tuple[RefusedRow, ...]
    refused_total: int
    mapping: str
    tables: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Paper:
    """A working paper: it sets out what records show, supports a judgement, certifies nothing."""

    title: TitleBlock
    first_page: FirstPage
    questions: tuple[Question, ...]
    forest: ForestPlot | None
    strips: tuple[StatusStrip, ...]
    tests: tuple[TestPage, ...]
    unlocks: tuple[Unlock, ...]
    criteria: tuple[CriterionUsed, ...]
    provenance: Provenance
    limitations: tuple[str, ...]

    @property
    def failed(self) -> tuple[TestPage, ...]:
        """Tests that did not run to an end; they stand at the top of the paper."""
        return tuple(test for test in self.tests if test.status == "failed")
