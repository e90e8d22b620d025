"""Cuts a practice plant down to some weeks, as an extract pulled at their end would hold it.

What had not happened by then is not in it: later rows are left out, later dates are empty, and
what was still going on has no end yet. This module knows no story.
"""

from collections.abc import Mapping
from datetime import UTC, date, datetime, time, timedelta

from witnessmark.practice.plant import PracticePlant
from witnessmark.practice.shift_calendar import ZONE

Row = dict[str, object]

STARTS = {
    "actions": "opened_at",
    "allocations": "start_at",
    "attendances": "in_at",
    "board_meetings": "held_at",
    "board_statuses": "production_date",
    "checks": "done_at",
    "concerns": "raised_at",
    "demand_lines": "due_original",
    "handover_items": "change_at",
    "handovers": "change_at",
    "holds": "placed_at",
    "lot_links": "linked_at",
    "lots": "opened_at",
    "machine_states": "start_at",
    "material_uses": "start_at",
    "outputs": "production_date",
    "overtime_entries": "worked_on",
    "piece_counts": "counted_at",
    "planned_breaks": "start_at",
    "process_events": "happened_at",
    "runs": "start_at",
    "schedule_lines": "start_at",
    "scrap_entries": "booked_at",
    "setups": "start_at",
    "shift_instances": "start_at",
    "shipment_lines": "shipped_at",
    "stoppages": "start_at",
}
"""By which column a row belongs to a time; tables not named are kept whole."""
STAYS = {"calibrations": "done_on"}
"""Rows that matter long after their day: all until the end are kept."""
MUST_END = {"machine_states", "stoppages", "allocations", "shift_instances", "planned_breaks"}
"""Rows that have an end even while they last: the moment of the extract."""
ENDS = ("end_at",)
FORECASTS = {"due_on", "due_original", "due_confirmed", "valid_from", "valid_to", "next_due"}
"""Dates that are known before they come."""


def clipped(plant: PracticePlant, first: date, last: date) -> PracticePlant:
    """The plant's tables as an extract of these days holds them.

    Args:
        plant: The whole plant; its answer key is kept, though not all of it can be found here.
        first: First day.
        last: Last day; the extract is pulled when it ends.
    """
    start, end = _midnight(first), _midnight(last + timedelta(days=1))
    tables = {
        name: [_as_then(name, row, end) for row in rows if _is_in(name, row, start, end)]
        for name, rows in plant.tables.items()
    }
    kept = {row["check_id"] for row in tables["checks"]}
    tables["measurements"] = [row for row in tables["measurements"] if row["check_id"] in kept]
    for row in tables["extracts"]:
        row |= {"pulled_at": end, "period_from": first, "period_to": last}
    return PracticePlant(tables, plant.key)


def _midnight(day: date) -> datetime:
    return datetime.combine(day, time(), ZONE).astimezone(UTC)


def _is_in(name: str, row: Mapping[str, object], start: datetime, end: datetime) -> bool:
    when = row.get(STARTS.get(name, ""))
    if isinstance(when, datetime):
        until = row.get("end_at")
        reaches = isinstance(until, datetime) and until > start
        return start <= when < end or (when < start and reaches)
    if isinstance(when, date):
        return start <= _midnight(when) < end
    done = row.get(STAYS.get(name, ""))
    return not isinstance(done, date) or _midnight(done) < end


def _as_then(name: str, row: Mapping[str, object], end: datetime) -> Row:
    """A row as it stood at the end: what comes later is empty."""
    return {column: _known(name, column, value, end) for column, value in row.items()}


def _known(name: str, column: str, value: object, end: datetime) -> object:
    if column in FORECASTS or name == "schedule_lines":
        return value
    if isinstance(value, datetime) and value > end:
        return end if name in MUST_END and column in ENDS else None
    if isinstance(value, date) and not isinstance(value, datetime) and _midnight(value) > end:
        return None
    return value
