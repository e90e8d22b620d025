"""How many minutes of an hour the machines of one person ask for, against the minutes there are.

Averages only: what chance does to them (machines that stop together) is in `interference`.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.result import counted, percent

Kind = Literal["stop", "change-over", "patrol", "bin", "walking"]
ROUNDING = 1e-9
CONSEQUENCE = (
    "A machine that has stopped and waits costs output and no quality; a patrol check that is "
    "missed leaves a running machine unchecked and costs quality."
)


@dataclass(frozen=True)
class Task:
    """Work that one machine asks for again and again.

    Args:
        kind: stop, change-over (material, tool), patrol, bin or walking.
        per_hour: How often in an hour; for walking 1, where `minutes` are those of an hour.
        minutes: How long the person is bound each time, as timed on the floor.
    """

    kind: Kind
    per_hour: float
    minutes: float

    @property
    def minutes_per_hour(self) -> float:
        """Minutes of work in an hour."""
        return self.per_hour * self.minutes


@dataclass(frozen=True)
class TendedMachine:
    """A machine that one person looks after, as its own or watched for somebody else."""

    name: str
    tasks: tuple[Task, ...]
    watched: bool = False

    @property
    def minutes_per_hour(self) -> float:
        """Minutes of work in an hour, all tasks together."""
        return sum(task.minutes_per_hour for task in self.tasks)


@dataclass(frozen=True)
class TendingLoad:
    """The load of one person.

    Args:
        load: Minutes asked for / minutes available.
        minutes_per_hour: Minutes asked for in an hour.
        available: Minutes available in an hour.
        limit: Largest share of the available minutes that is accepted.
        by_machine: Name of the machine and its minutes in an hour.
        by_kind: Kind of task and its minutes in an hour.
        watched: Names of the machines watched for somebody else.
        assumptions: What must hold.
    """

    load: float
    minutes_per_hour: float
    available: float
    limit: float
    by_machine: tuple[tuple[str, float], ...]
    by_kind: tuple[tuple[Kind, float], ...]
    watched: tuple[str, ...]
    assumptions: tuple[str, ...]
    method: str = "sum of frequency x time over the tasks, against the minutes available"

    @property
    def within_limit(self) -> bool:
        """Whether the load is at most the limit."""
        return self.load <= self.limit + ROUNDING

    @property
    def sentence(self) -> str:
        """The load in words."""
        watched = f", {len(self.watched)} of them watched for others," if self.watched else ""
        patrols = dict(self.by_kind).get("patrol", 0.0)
        verdict = "within" if self.within_limit else "above"
        return (
            f"{counted(len(self.by_machine), 'machine')}{watched} ask for "
            f"{self.minutes_per_hour:.1f} min of work an hour, {patrols:.1f} min of it patrol "
            f"checks; with {self.available:.1f} min available that is a load of "
            f"{percent(self.load)}, {verdict} the limit of {percent(self.limit)}. The load is an "
            f"average and says nothing of machines that stop together. {CONSEQUENCE}"
        )


@dataclass(frozen=True)
class MostTended:
    """How many machines of one kind one person can tend within a limit.

    Args:
        machines: The largest number of machines; 0 where even one is too many.
        load: Load with that number.
        load_with_one_more: Load with one machine more.
        limit: Largest share of the available minutes that is accepted.
        assumptions: What must hold.
    """

    machines: int
    load: float
    load_with_one_more: float
    limit: float
    assumptions: tuple[str, ...]
    method: str = "largest number whose summed minutes stay within the limit"

    @property
    def sentence(self) -> str:
        """The number in words."""
        return (
            f"Within a load of {percent(self.limit)} one person can tend "
            f"{counted(self.machines, 'such machine')} ({percent(self.load)}); one more would "
            f"make {percent(self.load_with_one_more)}. This is an average and says nothing of "
            f"machines that stop together. {CONSEQUENCE}"
        )


def available_minutes(shift_minutes: float, break_minutes: float) -> float:
    """Gives the minutes of an hour in which a person is there, less the breaks.

    Args:
        shift_minutes: Length of the shift.
        break_minutes: Breaks in it that nobody relieves.

    Returns:
        Minutes per hour. No break gives 60.

    Raises:
        UnfitNumbersError: A length is missing or negative, or the breaks fill the shift.

    Shapes:
        Single numbers.

    Units:
        Minutes.

    Source:
        Arithmetic; common practice, no source.

    Examples:
        >>> available_minutes(480, 56)
        53.0
    """
    require.above("shift_minutes", shift_minutes)
    if not 0 <= break_minutes < shift_minutes:
        raise UnfitNumbersError(
            f"break_minutes = {break_minutes}", f"0 or more and below the shift ({shift_minutes:g})"
        )
    return 60 * (shift_minutes - break_minutes) / shift_minutes


def tending_load(
    machines: Sequence[TendedMachine], available: float, limit: float = 0.80
) -> TendingLoad:
    """Answers what share of the available minutes the machines of one person ask for.

    load = sum over machines and tasks (times per hour x minutes) / available minutes per hour.

    Args:
        machines: All machines the person owns or watches at that time. A machine that asks for
            nothing is refused: a watched machine stops and is due for checks like any other. One
            that stands is left out by the caller.
        available: Minutes available in an hour, breaks taken off (`available_minutes`).
        limit: Largest share accepted; 0.70 to 0.80 is common practice, no source.

    Returns:
        The load, by machine and by kind of task. No machine gives a load of 0.

    Raises:
        UnfitNumbersError: A frequency or time is missing or negative, a machine has no work, a
            name stands twice, or a limit is not fit.

    Shapes:
        machines: (n_machines,), each with its own tasks.

    Units:
        Minutes per hour in, share out (1 = every available minute; may exceed 1).

    Assumes:
        Times are measured on the floor, not standard times; frequencies are those of this
        product mix; no helper is present. Kinds of task that are not stated count nothing, which
        the result says by name.

    Source:
        Common practice, no source.

    Examples:
        >>> lathe = (Task("stop", 1.5, 4), Task("change-over", 1 / 6, 15), Task("patrol", 0.5, 6),
        ...          Task("bin", 1, 2), Task("walking", 1, 1.5))
        >>> row = [TendedMachine(name, lathe) for name in ("L1", "L2")]
        >>> found = tending_load([*row, TendedMachine("L3", lathe, watched=True)], available=53)
        >>> round(found.minutes_per_hour, 1), round(found.load, 2), found.within_limit
        (45.0, 0.85, False)
    """
    require.above("available", available)
    require.above("limit", limit)
    _require_work(machines)
    kinds: dict[Kind, float] = {}
    for machine in machines:
        for task in machine.tasks:
            kinds[task.kind] = kinds.get(task.kind, 0.0) + task.minutes_per_hour
    total = math.fsum(machine.minutes_per_hour for machine in machines)
    return TendingLoad(
        load=total / available,
        minutes_per_hour=total,
        available=available,
        limit=limit,
        by_machine=tuple((machine.name, machine.minutes_per_hour) for machine in machines),
        by_kind=tuple(kinds.items()),
        watched=tuple(machine.name for machine in machines if machine.watched),
        assumptions=(*_assumptions(available, limit), *_not_stated(machines)),
    )


def most_tended(machine: TendedMachine, available: float, limit: float = 0.80) -> MostTended:
    """Answers how many machines like this one a person can tend within the limit.

    Args:
        machine: One machine with its tasks.
        available: Minutes available in an hour.
        limit: Largest share accepted; common practice, no source.

    Returns:
        The largest number, its load, and the load with one more. 0 machines where one is too many.

    Raises:
        UnfitNumbersError: As `tending_load`.

    Shapes:
        One machine.

    Units:
        Minutes per hour in; a number of machines and shares out.

    Assumes:
        As `tending_load`; all machines alike, and walking per machine does not grow with them.

    Source:
        Common practice, no source.

    Examples:
        >>> most_tended(TendedMachine("L1", (Task("stop", 3, 5),)), available=53).machines
        2
    """
    one = tending_load([machine], available, limit)
    machines = math.floor(limit / one.load + ROUNDING)
    return MostTended(
        machines=machines,
        load=machines * one.load,
        load_with_one_more=(machines + 1) * one.load,
        limit=limit,
        assumptions=(*one.assumptions, "All machines ask for the same work."),
    )


def _require_work(machines: Sequence[TendedMachine]) -> None:
    names = [machine.name for machine in machines]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise UnfitNumbersError(f"machines named twice: {', '.join(twice)}", "each machine once")
    for machine in machines:
        for task in machine.tasks:
            for name, value in (("per_hour", task.per_hour), ("minutes", task.minutes)):
                if not (math.isfinite(value) and value >= 0):
                    raise UnfitNumbersError(
                        f"{machine.name}, {task.kind}: {name} = {value}", "a number of at least 0"
                    )
        if machine.minutes_per_hour <= 0:
            owned = "watched" if machine.watched else "owned"
            raise UnfitNumbersError(
                f"{machine.name} ({owned}) asks for no work at all",
                "its stops and checks (a watched machine is never free), or to be left out "
                "where it stands",
            )


def _assumptions(available: float, limit: float) -> tuple[str, ...]:
    return (
        "Times and frequencies are those found on the floor for this mix, not standard times.",
        f"{available:.1f} min of each hour are available: breaks are taken off, no helper counted.",
        f"The limit of {percent(limit)} is the plant's or common practice (no source).",
    )


def _not_stated(machines: Sequence[TendedMachine]) -> tuple[str, ...]:
    said = []
    for kind in ("stop", "patrol"):
        without = [m.name for m in machines if all(task.kind != kind for task in m.tasks)]
        if without:
            said.append(
                f"No {kind} is stated for {', '.join(without)}: counted as none, so the load is "
                "at least this."
            )
    return tuple(said)
