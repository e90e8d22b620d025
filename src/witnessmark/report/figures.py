"""What each picture says, as plain values: no colour, no pixel, no query.

Instants are aware; a picture shows them in the zone its figure names, so that a day of 23 or 25
hours is drawn as long as it was.
"""

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Literal

MachineState = Literal["running", "stopped", "setup", "unknown"]
Attendance = Literal["attended", "covered", "authorised", "uncovered", "mixed", "not-assessable"]
LotState = Literal["held", "partly-held", "not-held", "shipped"]
MarkKind = Literal[
    "due",
    "made",
    "late",
    "failed",
    "first-off",
    "last-off",
    "challenge",
    "release",
    "restart",
    "material-change",
]
Colour = Literal["green", "amber", "red", "none"]
BoardAction = Literal["opened", "linked", "reasoned", "none", "unknown"]


@dataclass(frozen=True)
class Stretch:
    """A stretch of time in which one thing held; `kind` is a state or an attendance class."""

    from_at: datetime
    to_at: datetime
    kind: str


@dataclass(frozen=True)
class ShiftLine:
    """A shift of the day, with its planned breaks."""

    name: str
    start_at: datetime
    end_at: datetime
    breaks: tuple[tuple[datetime, datetime], ...] = ()


@dataclass(frozen=True)
class Mark:
    """Something recorded or due at an instant.

    Args:
        kind: What it is.
        at: When it happened, or when it was due for kind `due`.
        due_at: For a late one, when it was due.
        entered_later: It was typed later than the plant's limit for entries.
        says: What a reader sees when pointing at it.
    """

    kind: MarkKind
    at: datetime
    due_at: datetime | None = None
    entered_later: bool = False
    says: str = ""


@dataclass(frozen=True)
class SuspectSpan:
    """A window in which product is suspect."""

    from_at: datetime
    to_at: datetime
    label: str


@dataclass(frozen=True)
class Bin:
    """A lot or bin that was open on the machine for a while; state None is outside any window."""

    lot_no: str
    from_at: datetime
    to_at: datetime
    qty: int
    state: LotState | None


@dataclass(frozen=True)
class RibbonDay:
    """One machine, one production day."""

    machine: str
    day: date
    zone: str
    start_at: datetime
    end_at: datetime
    caption: str
    shifts: tuple[ShiftLine, ...] = ()
    states: tuple[Stretch, ...] = ()
    attendance: tuple[Stretch, ...] = ()
    marks: tuple[Mark, ...] = ()
    windows: tuple[SuspectSpan, ...] = ()
    bins: tuple[Bin, ...] = ()


@dataclass(frozen=True)
class StripDay:
    """One day of one letter: what was declared, what the plant's own rule gives, what followed."""

    day: date
    declared: Colour | None
    recomputed: Colour | None
    action: BoardAction = "unknown"
    off: bool = False

    @property
    def disagrees(self) -> bool:
        """Both colours are known and differ."""
        return (
            self.declared not in (None, "none")
            and self.recomputed not in (None, "none")
            and self.declared != self.recomputed
        )


@dataclass(frozen=True)
class StatusStrip:
    """Declared over recomputed over action, for one letter of one area."""

    area: str
    letter: str
    rule: str
    days: tuple[StripDay, ...]
    caption: str


@dataclass(frozen=True)
class Interval:
    """Gaps between checks of equal running seconds, limit and result; `units` says how many."""

    running_s: int
    limit_s: int
    exception: bool
    units: int = 1


@dataclass(frozen=True)
class IntervalGroup:
    """The gaps of one attendance class, those with a known answer."""

    attendance: str
    intervals: tuple[Interval, ...]

    @property
    def assessed(self) -> int:
        """How many there are."""
        return sum(interval.units for interval in self.intervals)

    @property
    def exceptions(self) -> int:
        """How many are beyond their limit."""
        return sum(interval.units for interval in self.intervals if interval.exception)


@dataclass(frozen=True)
class IntervalPlot:
    """Running time between checks, split by attendance class."""

    groups: tuple[IntervalGroup, ...]
    caption: str


@dataclass(frozen=True)
class TraceNode:
    """A window, bin, following lot or shipment; `column` counts links from the window."""

    key: str
    column: int
    kind: Literal["window", "bin", "lot", "shipment"]
    label: str
    detail: str
    state: LotState | None = None
    by_tolerance: bool = False


@dataclass(frozen=True)
class TraceTree:
    """Where the product of one suspect window went."""

    nodes: tuple[TraceNode, ...]
    links: tuple[tuple[str, str], ...]
    caption: str
    left_out: int = 0


@dataclass(frozen=True)
class ForestRow:
    """One rate with its exact bounds; a stratum stands indented under its test."""

    label: str
    exceptions: int
    assessed: int
    rate: float | None
    lower: float | None
    upper: float | None
    stratum: bool = False


@dataclass(frozen=True)
class ForestPlot:
    """Rates of exceptions by test and stratum."""

    rows: tuple[ForestRow, ...]
    caption: str = field(default="")
