"""`witnessmark capacity`: hours required against hours staffed."""

from collections.abc import Sequence
from pathlib import Path
from typing import Literal

from witnessmark.cli.reading import AS_WRITTEN, Reading
from witnessmark.cli.stated import PLAIN, Figure, Output, in_percent, state
from witnessmark.cli.values import Share
from witnessmark.errors import UnusableInputError, Where
from witnessmark.stats.capacity import (
    DemandLine,
    DemonstratedRate,
    HoursBalance,
    Pieces,
    capacity,
)

NEEDED = ("part", "quantity", "ideal_per_hour")


def run(
    file: Path | None = None,
    *,
    oee: Share,
    machine_hours: float,
    shift_hours: float,
    quantity: float | None = None,
    ideal: float | None = None,
    setups: float = 0.0,
    setup_hours: float = 0.0,
    counts: Pieces = "good",
    demand_counts: Pieces = "good",
    days: Literal["all", "weekdays"] = "all",
    maintenance_hours: float = 0.0,
    people_hours: float | None = None,
    people_per_machine: float = 1.0,
    target: Share = 0.85,
    reading: Reading = AS_WRITTEN,
    output: Output = PLAIN,
) -> None:
    """Say whether a demand fits into the staffed hours at the rate that was demonstrated.

    Args:
        file: The demand by part, with the columns part, quantity, ideal_per_hour and, where there
            are set-ups, setups and setup_hours.
        oee: Demonstrated share of the ideal rate: 62% or 0.62.
        machine_hours: Staffed machine hours of the period.
        shift_hours: Hours of one shift.
        quantity: Pieces asked for, where there is no file.
        ideal: Ideal rate of one machine in pieces an hour, where there is no file.
        setups: Number of set-ups, where there is no file.
        setup_hours: Hours of one set-up, where there is no file.
        counts: Pieces that the demonstrated rate counts, good or started.
        demand_counts: Pieces that the demand counts.
        days: Days that the demonstrated rate comes from.
        maintenance_hours: Machine hours of planned maintenance.
        people_hours: People hours of the period; without them it stays open whether the machine
            hours can be manned.
        people_per_machine: Persons a machine binds while it is used: 0.33 for one in three.
        target: Largest use of the staffed hours that is planned with.
        reading: How the file is read.
        output: How the result leaves the command.
    """
    found = capacity(
        _lines(file, quantity, ideal, setups, setup_hours, reading),
        DemonstratedRate(oee, counts, "weekdays only" if days == "weekdays" else "all days worked"),
        machine_hours=machine_hours,
        shift_hours=shift_hours,
        demand_counts=demand_counts,
        maintenance_hours=maintenance_hours,
        people_hours=people_hours,
        people_per_machine=people_per_machine,
        target=target,
    )
    figures: list[Figure] = [
        ("Pieces asked for", found.quantity),
        ("Pieces the machine hours allow", found.possible and float(round(found.possible))),
        *_balance("Machine hours", found.machine),
        *([] if found.people is None else _balance("People hours", found.people)),
        ("Fits", "not known: no people hours" if found.fits is None else found.fits),
    ]
    state(found, figures, output)


def _balance(name: str, hours: HoursBalance) -> list[Figure]:
    short = None
    if hours.short:
        short = f"{hours.short:,.0f} ({hours.short_shifts:,.1f} shifts)"
    return [
        (f"{name} required", f"{hours.required:,.0f}"),
        (f"{name} staffed", f"{hours.staffed:,.0f}"),
        (f"{name} short", short),
        (f"Use of {name.lower()}", in_percent(hours.use)),
    ]


def _lines(
    file: Path | None,
    quantity: float | None,
    ideal: float | None,
    setups: float,
    setup_hours: float,
    reading: Reading,
) -> Sequence[DemandLine]:
    if file is None:
        if quantity is None or ideal is None:
            raise UnusableInputError.one(
                Where("capacity"), "no demand is given.", "a file, or --quantity and --ideal"
            )
        return [DemandLine("the demand", quantity, ideal, setups, setup_hours)]
    if quantity is not None or ideal is not None or setups or setup_hours:
        raise UnusableInputError.one(
            Where(file.name), "the file holds the demand.", "no demand beside it"
        )
    study = reading.read(file)
    columns = [study.texts("part"), *(study.numbers(name) for name in NEEDED[1:])]
    optional = ("setups", "setup_hours")
    columns += [study.numbers(name) for name in optional if name in study.headings]
    if len(columns) == len(NEEDED) + 1:
        raise UnusableInputError.one(
            study.where, "only one of two columns.", " and ".join(optional)
        )
    return [DemandLine(*line) for line in zip(*columns, strict=True)]
