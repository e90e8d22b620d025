"""Stories on the plan: deliveries short behind green, a plan rewritten, lost time."""

from witnessmark.practice.answer_key import Weakness, refs
from witnessmark.practice.board import DELIVERY
from witnessmark.practice.model import Plant
from witnessmark.practice.shift_calendar import local_day
from witnessmark.practice.weaknesses.story import Story, day_of, ref, week_ref

WEEK_MIN = 7 * 24 * 60


class Undelivered(Story):
    """The board is green by obedience to the plan, and customers wait for a part."""

    PART, WEEKS = "2247", (2, 6, 8, 10)

    def on_record(self, plant: Plant) -> None:
        """Puts one container of the order on a truck of the week after."""
        for week in self.WEEKS:
            order = f"CO-{self.PART}-{day_of(week, 0).isocalendar().week}"
            rows = plant.shop.find("shipment_lines", customer_order=order)
            late = max(rows, key=lambda row: row["shipped_at"])
            late["shipped_at"] += WEEK_MIN - 24 * 60 * local_day(late["shipped_at"]).weekday()
            late["ship_no"], late["premium_freight"] = f"{late['ship_no']}-R", True

    def told(self, plant: Plant) -> Weakness:
        """Part and week of each late order."""
        del plant
        found = [
            ("attained-but-undelivered", ref(self.PART, week_ref(week))) for week in self.WEEKS
        ]
        return Weakness(
            "attained and not delivered",
            f"In four weeks an order of {self.PART} was completed a week late while delivery was "
            "green on the board nearly every day.",
            refs(found),
        )


class Rewritten(Story):
    """On evenings of short days the plan is printed again with what will be reached."""

    AREA = "T2"

    def __init__(self) -> None:
        self._lines: list[tuple[str, str, int]] = []

    def on_record(self, plant: Plant) -> None:
        """A new frozen version at seven in the evening of the second and the third short day."""
        days = sorted(day for area, day in plant.reds.on(DELIVERY) if area == self.AREA)[1:3]
        lines = [
            row for row in plant.shop.tables["schedule_lines"]
            if row["machine_id"].startswith(self.AREA) and row["frozen"]
            and local_day(row["start_at"]) in days
        ]  # fmt: skip
        for row in lines:
            later = {
                **row,
                "version": row["version"] + 1,
                "version_at": row["start_at"] + 13 * 60 + 30,
                "qty": int(row["qty"] * 0.8),
            }
            plant.shop.tables["schedule_lines"].append(later)
            self._lines.append((later["order_no"], later["machine_id"], later["version"]))

    def told(self, plant: Plant) -> Weakness:
        """Every line that was printed anew."""
        del plant
        return Weakness(
            "plan rewritten on the evening of the day",
            "On two short days the plan of T2 was printed again at 19:00 with lower quantities; "
            "the board is green by the last print.",
            refs([("schedule-rewritten", ref(*line)) for line in self._lines]),
        )


class UnexplainedTime(Story):
    """Shifts whose records do not add up: a lost log, stops without reason, too many pieces."""

    LOST_MIN, FULL_SHIFT = 40, 300

    def __init__(self) -> None:
        self._shifts: set[tuple[str, str, str]] = set()

    def on_record(self, plant: Plant) -> None:
        """One of each kind, on three machines."""
        self._lose_log(plant, "T2-03")
        self._forget_reasons(plant, "D1-01")
        self._book_too_much(plant, "T1-08")

    def _mark(self, plant: Plant, machine: str, at: int) -> None:
        shift = plant.shop.calendar.shift_at(machine[:2], at)
        if shift is None:
            raise LookupError((machine, at))
        self._shifts.add((machine, str(shift.day), shift.name))

    def _lose_log(self, plant: Plant, machine: str) -> None:
        """Forty minutes of waiting inside a shift are not in the log."""
        rows = plant.shop.find("machine_states", machine_id=machine, reason="waiting for setter")
        for row in rows[2:]:
            start, shift = row["start_at"] + 2, plant.shop.calendar.shift_at("T2", row["start_at"])
            back = start + self.LOST_MIN
            if shift and back < min(row["end_at"], shift.end) - 2:
                rest = {**row, "start_at": back}
                row["end_at"] = start
                plant.shop.tables["machine_states"].append(rest)
                self._mark(plant, machine, start)
                return
        raise LookupError(machine)

    def _forget_reasons(self, plant: Plant, machine: str) -> None:
        """The repairs of two shifts carry no reason."""
        stops = plant.shop.find("stoppages", machine_id=machine, reason="repair")
        for stop in stops[:2]:
            stop["reason"] = None
            self._mark(plant, machine, stop["start_at"])

    def _book_too_much(self, plant: Plant, machine: str) -> None:
        """The output of one shift is typed with a digit too much."""
        row = next(
            row for row in plant.shop.find("outputs", machine_id=machine)
            if row["production_date"] >= day_of(4, 0) and row["good"] > self.FULL_SHIFT
            and row["shift"] == "late"
        )  # fmt: skip
        row["good"] = row["good"] * 10 + 4
        self._shifts.add((machine, str(row["production_date"]), row["shift"]))

    def told(self, plant: Plant) -> Weakness:
        """The four machine shifts."""
        del plant
        return Weakness(
            "shifts that do not add up",
            "Forty minutes without a state on T2-03, two repairs without a reason on D1-01, and "
            "ten times the possible output on T1-08.",
            refs([("unexplained-time", ref(*shift)) for shift in self._shifts]),
        )
