"""The story at the heart of the plant: a row of machines runs the night without its operator.

It began in October, three nights a week, when one operator was lent to another hall. First nobody
was put down for the row; later the neighbour was noted as its watcher, with four machines of his
own. The control plan names nobody for a machine without its operator, the neighbour comes when he
can, and the handover does not speak of it.
"""

from datetime import date

from witnessmark.practice.answer_key import Weakness, refs
from witnessmark.practice.floor import PATROL_MIN, plan_on
from witnessmark.practice.history import History, Run
from witnessmark.practice.model import Plant
from witnessmark.practice.shift_calendar import Shift, local_day
from witnessmark.practice.shop import Habits
from witnessmark.practice.staffing import PERMIT_BREAK_MIN, allocate
from witnessmark.practice.weaknesses.story import (
    INTERVAL_LIMIT_MIN,
    Story,
    bare_stretches,
    checks_of,
    day_of,
    gaps_of,
    is_up,
    overdue_at,
    ref,
    shift_of,
    unattended_starts,
    utc,
)

AREA, NEIGHBOUR = "T1", "operator 1 of T1"
ROW = ("T1-05", "T1-06", "T1-07", "T1-08")
FIRST_WEEK, WATCHED_FROM, LAST_WEEK = 5, 9, 11
WEEKDAYS = (1, 2, 3)
NIGHTS = tuple(
    day_of(week, weekday) for week in range(FIRST_WEEK, LAST_WEEK + 1) for weekday in WEEKDAYS
)
WATCHED_NIGHTS = tuple(day for day in NIGHTS if day >= day_of(WATCHED_FROM, 0))


def night(plant: Plant, day: date) -> Shift:
    """The night shift of a day in the row's area."""
    return shift_of(plant, AREA, day, "night")


class NightRow(Story):
    """A row of machines runs nights without its operator and without a permission."""

    def habits(self) -> Habits:
        """The nights."""
        return Habits(open_nights=frozenset((m, day) for m in ROW for day in NIGHTS))

    def on_record(self, plant: Plant) -> None:
        """From November the neighbour stands on the board as watcher of the row."""
        for day in WATCHED_NIGHTS:
            shift = night(plant, day)
            person = plant.staff.person(NEIGHBOUR, shift)
            for machine in ROW:
                allocate(plant.shop, person, machine, (shift.start, shift.end), "watcher")

    def on_board(self, plant: Plant) -> None:
        """The handover says that one person is short, and nothing of the row."""
        for day in NIGHTS:
            shift = night(plant, day)
            for change in (shift.start, shift.end):
                silent = plant.shop.find(
                    "handover_items", area=AREA, change_at=change, kind="unattended"
                )
                plant.shop.discard("handover_items", silent)
            plant.shop.add("handover_items", area=AREA, change_at=shift.start, no=90,
                           kind="staffing", machine_id=None, text="one operator short",
                           acknowledged=True)  # fmt: skip

    def told(self, plant: Plant) -> Weakness:
        """Every test that a night without an operator shows in."""
        found: list[tuple[str, str]] = []
        self._shifts = [night(plant, day) for day in NIGHTS]
        for machine in ROW:
            history = plant.histories[machine]
            for run in history.runs:
                found += self._late(history, run)
            for day in NIGHTS:
                found += self._night(plant, history, night(plant, day))
        return Weakness(
            "night row without operator",
            "Four machines run Tuesday to Thursday nights unattended, without a permission beyond "
            "the break; patrols come late, the control plan names nobody, no handover says so.",
            refs(found),
        )

    def _late(self, history: History, run: Run) -> list[tuple[str, str]]:
        """Gaps between checks that are too long, and checks that fell due with nobody there."""
        found = self._unowned(history, run)
        for start, end, minutes in gaps_of(history, run, checks_of(history, run)):
            if minutes > INTERVAL_LIMIT_MIN:
                late = ref(run.id, utc(start), utc(end), "running-time")
                found.append(("check-interval-exceeded", late))
        return found

    def _unowned(self, history: History, run: Run) -> list[tuple[str, str]]:
        plan = plan_on(run.part, history.machine.op, local_day(run.start))
        lines = [line.no for line in plan.lines if line.basis == "running-time"]
        dues = [
            history.minute_of(history.running_at(start) + PATROL_MIN)
            for start, _, minutes in gaps_of(history, run, checks_of(history, run))
            if minutes >= PATROL_MIN
        ]
        return [
            ("check-without-owner", ref(run.id, line, utc(due)))
            for due in dues
            if any(shift.start <= due < shift.end for shift in self._shifts)
            for line in lines
        ]

    def _night(self, plant: Plant, history: History, shift: Shift) -> list[tuple[str, str]]:
        machine = history.machine.id
        found = [
            ("handover-incomplete", ref(AREA, utc(change), kind, machine))
            for change, kind in (
                *((shift.start, "unattended") for _ in range(is_up(history, shift.start))),
                *((at, "check-overdue") for at in overdue_at(history, (shift.start, shift.end))),
            )
        ]
        if shift.day not in WATCHED_NIGHTS:
            found += [
                ("unallocated-running", ref(machine, utc(start)))
                for start in bare_stretches(plant, history, shift)
            ]
        found += [
            ("unattended-without-permission", ref(run.id, utc(start)))
            for run in history.runs
            for start in unattended_starts(history, run, shift, PERMIT_BREAK_MIN)
        ]
        return found
