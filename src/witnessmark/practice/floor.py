"""What the practice plant consists of: machines, parts, control plans, places, rules.

Everything here is invented and stays the same from seed to seed. This module knows no time of day
and no event.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

MAX_MACHINES = 4
PATROL_MIN = 120
TURNING, DRILLING, WASHING, INSPECTION = "turning", "cross-drilling", "washing", "final-inspection"
OPS = {TURNING: "10", DRILLING: "20", WASHING: "30", INSPECTION: "40"}


@dataclass(frozen=True)
class Machine:
    """One machine, with the parts that it makes in turn (none: it works on whole lots)."""

    id: str
    area: str
    group: str
    process: str
    parts: tuple[str, ...] = ()

    @property
    def op(self) -> str:
        """The operation that it does."""
        return OPS[self.process]


def _row(area: str, group: str, process: str, first: int, parts: list[str]) -> tuple[Machine, ...]:
    return tuple(
        Machine(f"{area}-{number:02}", area, group, process, tuple(made.split()))
        for number, made in enumerate(parts, first)
    )


MACHINES = (
    *_row("T1", "T1-A", TURNING, 1, ["1040 1055", "1055 1102", "1102 1040", "1061 1078"]),
    *_row("T1", "T1-B", TURNING, 5, ["1078 1119", "1061 1119", "1119 1061", "1040 1102"]),
    *_row("T2", "T2-A", TURNING, 1, ["2203 2247", "2210 2203", "2231 2210"]),
    *_row("T2", "T2-B", TURNING, 4, ["2247 2231", "2203 2247", "2210 2231"]),
    *_row("D1", "D1", DRILLING, 1, ["2203 2210", "2210 2231", "2231 2203"]),
    *_row("W1", "W1", WASHING, 1, ["", ""]),
    *_row("F1", "F1", INSPECTION, 1, ["", ""]),
)
BY_ID = {machine.id: machine for machine in MACHINES}
AREAS = ("T1", "T2", "D1", "W1", "F1")
RUNNING_AREAS = ("T1", "T2", "D1")
NEIGHBOURS = (("T1", "T2"), ("T2", "D1"), ("W1", "F1"))
LIGHTS_OUT = ("T2-06",)
"""The machine with a permission to run the night shift unattended between visits."""


@dataclass(frozen=True)
class Part:
    """One part: what it is, how long a piece takes, and its two toleranced sizes in mm."""

    no: str
    about: str
    mass_g: str
    cycle_s: int
    diameter: str
    diameter_tol: str
    length: str
    length_tol: str
    drilled: bool = False
    keeps_container: bool = False
    special: bool = False


PARTS = {
    part.no: part
    for part in (
        Part("1040", "valve spool", "41", 52, "12.700", "0.020", "48.00", "0.08"),
        Part("1055", "guide bush", "26", 44, "14.000", "0.025", "22.50", "0.06"),
        Part("1061", "spacer", "12", 38, "9.500", "0.030", "11.20", "0.05", keeps_container=True),
        Part("1078", "threaded ferrule", "19", 41, "11.000", "0.030", "26.00", "0.10",
             keeps_container=True),
        Part("1102", "sensor housing", "33", 58, "16.000", "0.018", "31.40", "0.08", special=True),
        Part("1119", "stop pin", "9", 36, "6.000", "0.020", "18.00", "0.06", keeps_container=True),
        Part("2203", "banjo bolt", "58", 62, "18.000", "0.030", "39.00", "0.10", drilled=True),
        Part("2210", "metering sleeve", "47", 66, "20.000", "0.025", "34.50", "0.08",
             drilled=True),
        Part("2231", "nozzle holder", "64", 71, "22.000", "0.030", "42.00", "0.10", drilled=True),
        Part("2247", "adjusting nut", "38", 55, "24.000", "0.040", "16.00", "0.08"),
    )
}  # fmt: skip
CYCLES = {WASHING: Decimal("1.1"), INSPECTION: Decimal("1.3")}
DRILLING_CYCLE_S = 48


def cycle_s(machine: Machine, part_no: str) -> int:
    """Ideal seconds per piece of a part on a machine with runs."""
    return DRILLING_CYCLE_S if machine.process == DRILLING else PARTS[part_no].cycle_s


@dataclass(frozen=True)
class Line:
    """One line of a control plan, as one revision has it."""

    no: str
    characteristic: str
    gauge_type: str
    sample_n: int
    kinds: tuple[str, ...]
    nominal: Decimal | None = None
    tolerance: Decimal | None = None
    basis: str = "running-time"
    every_n: int | None = None
    event: str | None = None
    special: bool = False

    @property
    def limits(self) -> tuple[Decimal | None, Decimal | None]:
        """Lower and upper limit; none for an attribute."""
        if self.nominal is None or self.tolerance is None:
            return None, None
        return self.nominal - self.tolerance, self.nominal + self.tolerance


@dataclass(frozen=True)
class Plan:
    """One revision of a control plan for a part at an operation."""

    no: str
    rev: str
    part_no: str
    op: str
    valid_from: date
    valid_to: date | None
    lines: tuple[Line, ...]


ROUND = ("first-off", "patrol", "last-off", "restart", "material-change")
REVISED_PART, REVISED_ON, LAST_OLD_DAY = "1055", date(2026, 9, 27), date(2026, 9, 26)
PLAN_START = date(2025, 3, 3)


def _turning_lines(part: Part, tolerance: str) -> tuple[Line, ...]:
    def size(value: str) -> Decimal:
        return Decimal(value).quantize(Decimal("0.001"))

    return (
        Line("10", "outer diameter", "micrometer", 2, ROUND, size(part.diameter), size(tolerance),
             special=part.special),
        Line("20", "overall length", "height gauge", 1, ROUND, size(part.length),
             size(part.length_tol)),
        Line("30", "bore", "plug gauge", 1, ROUND),
        Line("40", "edges and surface", "limit sample", 2, ROUND),
        Line("50", "runout", "dial gauge", 1, ROUND[:2], size("0.020"), size("0.020"),
             basis="pieces", every_n=600),
        Line("60", "length after tool change", "height gauge", 1, ("restart",),
             size(part.length), size(part.length_tol), basis="event", event="tool-change"),
        Line("70", "diameter after bar lot change", "micrometer", 1,
             ("patrol", "restart", "material-change"), size(part.diameter), size(tolerance),
             basis="event", event="material-change"),
    )  # fmt: skip


def _drilling_lines() -> tuple[Line, ...]:
    return (
        Line("10", "hole position", "height gauge", 2, ROUND, Decimal("8.000"), Decimal("0.100")),
        Line("20", "hole diameter", "plug gauge", 1, ROUND),
        Line("30", "burr inside", "limit sample", 1, ROUND),
    )


def _plans() -> tuple[Plan, ...]:
    plans = []
    for part in PARTS.values():
        turning = (f"CP-{part.no}", part.no, OPS[TURNING])
        lines = _turning_lines(part, part.diameter_tol)
        if part.no == REVISED_PART:
            tighter = _turning_lines(part, "0.020")
            plans.append(_plan(*turning, "B", lines, PLAN_START, LAST_OLD_DAY))
            plans.append(_plan(*turning, "C", tighter, REVISED_ON, None))
        else:
            plans.append(_plan(*turning, "B", lines, PLAN_START, None))
        if part.drilled:
            drilling = (f"CP-{part.no}-20", part.no, OPS[DRILLING])
            plans.append(_plan(*drilling, "A", _drilling_lines(), PLAN_START, None))
    return tuple(plans)


def _plan(
    no: str, part_no: str, op: str, rev: str, lines: tuple[Line, ...], start: date, end: date | None
) -> Plan:
    return Plan(no, rev, part_no, op, start, end, lines)


PLANS = _plans()


def plan_on(part_no: str, op: str, day: date) -> Plan:
    """The control plan of a part at an operation that is valid on a day.

    Raises:
        LookupError: None is.
    """
    for plan in PLANS:
        ended = plan.valid_to is not None and plan.valid_to < day
        if (plan.part_no, plan.op) == (part_no, op) and plan.valid_from <= day and not ended:
            return plan
    raise LookupError((part_no, op, day))
