"""What a record test found: counts, bounds, strata, rows; plain values.

This module knows neither the engine nor any report.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from witnessmark.stats.proportion import Interval

Status = Literal["assessed", "nothing-to-test", "not-assessable", "failed"]
Row = Mapping[str, object]


@dataclass(frozen=True)
class Counts:
    """Units by result. Population = conforming + exceptions + not assessable.

    Args:
        conforming: Units in order.
        exceptions: Units that raise the test's question.
        not_assessable: Number of units by reason.
        not_applicable: Number of units by reason; outside population and rate.
        fragile_exceptions: Exceptions that might be none, were a clock wrong within tolerance.
        fragile_conforming: Conforming units that might be exceptions, likewise.
    """

    conforming: int = 0
    exceptions: int = 0
    not_assessable: Mapping[str, int] = field(default_factory=dict)
    not_applicable: Mapping[str, int] = field(default_factory=dict)
    fragile_exceptions: int = 0
    fragile_conforming: int = 0

    @property
    def assessed(self) -> int:
        """Units with a result."""
        return self.conforming + self.exceptions

    @property
    def population(self) -> int:
        """Units that the test is about."""
        return self.assessed + sum(self.not_assessable.values())


@dataclass(frozen=True)
class UsedCriterion:
    """A threshold that took part in a result.

    Args:
        name: Key of criteria.toml.
        value: In `unit`.
        unit: As printed.
        source: The plant's document, or where the default comes from.
        is_default: Whether the plant stated nothing.
    """

    name: str
    value: Decimal
    unit: str
    source: str
    is_default: bool


@dataclass(frozen=True)
class Sensitivity:
    """How many exceptions there would be, had a used default been its one other value."""

    criterion: str
    default: Decimal
    varied_to: Decimal
    unit: str
    exceptions: int
    exceptions_varied: int


@dataclass(frozen=True)
class Contrast:
    """Exceptions where somebody attended, held against those where nobody did.

    Args:
        attended_exceptions: Exceptions of units with attendance class attended.
        attended: Assessed units of that class.
        unattended_exceptions: Exceptions of covered, authorised and uncovered units together.
        unattended: Assessed units of those classes.
        p: Probability that chance alone parts the two shares so far (Fisher, exact; counts
            divided by the design effect).
        adjusted: The same, corrected for all tests of the run (false discovery rate, any
            dependence).
    """

    attended_exceptions: int
    attended: int
    unattended_exceptions: int
    unattended: int
    p: float
    adjusted: float


@dataclass(frozen=True)
class Outcome:
    """The result of one record test on one freeze.

    Args:
        slug: The test.
        status: `not-assessable` where something the whole test needs is absent; `failed` where
            the test itself broke.
        counts: Units by result.
        interval: Exact bounds on the rate, clustering by shift allowed for.
        design_effect: What clustering cost; 1 where it could not be seen.
        range_low: The rate if every not assessable unit were fine.
        range_high: The rate if every one were an exception.
        strata: Stratum name to value to counts.
        contrast: Attended against unattended, where both sides have assessed units.
        criteria: Thresholds used.
        sensitivity: Used defaults, varied once.
        rows: Exceptions, sorted by key, each with `ref`, `sentence` and what it shows; capped.
        rows_total: Exceptions in all.
        fragile_refs: Refs of fragile units, filled only where the run asked for them.
        missing: What would unlock the test, when it is not assessable as a whole.
        uses_absent: What the paper says of optional tables that are absent.
        message: Why it failed, or which step of the person basis it waits for.
        digest: Identifies what was run on what: the test's text, criteria and tables read.
    """

    slug: str
    status: Status
    counts: Counts = field(default_factory=Counts)
    interval: Interval | None = None
    design_effect: float = 1.0
    range_low: float | None = None
    range_high: float | None = None
    strata: Mapping[str, Mapping[str, Counts]] = field(default_factory=dict)
    contrast: Contrast | None = None
    criteria: tuple[UsedCriterion, ...] = ()
    sensitivity: tuple[Sensitivity, ...] = ()
    rows: tuple[Row, ...] = ()
    rows_total: int = 0
    fragile_refs: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    uses_absent: tuple[str, ...] = ()
    message: str = ""
    digest: str = ""
