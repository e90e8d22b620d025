"""Stories around checks: left out, to old limits, of a standing machine, typed in late."""

from datetime import date, timedelta

from witnessmark.practice.answer_key import Weakness, refs
from witnessmark.practice.floor import LAST_OLD_DAY, PLANS, REVISED_ON, plan_on
from witnessmark.practice.history import Check, Run
from witnessmark.practice.measuring import gauge_of
from witnessmark.practice.model import Plant
from witnessmark.practice.production import Counter
from witnessmark.practice.shift_calendar import local_day
from witnessmark.practice.weaknesses.story import (
    Story,
    checks_of,
    day_of,
    gaps_of,
    overdue_at,
    ref,
    shift_of,
    utc,
)

LATE_MIN = 30


class DueByQuantity(Story):
    """The runout that is due every six hundred pieces is left out for one such quantity."""

    MACHINE, LINE, EVERY, CLEAR = "T2-02", "50", 600, 8

    def __init__(self) -> None:
        self._due: tuple[Run, int] | None = None

    def at_machines(self, plant: Plant) -> None:
        """Leaves the line out of every check of one quantity, clear of its edges."""
        history = plant.histories[self.MACHINE]
        counter = Counter(plant.shop, history)
        for run in history.runs[3:]:
            pieces = {c.id: counter.made(run, c.at) for c in checks_of(history, run)}
            last = counter.made(run, run.end or history.end) // self.EVERY
            for number in range(2, last - 1):
                window = (number * self.EVERY, (number + 1) * self.EVERY)
                near = [
                    abs(made - edge) < self.CLEAR for made in pieces.values() for edge in window
                ]
                if not any(near):
                    for check in checks_of(history, run):
                        if window[0] <= pieces[check.id] < window[1]:
                            check.left_out |= {self.LINE}
                    self._due = (run, number)
                    return

    def told(self, plant: Plant) -> Weakness:
        """The due quantity."""
        del plant
        if self._due is None:
            raise LookupError(type(self).__name__)
        run, number = self._due
        due = f"{number * self.EVERY}-pieces"
        return Weakness(
            "check by quantity left out",
            "The runout that is due every 600 pieces is missing once on T2-02.",
            refs([("due-check-missed", ref(run.id, self.LINE, due))]),
        )


class DueByEvent(Story):
    """After a tool change the length is not measured before the next one."""

    MACHINE, LINE = "T2-04", "60"

    def __init__(self) -> None:
        self._event: tuple[Run, str] | None = None

    def at_machines(self, plant: Plant) -> None:
        """Leaves the line out of the only restart check between two tool changes."""
        history = plant.histories[self.MACHINE]
        events = plant.shop.find("process_events", machine_id=self.MACHINE, kind="tool-change")
        for run in history.runs[4:]:
            end = run.end or history.end
            inside = [e for e in events if run.start <= e["happened_at"] < end]
            for number, event in enumerate(inside):
                following = inside[number + 1]["happened_at"] if number + 1 < len(inside) else end
                between = [
                    c for c in checks_of(history, run)
                    if c.kind == "restart" and event["happened_at"] <= c.at < following
                ]  # fmt: skip
                measured = [c for c in checks_of(history, run) if c.kind == "restart"]
                if len(between) == 1 < len(measured):
                    between[0].left_out |= {self.LINE}
                    self._event = (run, event["event_id"])
                    return

    def told(self, plant: Plant) -> Weakness:
        """The tool change without its measurement."""
        del plant
        if self._event is None:
            raise LookupError(type(self).__name__)
        run, event = self._event
        return Weakness(
            "check after tool change left out",
            "After one tool change on T2-04 the length was not measured before the next.",
            refs([("due-check-missed", ref(run.id, self.LINE, event))]),
        )


class CheckWhileStopped(Story):
    """The hourly sheet is filled in while the machine stands for a repair."""

    MACHINE, REPAIRS, MINUTES = "D1-02", 2, (33, 46)

    def __init__(self) -> None:
        self._checks: list[Check] = []

    def at_machines(self, plant: Plant) -> None:
        """Two checks in each of two long repairs; the second one has no piece behind it."""
        history = plant.histories[self.MACHINE]
        for stop in plant.shop.find("stoppages", machine_id=self.MACHINE, reason="repair"):
            is_long = stop["end_at"] - stop["start_at"] > max(self.MINUTES) + 12
            if not is_long or len(self._checks) == self.REPAIRS:
                continue
            run = next(r for r in history.runs if r.start <= stop["start_at"] < (r.end or 1 << 40))
            shift = plant.shop.calendar.shift_at(history.machine.area, stop["start_at"])
            if shift is None:
                continue
            person = plant.staff.operator(self.MACHINE, shift)
            for minutes in self.MINUTES:
                at = stop["start_at"] + minutes
                check = Check(plant.shop.new_id("C"), run, at, "patrol", person, at - 4, at + 3)
                history.checks.append(check)
            self._checks.append(check)
        history.checks.sort(key=lambda one: one.at)

    def told(self, plant: Plant) -> Weakness:
        """The second check in each repair."""
        del plant
        return Weakness(
            "checks of a standing machine",
            "Twice in a long repair of D1-02 two checks are recorded; before the second no piece "
            "had been made since the first.",
            refs([("check-while-stopped", check.id) for check in self._checks]),
        )


class LateEntries(Story):
    """For a week the night sheets of one hall are typed in at the end of the shift."""

    AREA, WEEK = "D1", 10

    def __init__(self) -> None:
        self._late: list[Check] = []

    def at_machines(self, plant: Plant) -> None:
        """Types every check of the five nights a quarter of an hour before the morning shift."""
        for weekday in range(5):
            shift = shift_of(plant, self.AREA, day_of(self.WEEK, weekday), "night")
            typed = shift.end - 16
            for history in plant.histories.values():
                if history.machine.area != self.AREA:
                    continue
                for check in history.checks:
                    if shift.start <= check.at < typed - 4 and check.kind != "first-off":
                        typed += 1
                        check.entered_at = max(check.entered_at, typed)
                        if check.entered_at - check.at > LATE_MIN:
                            self._late.append(check)

    def told(self, plant: Plant) -> Weakness:
        """Every check typed in more than half an hour after it was made."""
        del plant
        return Weakness(
            "night sheets typed at the end of the shift",
            "For one week the night checks of D1 are all entered shortly before 05:30.",
            refs([("late-entry", check.id) for check in self._late]),
        )


class OldLimits(Story):
    """The control plan was tightened, and one machine's sheet still shows the old limits."""

    MACHINE, DAYS = "T1-02", 28

    def at_machines(self, plant: Plant) -> None:
        """Leaves the old sheet at the machine for four weeks; first-offs go by the new plan."""
        for check in self._old(plant):
            check.sheet_day = LAST_OLD_DAY

    def _old(self, plant: Plant) -> list[Check]:
        until = REVISED_ON + timedelta(days=self.DAYS)
        return [
            check
            for check in plant.histories[self.MACHINE].checks
            if check.run.part == "1055"
            and check.kind != "first-off"
            and REVISED_ON <= local_day(check.at) < until
        ]

    def told(self, plant: Plant) -> Weakness:
        """Each run with the lines whose limits were tightened."""
        new = next(p for p in PLANS if p.part_no == "1055" and p.rev == "C")
        old = next(p for p in PLANS if p.part_no == "1055" and p.rev == "B")
        changed = [a.no for a, b in zip(old.lines, new.lines, strict=True) if a.limits != b.limits]
        found = {
            ("plan-line-unchecked", ref(check.run.id, new.no, line, new.rev))
            for check in self._old(plant)
            for line in changed
            if any(one.no == line and check.kind in one.kinds for one in new.lines)
        }
        return Weakness(
            "sheet with superseded limits",
            "CP-1055 was tightened on 27 September; the sheet of T1-02 shows revision B for four "
            "weeks more.",
            refs(found),
        )


class LineLeftOut(Story):
    """In one run a characteristic is never looked at."""

    MACHINE, LINE = "D1-03", "30"

    def __init__(self) -> None:
        self._run: Run | None = None

    def at_machines(self, plant: Plant) -> None:
        """Leaves the burr out of every check of one run, its first-off included."""
        history = plant.histories[self.MACHINE]
        for run in history.runs[5:]:
            shift = plant.shop.calendar.shift_at(
                history.machine.area, history.minute_of(history.running_at(run.start) + 121)
            )
            due = history.minute_of(history.running_at(run.start) + 121)
            if run.setup is None or shift is None:
                continue
            if due + 14 < shift.break_start or shift.break_end < due:
                for check in checks_of(history, run):
                    check.left_out |= {self.LINE}
                self._run = run
                return

    def told(self, plant: Plant) -> Weakness:
        """The run with its line, and what follows in the tests on intervals and first-offs."""
        if self._run is None or self._run.setup is None:
            raise LookupError(type(self).__name__)
        run, history = self._run, plant.histories[self.MACHINE]
        plan = plan_on(run.part, history.machine.op, local_day(run.start))
        [(start, end, _)] = gaps_of(history, run, [])
        changes = [shift.start for shift in plant.shop.calendar.shifts["D1"]]
        overdue = overdue_at(history, [at for at in changes if start < at < end], self.LINE)
        return Weakness(
            "characteristic never checked in a run",
            "In one run on D1-03 the burr inside is in no check, from the first-off on.",
            refs([("plan-line-unchecked", ref(run.id, plan.no, self.LINE, plan.rev))]),
            refs(
                [
                    ("check-interval-exceeded", ref(run.id, utc(start), utc(end), "running-time")),
                    ("first-off-missing", ref((run.setup or {})["setup_id"], self.LINE)),
                    *(
                        ("handover-incomplete", ref("D1", utc(at), "check-overdue", self.MACHINE))
                        for at in overdue
                    ),
                ]
            ),
        )


class GaugeOverdue(Story):
    """A height gauge was due on a Monday and went to calibration the week after."""

    MACHINE, KIND = "T2-02", "height gauge"
    DUE, DONE = date(2026, 10, 12), date(2026, 10, 20)

    def on_record(self, plant: Plant) -> None:
        """Moves the calibration behind its due date."""
        gauge = gauge_of(self.MACHINE, self.KIND)
        rows = plant.shop.find("calibrations", gauge_id=gauge)
        plant.shop.discard("calibrations", rows)
        for done, due in ((self.DUE - timedelta(days=365), self.DUE),
                          (self.DONE, self.DONE + timedelta(days=365))):  # fmt: skip
            plant.shop.tables["calibrations"].append({**rows[0], "done_on": done, "next_due": due})

    def told(self, plant: Plant) -> Weakness:
        """Every measurement with it between the two days."""
        gauge = gauge_of(self.MACHINE, self.KIND)
        done_on = {
            row["check_id"]: local_day(row["done_at"])
            for row in plant.shop.find("checks", machine_id=self.MACHINE)
        }
        found = [
            ("gauge-overdue", ref(row["check_id"], row["line"], row["piece_no"]))
            for row in plant.shop.find("measurements", gauge_id=gauge)
            if self.DUE < done_on[row["check_id"]] < self.DONE
        ]
        return Weakness(
            "gauge used past its due date",
            f"{gauge} was due on 12 October and was calibrated on the 20th; T2-02 measured with it "
            "all that week.",
            refs(found),
        )
