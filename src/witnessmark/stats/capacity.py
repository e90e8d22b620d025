"""Hours that a demand asks for against hours that are staffed, machines and people apart.

Knows rates and hours only; the plan and the records they come from are the caller's.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.result import percent

Pieces = Literal["good", "started"]
Days = Literal["all days worked", "weekdays only"]


@dataclass(frozen=True)
class DemonstratedRate:
    """What share of the ideal rate was reached, and over what.

    Args:
        oee: Demonstrated share of the ideal rate (availability x performance, and x quality where
            `counts` is good), 0..1.
        counts: Whether the pieces counted in it were the good ones or all that were started.
        days: Whether all days worked are in it, or weekdays only.
    """

    oee: float
    counts: Pieces
    days: Days


@dataclass(frozen=True)
class DemandLine:
    """A quantity of one part.

    Args:
        part: Name of the part.
        quantity: Pieces asked for.
        ideal_per_hour: Ideal rate of one machine.
        setups: Number of set-ups the quantity asks for.
        setup_hours: Hours of one set-up.
    """

    part: str
    quantity: float
    ideal_per_hour: float
    setups: float = 0.0
    setup_hours: float = 0.0


@dataclass(frozen=True)
class HoursBalance:
    """Hours required against hours staffed, of machines or of people.

    Args:
        whose: machine or people.
        required: Hours the demand asks for.
        staffed: Hours there are.
        shift_hours: Hours of one shift, to say a lack in shifts.
    """

    whose: Literal["machine", "people"]
    required: float
    staffed: float
    shift_hours: float

    @property
    def short(self) -> float:
        """Hours lacking; 0 where there are enough."""
        return max(0.0, self.required - self.staffed)

    @property
    def short_shifts(self) -> float:
        """Hours lacking, in shifts of one machine or person."""
        return self.short / self.shift_hours

    @property
    def use(self) -> float | None:
        """Required / staffed; None where nothing is staffed."""
        return self.required / self.staffed if self.staffed else None

    def within(self, target: float) -> bool:
        """Whether the hours required are at most a share of those staffed."""
        return self.required <= target * self.staffed * (1 + 1e-12)


@dataclass(frozen=True)
class Capacity:
    """Whether a demand fits into the staffed hours.

    Args:
        machine: Balance of machine hours.
        people: Balance of people hours; None where they were not given.
        possible: Pieces of this mix that the staffed machine hours allow; None where the demand
            asks for no running.
        quantity: Pieces asked for.
        target: Largest use of the staffed hours that is planned with.
        method: How it was found.
        assumptions: What must hold.
    """

    machine: HoursBalance
    people: HoursBalance | None
    possible: float | None
    quantity: float
    target: float
    method: str
    assumptions: tuple[str, ...]

    @property
    def fits(self) -> bool | None:
        """Whether it fits within the target; None where people hours are not known and decide."""
        if not self.machine.within(self.target):
            return False
        return None if self.people is None else self.people.within(self.target)

    @property
    def sentence(self) -> str:
        """The balance in words."""
        possible = (
            ""
            if self.possible is None
            else f" At this mix the staffed hours allow {self.possible:,.0f} pieces."
        )
        people = (
            " People hours were not given: whether the machine hours can be manned is not shown."
            if self.people is None
            else " " + _balance_words(self.people, self.target)
        )
        return (
            f"The demand of {self.quantity:,.0f} pieces, at the demonstrated rate: "
            f"{_balance_words(self.machine, self.target)}{possible}{people} The balance is an "
            "average of the period; it says nothing of the order in which parts fall due."
        )


def capacity(
    lines: Sequence[DemandLine],
    rate: DemonstratedRate,
    *,
    machine_hours: float,
    shift_hours: float,
    demand_counts: Pieces,
    maintenance_hours: float = 0.0,
    people_hours: float | None = None,
    people_per_machine: float = 1.0,
    target: float = 0.85,
) -> Capacity:
    """Answers whether a demand fits into the staffed hours at the rate that was demonstrated.

    Required machine hours = sum of quantity / (ideal rate x OEE) + set-ups + maintenance.
    Required people hours = required machine hours x people per machine.

    Args:
        lines: The demand by part: an average over parts hides the mix.
        rate: The demonstrated rate. It must count the same pieces as the demand: a rate in good
            pieces with a demand raised for scrap counts the quality loss twice and is refused.
        machine_hours: Staffed machine hours of the period.
        shift_hours: Hours of one shift.
        demand_counts: Whether the quantities are good pieces or pieces to be started.
        maintenance_hours: Machine hours for planned maintenance.
        people_hours: People hours of the period; None where they are not known.
        people_per_machine: Persons that a machine binds while it is used (1/3 for one in three).
        target: Largest use planned with; 0.85 to 0.90 is common practice, no source.

    Returns:
        Balances of machine and people hours, apart. No line gives 0 hours required.

    Raises:
        UnfitNumbersError: Quality loss counted twice or not at all, an OEE above 1, a missing or
            negative number.

    Shapes:
        lines: (n_parts,)

    Units:
        Hours, pieces, pieces per hour; shares 0..1.

    Assumes:
        The rate holds for every part of the mix and for the days that are planned; machines are
        free for every part.

    Source:
        Common practice, no source.

    Examples:
        >>> found = capacity([DemandLine("A", 340_000, 12 * 60)],
        ...                  DemonstratedRate(0.62, "good", "all days worked"),
        ...                  machine_hours=6 * 15 * 7.5, shift_hours=7.5, demand_counts="good")
        >>> round(found.possible), round(found.machine.short), round(found.machine.short_shifts, 1)
        (301320, 87, 11.6)
    """
    _require_fit(lines, rate, demand_counts)
    machine_hours = _hours("machine_hours", machine_hours)
    require.above("shift_hours", shift_hours)
    share = require.above("target", target)
    fixed = _hours("maintenance_hours", maintenance_hours)
    fixed += math.fsum(line.setups * line.setup_hours for line in lines)
    running = math.fsum(line.quantity / (line.ideal_per_hour * rate.oee) for line in lines)
    quantity = math.fsum(line.quantity for line in lines)
    required = running + fixed
    people = None
    if people_hours is not None:
        bound = require.above("people_per_machine", people_per_machine) * required
        people = HoursBalance("people", bound, _hours("people_hours", people_hours), shift_hours)
    return Capacity(
        machine=HoursBalance("machine", required, machine_hours, shift_hours),
        people=people,
        possible=max(0.0, machine_hours - fixed) / running * quantity if running else None,
        quantity=quantity,
        target=share,
        method="hours at the demonstrated rate, set-ups and maintenance, against hours staffed",
        assumptions=_assumptions(lines, rate, share, people_per_machine, people),
    )


def _hours(name: str, value: float) -> float:
    if not (math.isfinite(value) and value >= 0):
        raise UnfitNumbersError(f"{name} = {value}", "hours of at least 0")
    return float(value)


def _require_fit(lines: Sequence[DemandLine], rate: DemonstratedRate, demand: Pieces) -> None:
    if rate.counts == "good" and demand == "started":
        raise UnfitNumbersError(
            "a rate in good pieces and a demand in pieces to be started",
            "both in the same pieces; as given the quality loss is counted twice",
        )
    if rate.counts == "started" and demand == "good":
        raise UnfitNumbersError(
            "a rate in pieces started and a demand in good pieces",
            "both in the same pieces; as given the quality loss is not counted at all",
        )
    if not 0 < rate.oee <= 1:
        raise UnfitNumbersError(
            f"oee = {rate.oee}", "a share above 0 and at most 1; above 1 the ideal rate is wrong"
        )
    for line in lines:
        require.above(f"{line.part}: ideal_per_hour", line.ideal_per_hour)
        for name in ("quantity", "setups", "setup_hours"):
            value = getattr(line, name)
            if not (math.isfinite(value) and value >= 0):
                raise UnfitNumbersError(f"{line.part}: {name} = {value}", "a number of at least 0")


def _assumptions(
    lines: Sequence[DemandLine],
    rate: DemonstratedRate,
    target: float,
    per_machine: float,
    people: HoursBalance | None,
) -> tuple[str, ...]:
    pieces = "good pieces" if rate.counts == "good" else "pieces started"
    said = [
        f"The demonstrated rate is {percent(rate.oee)} of the ideal; it and demand are in {pieces}."
    ]
    if rate.days == "weekdays only":
        said.append(
            "The rate comes from weekdays only: that weekend and additional shifts reach it is "
            "taken for granted, not shown."
        )
    if len(lines) == 1:
        said.append("The demand is one line: where it stands for several parts, the mix is lost.")
    else:
        said.append(f"One rate holds for all {len(lines)} parts of the mix.")
    if not any(line.setups for line in lines):
        said.append("No set-up is stated: set-ups count nothing unless the rate holds them.")
    if target >= 1:
        said.append("Use is planned up to 100 %: no hour is left for anything unforeseen.")
    if people is not None:
        said.append(f"A machine in use binds {per_machine:.3g} persons, in set-ups too.")
    return tuple(said)


def _balance_words(hours: HoursBalance, target: float) -> str:
    noun = "machine" if hours.whose == "machine" else "person"
    said = (
        f"{hours.required:,.0f} {hours.whose} hours are required and {hours.staffed:,.0f} staffed"
    )
    if hours.short > 0:
        shifts = f"{hours.short_shifts:,.1f} shifts of one {noun}"
        return f"{said}, {hours.short:,.0f} short ({shifts})."
    use = f" (use {percent(hours.use)})" if hours.use is not None else ""
    if hours.within(target):
        return f"{said}{use}, within the {percent(target)} that is planned with."
    return f"{said}{use}: enough, but above the {percent(target)} that is planned with."
