"""`witnessmark tend`: load of one person over machines, and how long stopped machines wait."""

from fractions import Fraction
from pathlib import Path
from typing import Annotated, get_args

import msgspec
from cyclopts import Parameter

from witnessmark.cli.stated import PLAIN, Figure, Output, state
from witnessmark.cli.values import Share
from witnessmark.errors import UnfitNumbersError, UnusableInputError, Where
from witnessmark.records.toml_file import fill, read_toml
from witnessmark.stats.interference import finite_source_queue
from witnessmark.stats.interference_limits import most_machines, wait_not_exceeded
from witnessmark.stats.result import Stated, percent
from witnessmark.stats.tending import (
    Kind,
    Task,
    TendedMachine,
    TendingLoad,
    available_minutes,
    most_tended,
    tending_load,
)

FORM = "kind=TIMESxMINUTES, such as stop=1.5x4, with a kind of " + ", ".join(get_args(Kind))


class Work(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """One kind of work on a machine, as a load file states it."""

    kind: Kind
    per_hour: float
    minutes: float


class Machine(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A machine of a load file."""

    name: str
    work: tuple[Work, ...]
    watched: bool = False

    def tended(self) -> TendedMachine:
        """The machine as the statistic takes it."""
        tasks = tuple(Task(one.kind, one.per_hour, one.minutes) for one in self.work)
        return TendedMachine(self.name, tasks, self.watched)


class LoadFile(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A load file: shift, breaks that nobody relieves, and the machines of one person."""

    shift_min: float
    break_min: float
    machine: tuple[Machine, ...]


def run(
    file: Path | None = None,
    *,
    machines: int | None = None,
    work: Annotated[list[str] | None, Parameter(consume_multiple=True, negative="")] = None,
    available: float | None = None,
    limit: Share = 0.80,
    runs: float | None = None,
    service: float | None = None,
    persons: int = 1,
    longest_wait: float | None = None,
    output: Output = PLAIN,
) -> None:
    """Say what load the machines of one person are, and how long stopped machines wait.

    Args:
        file: Load file (TOML) with shift_min, break_min and a [[machine]] table for each machine:
            name, watched, work = [{ kind = "stop", per_hour = 1.5, minutes = 4 }].
        machines: Number of machines alike; with a load file, default those of the file.
        work: Work on one of them, as kind=TIMESxMINUTES an hour: stop=1.5x4 change-over=1/6x15
            patrol=0.5x6 bin=1x2 walking=1x1.5.
        available: Minutes of an hour the person is there, breaks taken off.
        limit: Largest load accepted; 70% to 80% is common practice.
        runs: Minutes a machine runs on average between two stops.
        service: Minutes a stop binds a person on average.
        persons: Persons who share the machines.
        longest_wait: Mean wait in minutes that is accepted: gives the most machines.
        output: How the result leaves the command.
    """
    results: dict[str, Stated] = {}
    figures: list[Figure] = []
    load = None
    if file is not None or work:
        load, alike = _load(file, work or [], machines or 1, available, limit)
        results["load"] = load
        figures += _load_figures(load)
        if alike is not None:
            most = most_tended(alike, load.available, limit)
            results["most_tended"] = most
            figures.append(("Machines within the limit", most.machines))
    if runs is not None and service is not None:
        many = machines if machines is not None else len(load.by_machine) if load else 1
        queue = finite_source_queue(many, runs, service, persons)
        results["waiting"] = queue
        figures += [
            ("Stops bind the persons", percent(queue.utilisation)),
            ("Mean wait of a stop, min", queue.mean_wait),
            ("95 % of stops answered within, min",
             wait_not_exceeded(many, runs, service, persons)),
            ("A machine runs", percent(queue.efficiency)),
            ("With a person of its own", percent(queue.efficiency_alone)),
        ]  # fmt: skip
        if longest_wait is not None:
            limited = most_machines(runs, service, persons, longest_mean_wait=longest_wait)
            results["most_machines"] = limited
            figures.append(("Machines within that wait", limited.machines))
    elif runs is not None or service is not None or longest_wait is not None:
        raise UnusableInputError.one(
            Where("--runs"), "waiting needs both.", "--runs and --service in minutes"
        )
    if not results:
        raise UnusableInputError.one(
            Where("tend"), "nothing is given.", "a load file, --work, or --runs and --service"
        )
    state(results, figures, output)


def _load(
    file: Path | None, work: list[str], machines: int, available: float | None, limit: float
) -> tuple[TendingLoad, TendedMachine | None]:
    """The load, and the machine of which there are several alike, if there is one."""
    if file is not None and (work or available is not None):
        raise UnusableInputError.one(
            Where(file.name), "it says the work and the minutes.", "no --work and --available"
        )
    if file is not None:
        stated = _load_file(file)
        tended = [machine.tended() for machine in stated.machine]
        minutes = available_minutes(stated.shift_min, stated.break_min)
        return tending_load(tended, minutes, limit), None
    if available is None:
        raise UnusableInputError.one(
            Where("--available"),
            "it is not given.",
            "minutes of an hour, such as 53 for 480 less 56",
        )
    tasks = tuple(_task(text) for text in work)
    alike = [TendedMachine(str(number + 1), tasks) for number in range(machines)]
    return tending_load(alike, available, limit), alike[0] if alike else None


def _load_file(file: Path) -> LoadFile:
    if not file.is_file():
        raise UnusableInputError.one(Where(str(file)), "there is no such file.")
    return fill(read_toml(file), LoadFile, Where(file.name))


def _task(text: str) -> Task:
    kind, _, rest = text.partition("=")
    times, _, minutes = rest.partition("x")
    named = next((known for known in get_args(Kind) if known == kind.strip()), None)
    try:
        if named is not None:
            return Task(named, float(Fraction(times)), float(Fraction(minutes)))
    except (ValueError, ZeroDivisionError):
        named = None
    raise UnfitNumbersError(f'--work "{text}"', FORM)


def _load_figures(load: TendingLoad) -> list[Figure]:
    machines = ", ".join(f"{name} {minutes:.1f}" for name, minutes in load.by_machine)
    kinds = ", ".join(f"{kind} {minutes:.1f}" for kind, minutes in load.by_kind)
    return [
        ("Load", percent(load.load)),
        ("Minutes asked for in an hour", load.minutes_per_hour),
        ("Minutes available", load.available),
        ("Within the limit", f"{'yes' if load.within_limit else 'no'} ({percent(load.limit)})"),
        ("By machine, min", machines),
        ("By kind, min", kinds),
    ]
