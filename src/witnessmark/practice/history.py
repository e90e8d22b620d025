"""What has happened on one machine: its states and runs, and its running time at any minute.

This module knows neither why a machine stopped nor who was there.
"""

from bisect import bisect_left, bisect_right
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from witnessmark.practice.floor import Machine
from witnessmark.practice.shop import Row


@dataclass(frozen=True)
class DueCheck:
    """A check that an event asks for: when it is done, of what kind, by whom."""

    at: int
    kind: str
    person: str


@dataclass(eq=False)
class Run:
    """One part on one machine from set-up to set-up; several orders may follow each other.

    Args:
        machine: Where.
        part: What.
        start: First minute of production.
        setup: The set-up before it; None where the data begin with it.
        is_recorded: Whether the set-up's record is there.
        end: Minute at which it ended; None while it is open.
        end_kind: Why it ended.
        orders: Row of `runs` for each order in it.
        asked: Checks that events in it ask for, in any order.
        last_off: When its last-off is done; None where none is.
    """

    machine: Machine
    part: str
    start: int
    setup: Row | None = None
    end: int | None = None
    end_kind: str | None = None
    is_recorded: bool = True
    orders: list[Row] = field(default_factory=list)
    asked: list[DueCheck] = field(default_factory=list)
    last_off: DueCheck | None = None

    @property
    def id(self) -> str:
        """Id of its first order, which is the id of the merged run."""
        return str(self.orders[0]["run_id"])

    @property
    def record(self) -> Row | None:
        """The record of its set-up; None where there is none."""
        return self.setup if self.is_recorded else None

    def order_at(self, at: int) -> Row:
        """The order that runs at a minute; the nearest one outside."""
        started = [order for order in self.orders if order["start_at"] <= at]
        return started[-1] if started else self.orders[0]


@dataclass(eq=False)
class Check:
    """A check as it was made, before its rows are written.

    Args:
        id: Id of the check.
        run: The run it belongs to.
        at: When it was done.
        kind: As in `checks.kind`.
        person: Who did it.
        taken_at: When the pieces were taken.
        entered_at: When it was entered.
        result: pass or fail.
        bad: Values outside the limits, by line.
        left_out: Lines of the plan that it left out.
        sheet_day: The day whose limits its sheet shows; None: the day of the check.
        extract: The extract that its rows come from, where it is not the usual one.
    """

    id: str
    run: Run
    at: int
    kind: str
    person: str
    taken_at: int
    entered_at: int
    result: str = "pass"
    bad: dict[str, Decimal] = field(default_factory=dict)
    left_out: frozenset[str] = frozenset()
    sheet_day: date | None = None
    extract: str | None = None


class History:
    """States, runs and checks of a machine in order of time.

    Args:
        machine: The machine.
        end: End of the period.
    """

    def __init__(self, machine: Machine, end: int) -> None:
        self.machine = machine
        self.end = end
        self.states: list[Row] = []
        self.runs: list[Run] = []
        self.checks: list[Check] = []
        self._clock: tuple[list[int], list[int], list[int]] | None = None

    def add_state(self, start: int, end: int, state: str, reason: str | None) -> None:
        """Appends a state; empty ones are left out, equal neighbours are joined."""
        last = self.states[-1] if self.states else None
        if last and (last["state"], last["reason"], last["end_at"]) == (state, reason, start):
            last["end_at"] = end
        elif start < end:
            self.states.append(
                {
                    "machine_id": self.machine.id,
                    "start_at": start,
                    "end_at": end,
                    "state": state,
                    "reason": reason,
                    "reason_entered_at": None if state == "running" else min(start + 9, end),
                }
            )
        self._clock = None

    def insert_stop(self, start: int, end: int, reason: str) -> None:
        """Cuts a stop into the running state around it.

        Raises:
            LookupError: The machine does not run without a break from start to end.
        """
        around = next((s for s in self.states if s["start_at"] < start and end < s["end_at"]), None)
        if around is None or around["state"] != "running":
            raise LookupError((self.machine.id, start, end))
        place = self.states.index(around) + 1
        stop = {**around, "start_at": start, "end_at": end, "state": "stopped", "reason": reason}
        stop["reason_entered_at"] = end
        after = {**around, "start_at": end}
        around["end_at"] = start
        self.states[place:place] = [stop, after]
        self._clock = None

    def _spans(self) -> tuple[list[int], list[int], list[int]]:
        if self._clock is None:
            running = [s for s in self.states if s["state"] == "running"]
            before, total = [], 0
            for state in running:
                before.append(total)
                total += state["end_at"] - state["start_at"]
            starts = [s["start_at"] for s in running]
            self._clock = (starts, [s["end_at"] for s in running], before)
        return self._clock

    def running_at(self, at: int) -> int:
        """Minutes of running from the period's start up to a minute."""
        starts, ends, before = self._spans()
        found = bisect_right(starts, at) - 1
        return 0 if found < 0 else before[found] + min(at, ends[found]) - starts[found]

    def minute_of(self, running: int) -> int:
        """The minute at which a number of running minutes is reached."""
        starts, _, before = self._spans()
        found = max(0, bisect_left(before, running) - 1)
        return starts[found] + running - before[found]

    def is_running(self, start: int, end: int) -> bool:
        """Whether the machine runs without a break from start to end."""
        starts, ends, _ = self._spans()
        found = bisect_right(starts, start) - 1
        return found >= 0 and end <= ends[found]

    def state_at(self, at: int) -> Row | None:
        """The state in force at a minute."""
        found = bisect_right(self.states, at, key=lambda s: int(s["start_at"])) - 1
        return self.states[found] if found >= 0 and at < self.states[found]["end_at"] else None
