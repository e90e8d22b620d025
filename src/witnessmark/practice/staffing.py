"""Who is at work when, and at which machines: crews, stand-ins, qualifications, authorities.

Persons are keyed pseudonyms of places in a crew. This module knows no run and no check; visits
and set-ups add their own allocations later.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from hashlib import sha256

from witnessmark.practice.floor import (
    AREAS,
    BY_ID,
    DRILLING,
    INSPECTION,
    LIGHTS_OUT,
    MACHINES,
    MAX_MACHINES,
    NEIGHBOURS,
    RUNNING_AREAS,
    TURNING,
    WASHING,
)
from witnessmark.practice.shift_calendar import SHIFTS, Shift
from witnessmark.practice.shop import Row, Shop, between

LONG_AGO = date(2024, 1, 8)
ABSENT_SHARE = 0.03
PERMIT_BREAK_MIN, PERMIT_NIGHT_MIN = 45, 150


@dataclass(frozen=True)
class Place:
    """One place in a crew: the areas it works in, what it does there, on which machines."""

    name: str
    areas: tuple[str, ...]
    role: str
    process: str
    level: int
    machines: tuple[str, ...] = ()
    has_nights: bool = True


def _machines(group: str) -> tuple[str, ...]:
    return tuple(machine.id for machine in MACHINES if machine.group == group)


PLACES = (
    Place("leader turning", ("T1", "T2", "D1"), "leader", TURNING, 3),
    Place("leader finishing", ("W1", "F1"), "leader", WASHING, 3, has_nights=False),
    Place("operator 1 of T1", ("T1",), "operator", TURNING, 3, _machines("T1-A")),
    Place("operator 2 of T1", ("T1",), "operator", TURNING, 3, _machines("T1-B")),
    Place("operator 1 of T2", ("T2",), "operator", TURNING, 3, _machines("T2-A")),
    Place("operator 2 of T2", ("T2",), "operator", TURNING, 3, _machines("T2-B")),
    Place("setter 1", ("T1",), "setter", TURNING, 4),
    Place("setter 2", ("T2",), "setter", TURNING, 4),
    Place("setter 3", ("D1",), "setter", DRILLING, 4),
    Place("operator of D1", ("D1",), "operator", DRILLING, 3, _machines("D1")),
    Place("operator of W1", ("W1",), "operator", WASHING, 3, _machines("W1"), has_nights=False),
    Place("operator of F1", ("F1",), "operator", INSPECTION, 3, _machines("F1"), has_nights=False),
)
SETTERS = {"T1": "setter 1", "T2": "setter 2", "D1": "setter 3"}
STAND_IN = Place("stand-in", ("T1", "T2"), "operator", TURNING, 2)
THREE_CREWS, TWO_CREWS = "ABC", "XY"


def key_of(seed: int, crew: str, place: str) -> str:
    """The keyed pseudonym of a place in a crew."""
    return "p-" + sha256(f"{seed}/{crew}/{place}".encode()).hexdigest()[:6]


class Staff:
    """Who holds which place in which shift.

    Args:
        shop: Its calendar says which shifts are worked; its seed makes the pseudonyms.
    """

    def __init__(self, shop: Shop) -> None:
        self._shop = shop
        self._calendar = shop.calendar
        self._rng = shop.rng("staffing")
        self.holder: dict[tuple[str, date, str], str] = {}
        for place in PLACES:
            self._fill(place)

    def _fill(self, place: Place) -> None:
        for shift in self.shifts_of(place):
            crew = crew_of(place, shift)
            person = key_of(self._shop.seed, crew, place.name)
            may_stand_in = place.role == "operator" and place.process == TURNING
            if may_stand_in and self._rng.random() < ABSENT_SHARE:
                # Each operator's place has its own stand-in, so that no one is needed twice.
                person = key_of(self._shop.seed, crew, f"{STAND_IN.name} for {place.name}")
            self.holder[place.name, shift.day, shift.name] = person

    def shifts_of(self, place: Place) -> list[Shift]:
        """Shifts that a place is at work, one per day and shift name."""
        worked: dict[tuple[date, str], Shift] = {}
        for area in place.areas:
            for shift in self._calendar.shifts[area]:
                worked.setdefault((shift.day, shift.name), shift)
        return list(worked.values())

    def person(self, place: str, shift: Shift) -> str:
        """Who holds a place in a shift."""
        return self.holder[place, shift.day, shift.name]

    def operator(self, machine: str, shift: Shift) -> str:
        """Who is the operator of a machine in a shift."""
        return self.person(operator_place(machine), shift)

    def setter(self, area: str, shift: Shift) -> str:
        """Who is the setter of an area in a shift."""
        return self.person(SETTERS[area], shift)

    def leader(self, area: str, shift: Shift) -> str:
        """Who leads an area in a shift."""
        turning = area in RUNNING_AREAS
        return self.person("leader turning" if turning else "leader finishing", shift)


def crew_of(place: Place, shift: Shift) -> str:
    """The crew that works a shift: three crews rotate, or two where there are no nights."""
    crews = THREE_CREWS if place.has_nights else TWO_CREWS
    return crews[(shift.week + SHIFTS.index(shift.name)) % len(crews)]


def operator_place(machine: str) -> str:
    """The operator's place to which a machine belongs."""
    return next(place.name for place in PLACES if machine in place.machines)


def is_open_night(shop: Shop, machine: str, shift: Shift) -> bool:
    """Whether the machine runs this shift without its operator, permitted or not."""
    if shift.name != "night":
        return False
    return machine in LIGHTS_OUT or (machine, shift.day) in shop.habits.open_nights


def write_staffing(shop: Shop, staff: Staff) -> None:
    """Writes people, attendance, allocations, qualifications, authorities and staffing rules."""
    for place in PLACES:
        for shift in staff.shifts_of(place):
            _write_shift(shop, staff, place, shift)
    _write_people(shop, staff)
    _write_authorities(shop)
    _write_requirements(shop)
    _write_rules(shop)
    for worked in shop.calendar.shifts.values():
        for shift in worked:
            _write_calendar(shop, shift)


def _write_shift(shop: Shop, staff: Staff, place: Place, shift: Shift) -> None:
    person = staff.person(place.name, shift)
    owned = [m for m in place.machines if not is_open_night(shop, m, shift)]
    if place.machines and not owned:
        return
    rng = shop.rng("attendance", place.name, str(shift.day), shift.name)
    shop.add(
        "attendances",
        person_key=person,
        in_at=shift.start - between(rng, 8, 14),
        out_at=shift.end + between(rng, 4, 9),
        kind="overtime" if shift.overtime else "regular",
    )
    for machine in owned:
        allocate(shop, person, machine, (shift.start, shift.end), place.role)


def allocate(
    shop: Shop, person: str, machine: str, span: tuple[int, int], role: str, trainer: str = ""
) -> Row:
    """Adds an actual allocation of a person to a machine."""
    return shop.add(
        "allocations",
        person_key=person,
        machine_or_group=machine,
        start_at=span[0],
        end_at=span[1],
        role=role,
        trainer=trainer or None,
        basis="actual",
        recorded_at=span[0],
    )


def _write_people(shop: Shop, staff: Staff) -> None:
    held: dict[str, Place] = {}
    for place in PLACES:
        for shift in staff.shifts_of(place):
            person = staff.person(place.name, shift)
            own = person == key_of(shop.seed, crew_of(place, shift), place.name)
            held[person] = place if own else STAND_IN
    for person, place in sorted(held.items()):
        agency = place is STAND_IN
        shop.add("people", person_key=person, employer_kind="agency" if agency else "own",
                 home_shift=None)  # fmt: skip
        processes = {place.process}
        if place.name == "leader turning":
            processes |= {DRILLING}
        if place.name == "leader finishing":
            processes |= {INSPECTION}
        for process in sorted(processes):
            add_qualification(shop, person, process, place.level, LONG_AGO)


def add_qualification(shop: Shop, person: str, process: str, level: int, since: date) -> Row:
    """Adds a qualification with its evidence."""
    return shop.add(
        "qualifications",
        person_key=person,
        process=process,
        valid_from=since,
        valid_to=None,
        level=level,
        assessor="training office",
        evidence=f"TR-{person[2:]}-{process[:2]}",
        entered_at=shop.calendar.start - 60 * 24 * 200,
    )


def _write_authorities(shop: Shop) -> None:
    for place in PLACES:
        crews = THREE_CREWS if place.has_nights else TWO_CREWS
        kinds = {"leader": ("stop", "release", "disposition"), "operator": ("stop",)}
        for crew in crews:
            for kind in kinds.get(place.role, ()):
                for area in place.areas:
                    shop.add(
                        "authorities",
                        person_key=key_of(shop.seed, crew, place.name),
                        kind=kind,
                        area=area,
                        valid_from=LONG_AGO,
                        valid_to=None,
                    )


def _write_requirements(shop: Shop) -> None:
    levels = {"operator": 2, "watcher": 2, "relief": 2, "setter": 3, "leader": 2}
    for process in (TURNING, DRILLING, WASHING, INSPECTION):
        for role, level in levels.items():
            shop.add("required_qualifications", process=process, role=role, valid_from=LONG_AGO,
                     level=level)  # fmt: skip


def _write_rules(shop: Shop) -> None:
    least = {"T1": 2, "T2": 2, "D1": 1, "W1": 1, "F1": 1}
    events = ["set-up", "tool-change", "material-change", "restart"]
    for number, area in enumerate(AREAS, 1):
        shop.add(
            "staffing_rules",
            rule_id=f"SR-{number:02}",
            area=area,
            min_operators=least[area],
            max_machines_per_person=MAX_MACHINES,
            attended_events=events,
            load_limit=None,
            watching_allowed=area in RUNNING_AREAS,
            doc_ref="WI-012 rev 4",
            valid_from=LONG_AGO,
            valid_to=None,
        )
    for area, neighbour in NEIGHBOURS:
        shop.add("area_neighbours", area=area, neighbour=neighbour)
    for machine in BY_ID.values():
        if machine.area in RUNNING_AREAS:
            _permit(shop, machine.id, PERMIT_BREAK_MIN)
    for machine_id in LIGHTS_OUT:
        permission = _permit(shop, machine_id, PERMIT_NIGHT_MIN)
        permission.update(shifts=["night"], conditions=["auto-stop"])


def _permit(shop: Shop, machine: str, most_min: int) -> Row:
    return shop.add(
        "unattended_permissions",
        permission_id=shop.new_id("UP"),
        machine_id=machine,
        part_no=None,
        shifts=None,
        valid_from=LONG_AGO,
        valid_to=None,
        max_duration_min=most_min,
        conditions=None,
        approved_by_role="plant manager",
        doc_ref="WI-031 rev 2",
    )


def _write_calendar(shop: Shop, shift: Shift) -> None:
    key = {"area": shift.area, "production_date": shift.day, "shift": shift.name}
    shop.add("shift_instances", **key, start_at=shift.start, end_at=shift.end,
             overtime=shift.overtime)  # fmt: skip
    shop.add("planned_breaks", **key, no=1, start_at=shift.break_start, end_at=shift.break_end,
             relief_rule=None)  # fmt: skip


def first_worked_day(shop: Shop, area: str, on_or_after: date) -> date:
    """The first day from a day on with a worked shift in an area."""
    worked = {shift.day for shift in shop.calendar.shifts[area]}
    day = on_or_after
    while day not in worked and day < shop.calendar.end_day:
        day += timedelta(days=1)
    return day
