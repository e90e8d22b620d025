"""Stories around people and shifts: two places at once, a lapsed qualification, no authority."""

from datetime import date

from witnessmark.practice.answer_key import Weakness, refs
from witnessmark.practice.floor import WASHING
from witnessmark.practice.model import Plant
from witnessmark.practice.shift_calendar import DAYLIGHT_SAVING_WEEK, SATURDAY, Overtime, Shift
from witnessmark.practice.shop import Habits, Row
from witnessmark.practice.staffing import PLACES, TWO_CREWS, allocate, key_of
from witnessmark.practice.weaknesses.story import Story, day_of, ref, shift_of, utc, week_ref

LEADER = "leader turning"
LEADERLESS_AREAS = ("T1", "T2", "D1")


class DoubleAllocation(Story):
    """One person stands on two boards at once, and another on a board after going home."""

    def __init__(self) -> None:
        self._rows: list[Row] = []

    def on_record(self, plant: Plant) -> None:
        """Adds the rows; nobody's machine loses its operator by them."""
        shift = shift_of(plant, "T1", day_of(2, 3), "late")
        leader = plant.staff.person(LEADER, shift)
        for machine, start, end in (("T1-05", 60, 170), ("D1-02", 120, 210)):
            span = (shift.start + start, shift.start + end)
            self._rows.append(allocate(plant.shop, leader, machine, span, "leader"))
        late = shift_of(plant, "F1", day_of(4, 1), "late")
        person = plant.staff.operator("F1-01", late)
        span = (late.end + 20, late.end + 110)
        self._rows.append(allocate(plant.shop, person, "F1-02", span, "operator"))

    def told(self, plant: Plant) -> Weakness:
        """The three rows."""
        del plant
        return Weakness(
            "in two places, or after going home",
            "A leader is put to T1-05 and D1-02 at the same time, halls that are no neighbours; an "
            "inspector is put to a machine after clocking out.",
            refs(
                (
                    "double-allocation",
                    ref(r["person_key"], r["machine_or_group"], utc(r["start_at"])),
                )
                for r in self._rows
            ),
        )


class LapsedQualification(Story):
    """A qualification for washing ended in October and nobody looked at the matrix."""

    CREW, PLACE, ENDS = TWO_CREWS[0], "operator of W1", date(2026, 10, 30)

    def on_record(self, plant: Plant) -> None:
        """Ends the qualification."""
        person = key_of(plant.shop.seed, self.CREW, self.PLACE)
        for row in plant.shop.find("qualifications", person_key=person, process=WASHING):
            row["valid_to"] = self.ENDS

    def told(self, plant: Plant) -> Weakness:
        """Every allocation of that place after the end."""
        person = key_of(plant.shop.seed, self.CREW, self.PLACE)
        days = {shift.start: shift.day for shift in plant.shop.calendar.shifts["W1"]}
        found = [
            (
                "unqualified-attendance",
                ref(person, row["machine_or_group"], utc(row["start_at"]), WASHING),
            )
            for row in plant.shop.find("allocations", person_key=person)
            if days[row["start_at"]] > self.ENDS
        ]
        return Weakness(
            "washing after the qualification ended",
            "One operator of W1 goes on after the qualification for washing lapsed on 30 October.",
            refs(found),
        )


class WeekendOvertime(Story):
    """T1 works nearly every Saturday, since September without a leader."""

    WEEKS = (0, 1, 2, 3, 4, 5, 6, 8, 9, 11, 12)
    LEADERLESS_FROM, STANDING = 4, 8

    def habits(self) -> Habits:
        """Saturday early and late in eleven of thirteen weeks, beside the ordinary one."""
        return Habits(
            overtime=tuple(
                Overtime("T1", week, SATURDAY, name)
                for week in self.WEEKS
                for name in ("early", "late")
            )
        )

    def _shifts(self, plant: Plant) -> list[Shift]:
        weeks = [w for w in self.WEEKS if w >= self.LEADERLESS_FROM]
        return [
            shift
            for area in LEADERLESS_AREAS
            for shift in plant.shop.calendar.shifts[area]
            if shift.overtime and shift.week in weeks and shift.week != DAYLIGHT_SAVING_WEEK
        ]

    def at_machines(self, plant: Plant) -> None:
        """The leader stays at home; the setter signs what there is to sign."""
        for shift in self._shifts(plant):
            leader = plant.staff.person(LEADER, shift)
            stays = plant.shop.find("attendances", person_key=leader)
            absent = [s for s in stays if shift.start - 30 < s["in_at"] < shift.start]
            plant.shop.discard("attendances", absent)
            for row in plant.shop.tables["setups"]:
                if shift.start <= row["released_at"] < shift.end and row["released_by"] == leader:
                    row["released_by"] = row["setter"]

    def on_board(self, plant: Plant) -> None:
        """Operators hand over to each other."""
        for shift in self._shifts(plant):
            for row in plant.shop.find("handovers", area=shift.area):
                sides = {shift.end: "outgoing", shift.start: "incoming"}
                if row["change_at"] in sides:
                    operator = plant.staff.person(_operator_of(shift.area), shift)
                    row[sides[row["change_at"]]] = operator

    def told(self, plant: Plant) -> Weakness:
        """The shifts without authority, and the weeks of overtime."""
        found = [
            ("shift-without-authority", ref(shift.area, shift.day, shift.name))
            for shift in self._shifts(plant)
        ]
        weeks = sorted({s.week for s in plant.shop.calendar.shifts["T1"] if s.overtime})
        standing = [w for w in weeks if sum(w - 13 < one <= w for one in weeks) >= self.STANDING]
        found += [("overtime-capacity-gap", ref("T1", week_ref(week))) for week in standing]
        return Weakness(
            "every Saturday, and nobody who may stop or release",
            "T1 works overtime in twelve of thirteen weeks; since October nobody with authority to "
            "release or to decide on product is there on Saturdays.",
            refs(found),
        )


def _operator_of(area: str) -> str:
    """The first operator's place of an area."""
    return next(p.name for p in PLACES if p.role == "operator" and p.areas == (area,))
