"""The day ribbon of a machine, read from the timeline: bands, shifts, windows, bins.

The marks on it stand in `marks`. Everything shown was derived before; only what is due and late is
placed on the axis here, by reading the running clock backwards.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import cast
from zoneinfo import ZoneInfo

from witnessmark.report.figures import (
    Bin,
    LotState,
    RibbonDay,
    ShiftLine,
    Stretch,
    SuspectSpan,
)
from witnessmark.report.gather.marks import marks_of
from witnessmark.report.gather.reader import Found, Reader, instant, whole
from witnessmark.report.words import clock, plural

WHAT = "A day ribbon"
WORST: tuple[LotState, ...] = ("shipped", "not-held", "partly-held", "held")

DAY = """
select shift_spans.production_date, min(shift_spans.start_at) as start_at
from shift_spans
inner join known_machines using (area)
where known_machines.machine_id = $machine_id
group by shift_spans.production_date
having min(shift_spans.start_at) <= $at
order by start_at desc
limit 1
"""
SHIFTS = """
select shift_spans.shift, shift_spans.start_at, shift_spans.end_at, shift_spans.breaks
from shift_spans
inner join known_machines using (area)
where
    known_machines.machine_id = $machine_id
    and shift_spans.start_at < $to_at and shift_spans.end_at > $from_at
order by shift_spans.start_at, shift_spans.shift
"""
STATES = """
select running_states.from_at, running_states.to_at, running_states.state as kind
from running_states
inner join known_machines using (machine_ix)
where
    known_machines.machine_id = $machine_id
    and running_states.from_at < $to_at and running_states.to_at > $from_at
order by running_states.from_at
"""
SETUPS = """
select start_at as from_at, end_at as to_at, 'setup' as kind
from setups
where machine_id = $machine_id and start_at < $to_at and end_at > $from_at
union
select start_at, end_at, 'setup'
from machine_states
where machine_id = $machine_id and state = 'setup' and start_at < $to_at and end_at > $from_at
order by from_at, to_at
"""
ATTENDANCE = """
select attendance_spans.from_at, attendance_spans.to_at, attendance_spans.class as kind
from attendance_spans
inner join known_machines using (machine_ix)
where
    known_machines.machine_id = $machine_id
    and attendance_spans.from_at < $to_at and attendance_spans.to_at > $from_at
order by attendance_spans.from_at
"""
WINDOWS = """
select from_at, end_at as to_at, max(pieces) as pieces
from suspect_windows
where machine_id = $machine_id and from_at < $to_at and end_at > $from_at
group by from_at, end_at
order by from_at, end_at
"""
BINS = """
select
    lots.lot_no,
    lots.opened_at as from_at,
    coalesce(lots.closed_at, $to_at) as to_at,
    lots.qty,
    list(distinct suspect.state) filter (where suspect.state is not null) as states
from lots
left join (
    select suspect_lots.lot_no, suspect_lots.state
    from suspect_lots
    inner join suspect_windows using (window_ix)
    where
        suspect_windows.machine_id = $machine_id
        and suspect_windows.from_at < $to_at and suspect_windows.end_at > $from_at
) as suspect on lots.lot_no = suspect.lot_no
where
    lots.machine_id = $machine_id
    and lots.opened_at < $to_at and coalesce(lots.closed_at, $to_at) > $from_at
group by lots.lot_no, lots.opened_at, lots.closed_at, lots.qty
order by from_at, lots.lot_no
limit 60
"""


@dataclass(frozen=True)
class DaySpan:
    """A production day of one machine, as long as it really was."""

    machine: str
    day: date
    start_at: datetime
    end_at: datetime

    def given(self) -> dict[str, object]:
        """The day as parameters of a query."""
        return {"machine_id": self.machine, "from_at": self.start_at, "to_at": self.end_at}


def ribbon_of(
    reader: Reader, machine: str, at: datetime, day_begins: str, caption: str
) -> RibbonDay:
    """The ribbon of the production day in which an instant lies.

    Args:
        reader: Reads the timeline.
        machine: The machine.
        at: The instant that the day must hold.
        day_begins: Local time at which a day begins where no shift calendar says it.
        caption: The one sentence under it.
    """
    span = day_of(reader, machine, at, day_begins)
    given = span.given()
    states = [_stretch(row, span) for row in reader.rows(WHAT, STATES, given)]
    setups = [_stretch(row, span) for row in reader.rows(WHAT, SETUPS, given)]
    return RibbonDay(
        machine=machine,
        day=span.day,
        zone=reader.zone,
        start_at=span.start_at,
        end_at=span.end_at,
        caption=caption,
        shifts=tuple(_shift(row, span) for row in reader.rows(WHAT, SHIFTS, given)),
        states=(*states, *_over_standstill(states, setups)),
        attendance=tuple(_stretch(row, span) for row in reader.rows(WHAT, ATTENDANCE, given)),
        marks=marks_of(reader, machine, span.start_at, span.end_at),
        windows=tuple(_window(row, reader.zone) for row in reader.rows(WHAT, WINDOWS, given)),
        bins=tuple(_bin(row, span) for row in reader.rows(WHAT, BINS, given)),
    )


def day_of(reader: Reader, machine: str, at: datetime, day_begins: str) -> DaySpan:
    """The production day of a machine that holds an instant: 23, 24 or 25 hours."""
    zone = ZoneInfo(reader.zone)
    found = reader.one(WHAT, DAY, {"machine_id": machine, "at": at})
    if found is not None and _next_day(start := instant(found["start_at"]), zone) > at:
        return DaySpan(
            machine, cast("date", found["production_date"]), start, _next_day(start, zone)
        )
    begins = time.fromisoformat(day_begins)
    local = at.astimezone(zone)
    day = local.date() if local.time() >= begins else local.date() - timedelta(days=1)
    start = datetime.combine(day, begins, tzinfo=zone).astimezone(UTC)
    return DaySpan(machine, day, start, _next_day(start, zone))


def _next_day(start: datetime, zone: ZoneInfo) -> datetime:
    """The same wall-clock time a day later, which is not always 24 hours away."""
    local = start.astimezone(zone).replace(tzinfo=None) + timedelta(days=1)
    return local.replace(tzinfo=zone).astimezone(UTC)


def _stretch(row: Found, span: DaySpan) -> Stretch:
    start = max(instant(row["from_at"]), span.start_at)
    return Stretch(start, min(instant(row["to_at"]), span.end_at), str(row["kind"]))


def _over_standstill(states: list[Stretch], setups: list[Stretch]) -> list[Stretch]:
    """Set-up is shown where the machine did not run; pieces counted in a set-up stay running."""
    return [
        Stretch(max(one.from_at, state.from_at), min(one.to_at, state.to_at), one.kind)
        for one in setups
        for state in states
        if state.kind != "running" and one.from_at < state.to_at and one.to_at > state.from_at
    ]


def _shift(row: Found, span: DaySpan) -> ShiftLine:
    breaks = cast("list[Mapping[str, object]]", row["breaks"] or [])
    return ShiftLine(
        str(row["shift"]),
        max(instant(row["start_at"]), span.start_at),
        min(instant(row["end_at"]), span.end_at),
        tuple((instant(one["start_at"]), instant(one["end_at"])) for one in breaks),
    )


def _window(row: Found, zone: str) -> SuspectSpan:
    start, end = instant(row["from_at"]), instant(row["to_at"])
    label = f"suspect {clock(start, zone)} \u2013 {clock(end, zone)}"
    if row["pieces"] is not None:
        label += f", {plural(whole(row['pieces']), 'piece')}"
    return SuspectSpan(start, end, label)


def _bin(row: Found, span: DaySpan) -> Bin:
    states = cast("list[LotState]", row["states"] or [])
    worst = next((state for state in WORST if state in states), None)
    start = max(instant(row["from_at"]), span.start_at)
    end = min(instant(row["to_at"]), span.end_at)
    return Bin(str(row["lot_no"]), start, end, whole(row["qty"]), worst)
