"""One observation with its moment and the records to ask, and what they say to one answer.

This module judges nothing.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from witnessmark.audit.actions.compare_observation import Result
from witnessmark.audit.items import Observation
from witnessmark.audit.records_then import RecordsThen
from witnessmark.audit.state import AuditState

UNCLEAR = "What was seen is unclear."


@dataclass(frozen=True)
class Verdict:
    """What the records say to one answer."""

    field: str
    result: Result
    seen: str
    recorded: str
    rows: tuple[str, ...] = ()


@dataclass(frozen=True)
class Look:
    """An observation, the moment of it, and the records to ask."""

    state: AuditState
    observation: Observation
    records: RecordsThen
    at: datetime

    def text(self, name: str) -> str:
        """An answer as text; empty where there is none."""
        value = self.observation.values.get(name)
        return str(value).strip() if value is not None else ""

    @property
    def grid(self) -> dict[str, str]:
        """Machine to word."""
        grid = self.observation.values.get("grid")
        return {str(k): str(v) for k, v in grid.items()} if isinstance(grid, Mapping) else {}

    def outside(self) -> str:
        """Why the records do not reach this moment; empty where they do."""
        period = self.records.period
        if period is None:
            return "The records are empty."
        if period[0] <= self.at < period[1]:
            return ""
        low, high = (self.records.local(at) for at in period)
        return f"The records reach from {low} to {high}."

    def machine(self, machine: str, *tables: str) -> int | str:
        """The machine's number, or why nothing can be said."""
        if reason := self.outside():
            return reason
        if not self.records.has(*tables):
            return f"The records hold no {' or '.join(tables)}."
        found = self.records.machine_ix(machine)
        return f"The records do not know machine {machine}." if found is None else found

    def around(self, delta: timedelta) -> tuple[datetime, datetime]:
        """The moment, as much earlier and later as the clocks may stand apart."""
        return self.at - delta, self.at + delta
