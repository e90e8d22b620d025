"""What the last looks at each machine showed, newest first: what a card prefers to any record.

Reads structured observations only; sealed notes stay sealed. This module asks no records.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from witnessmark.audit.event import moment_of
from witnessmark.audit.items import Observation
from witnessmark.audit.state import AuditState

WITHIN = timedelta(hours=12)
"""What was seen longer ago is no longer today's; common practice, no source."""
MINUTE = timedelta(minutes=1)


@dataclass(frozen=True)
class Sight:
    """One thing seen at a machine.

    Args:
        machine: The machine; empty for an area.
        aspect: `state`, `presence`, `check`, `pieces` or `lots`.
        word: What was seen.
        at: When.
        observation: Id.
    """

    machine: str
    aspect: str
    word: str
    at: datetime
    observation: str


def latest_sights(state: AuditState, now: datetime) -> dict[tuple[str, str], Sight]:
    """The newest sight of each machine and aspect within the last twelve hours."""
    zone = ZoneInfo(state.opening.zone)
    found: dict[tuple[str, str], Sight] = {}
    for item in state.observations.values():
        if not item.seen_at:
            continue
        at = moment_of(item.seen_at)
        if not now - WITHIN <= at <= now:
            continue
        for machine, aspect, word in _sights(item, zone):
            known = found.get((machine, aspect))
            if known is None or (known.at, known.observation) < (at, item.id):
                found[machine, aspect] = Sight(machine, aspect, word, at, item.id)
    return found


def age_min(now: datetime, at: datetime) -> int:
    """Whole minutes since an instant."""
    return (now - at) // MINUTE


def said_age(minutes: int) -> str:
    """An age in words a person would use: minutes, hours, days."""
    if minutes < 0:
        return f"in {said_age(-minutes).removesuffix(' ago')}"
    hours, rest = divmod(minutes, 60)
    days, hours_left = divmod(hours, 24)
    if days:
        return f"{days} d {hours_left} h ago"
    return f"{hours} h {rest} min ago" if hours else f"{rest} min ago"


def _sights(item: Observation, zone: ZoneInfo) -> list[tuple[str, str, str]]:
    values = item.values
    grid = values.get("grid")
    if isinstance(grid, Mapping):
        aspect = "presence" if item.form == "staffing" else "state"
        return [(str(machine), aspect, str(word)) for machine, word in grid.items()]
    found = []
    for name, aspect in (("state", "state"), ("presence", "presence"), ("pieces", "pieces")):
        if values.get(name) not in (None, ""):
            found.append((item.machine, aspect, str(values[name])))
    if values.get("checked_at"):
        result = f", {values['result']}" if values.get("result") else ""
        line = f" of {values['line']}" if values.get("line") else ""
        local = moment_of(str(values["checked_at"])).astimezone(zone)
        found.append((item.machine, "check", f"{local:%Y-%m-%d %H:%M}{line}{result}"))
    lots = values.get("lots")
    if isinstance(lots, list | tuple):
        found.append((item.machine or item.place, "lots", ", ".join(str(lot) for lot in lots)))
    return found
