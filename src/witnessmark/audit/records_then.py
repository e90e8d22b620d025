"""What frozen records say of a moment: small questions to the timeline, answered as plain values.

Knows no observation and judges nothing. Instants come and go aware, in UTC.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from typing import Any

from witnessmark.timeline.build import Timeline

PAPER_S, SYSTEMS_S = 900, 300
"""Tolerance between the notebook's clock and a record on paper, and one of any system; the same
numbers as between two systems of the plant (TIMELINE: common practice, no source)."""


@dataclass(frozen=True)
class Span:
    """A stretch of one word in the records, with what decided it."""

    word: str
    from_at: datetime
    to_at: datetime
    why: str = ""


@dataclass(frozen=True)
class Count:
    """The running clock's pieces at an instant (None: not counted there), and what is not known."""

    pieces: Fraction | None
    uncounted_steps: int
    unknown_s: int


@dataclass(frozen=True)
class CheckThen:
    """A check in the records."""

    check_id: str
    done_at: datetime
    entered_at: datetime | None
    result: str


@dataclass(frozen=True)
class Colour:
    """A colour of a board in the records; versions in their order."""

    ref: str
    colour: str
    declared_at: datetime | None


@dataclass(frozen=True)
class Hold:
    """A lot put on hold."""

    hold_id: str
    lot_no: str
    placed_at: datetime
    disposed_at: datetime | None


class RecordsThen:
    """Asks one freeze of what was then.

    Args:
        timeline: The derived tables of the freeze.
        freeze: Its identity, as the audit names it.
    """

    def __init__(self, timeline: Timeline, freeze: str) -> None:
        self.timeline = timeline
        self.freeze = freeze
        self._tolerances: dict[tuple[str, ...], timedelta] = {}

    def has(self, *tables: str) -> bool:
        """Whether any of these tables was given."""
        return any(self.timeline.store.has(table) for table in tables)

    @property
    def period(self) -> tuple[datetime, datetime] | None:
        """From when to when the records reach; None where they are empty."""
        ((start, end),) = self.rows("select starts_at, ends_at from period")
        return None if start is None or end is None else (aware(start), aware(end))

    def tolerance(self, *tables: str) -> timedelta:
        """How far the clocks behind these tables may stand from the notebook's."""
        if tables not in self._tolerances:
            self._tolerances[tables] = timedelta(
                seconds=max([SYSTEMS_S, *(self._table_tolerance(t) for t in tables)])
            )
        return self._tolerances[tables]

    def machine_ix(self, machine: str) -> int | None:
        """The machine's number; None where no record names it."""
        self.timeline.require({"known_machines"})
        found = self.rows(
            "select machine_ix from known_machines where machine_id = $machine", machine=machine
        )
        return int(found[0][0]) if found else None

    def states(self, machine_ix: int, low: datetime, high: datetime) -> list[Span]:
        """Running, stopped or unknown, in every stretch that touches the time from low to high."""
        return self._spans("running_states", "state", "''", machine_ix, low, high)

    def attendance(self, machine_ix: int, low: datetime, high: datetime) -> list[Span]:
        """Attendance classes, likewise, with the step that decided each."""
        return self._spans("attendance_spans", "class", "deciding_step", machine_ix, low, high)

    def parts(self, machine_ix: int, low: datetime, high: datetime) -> list[Span]:
        """Parts that ran, likewise, with the run."""
        self.timeline.require({"merged_runs"})
        return self._between(
            "select part_no, start_at, end_at, run_id from merged_runs "
            "where machine_ix = $machine and start_at <= $high and end_at >= $low "
            "order by start_at, run_id",
            machine_ix,
            low,
            high,
        )

    def setups(self, machine: str, low: datetime, high: datetime) -> list[Span]:
        """Set-ups, likewise; one without an end counts until its release, else for its start."""
        return self._between(
            "select setup_id, start_at, coalesce(end_at, released_at, start_at), setup_id "
            "from setups where machine_id = $machine and start_at <= $high "
            "and coalesce(end_at, released_at, start_at) >= $low order by start_at, setup_id",
            machine,
            low,
            high,
        )

    def pieces(self, machine_ix: int, at: datetime) -> Count | None:
        """Pieces counted up to an instant; None where the machine has no clock."""
        self.timeline.require({"clock_steps"})
        found = self.rows(
            "select pieces, step_pieces, step_s, uncounted_steps, unknown_s, unknown_rate, from_at "
            "from clock_steps where machine_ix = $machine and from_at <= $at "
            "order by from_at desc limit 1",
            machine=machine_ix,
            at=naive(at),
        )
        if not found:
            return None
        pieces, step_pieces, step_s, uncounted, unknown_s, unknown_rate, since = found[0]
        ahead = int((naive(at) - since).total_seconds())
        counted = None
        if pieces is not None:
            counted = pieces + Fraction(int(step_pieces or 0) * ahead, int(step_s))
        return Count(counted, int(uncounted), int(unknown_s + unknown_rate * ahead))

    def checks(
        self, machine: str, low: datetime, high: datetime, line: str = ""
    ) -> list[CheckThen]:
        """Completed checks done from low to high; of one line where measurements name lines."""
        of_line = ""
        if line and self.has("measurements"):
            of_line = (
                "and exists (select 1 from measurements as m "
                "where m.check_id = checks.check_id and m.line = $line) "
            )
        values: dict[str, Any] = {"machine": machine, "low": naive(low), "high": naive(high)}
        if of_line:
            values["line"] = line
        found = self.rows(
            "select check_id, done_at, entered_at, result from checks "
            "where machine_id = $machine and done_at between $low and $high "
            f"and result <> 'incomplete' {of_line}order by done_at, check_id",
            **values,
        )
        return [CheckThen(id_, aware(d), e and aware(e), r) for id_, d, e, r in found]

    def colours(self, area: str, letter: str, day: date) -> list[Colour]:
        """The colours of a board's field for a whole day, the first version first."""
        found = self.rows(
            "select version, colour, declared_at from board_statuses "
            "where area = $area and letter = $letter and production_date = $day and shift is null "
            "order by declared_at nulls last, version nulls first",
            area=area,
            letter=letter,
            day=day,
        )
        return [
            Colour(
                "/".join(str(p) for p in (area, letter, day, v) if p is not None),
                c,
                d and aware(d),
            )
            for v, c, d in found
        ]

    def holds(self) -> list[Hold]:
        """All holds of lots, by the time at which they were placed."""
        found = self.rows(
            "select hold_id, lot_no, placed_at, disposed_at from holds where lot_no is not null "
            "order by placed_at, hold_id"
        )
        return [Hold(id_, lot, aware(p), d and aware(d)) for id_, lot, p, d in found]

    def local(self, at: datetime) -> str:
        """An instant as the plant's clock on the wall shows it."""
        return f"{at.astimezone(self.timeline.store.zone):%Y-%m-%d %H:%M}"

    def _spans(
        self, table: str, word: str, why: str, machine_ix: int, low: datetime, high: datetime
    ) -> list[Span]:
        self.timeline.require({table})
        return self._between(
            f"select {word}, from_at, to_at, {why} from {table} "
            "where machine_ix = $machine and from_at <= $high and to_at >= $low order by from_at",
            machine_ix,
            low,
            high,
        )

    def _between(self, query: str, machine: int | str, low: datetime, high: datetime) -> list[Span]:
        found = self.rows(query, machine=machine, low=naive(low), high=naive(high))
        return [Span(str(w), aware(f), aware(t), str(y or "")) for w, f, t, y in found]

    def _table_tolerance(self, table: str) -> int:
        ((found,),) = self.rows(
            f"select max(case when clock.system = 'paper' then {PAPER_S} "
            f"else {SYSTEMS_S} + coalesce(clock.residual_s, 0) end) from {table}"
        )
        return int(found or SYSTEMS_S)

    def rows(self, query: str, **values: Any) -> Sequence[tuple[Any, ...]]:
        """What a query gives; its values by name."""
        return self.timeline.store.con.execute(query, values).fetchall()


def naive(at: datetime) -> datetime:
    """An aware instant as the records store it: UTC without saying so."""
    return at.astimezone(UTC).replace(tzinfo=None)


def aware(at: datetime) -> datetime:
    """An instant of the records, aware."""
    return at.replace(tzinfo=UTC)
