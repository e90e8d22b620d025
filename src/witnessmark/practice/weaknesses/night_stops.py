"""What happens when a machine stops itself in a night without its operator."""

from datetime import date

from witnessmark.practice.answer_key import Weakness, refs
from witnessmark.practice.checking import Inspector
from witnessmark.practice.history import Check, DueCheck, History, Run
from witnessmark.practice.model import Plant
from witnessmark.practice.shop import Habits, NightStop, Row
from witnessmark.practice.weaknesses.night_row import NEIGHBOUR, NIGHTS, ROW, night
from witnessmark.practice.weaknesses.story import Story, checks_of, ref, run_at
from witnessmark.practice.weaknesses.suspects import Window, consequences

STOPS = {
    ("T1-06", NIGHTS[1]): NightStop(205, 64),
    ("T1-07", NIGHTS[4]): NightStop(160, 48),
    ("T1-05", NIGHTS[7]): NightStop(248, 71),
    ("T1-07", NIGHTS[10]): NightStop(96, 55),
    ("T1-06", NIGHTS[14]): NightStop(301, 52),
}
ENDS = {
    ("T1-05", NIGHTS[3]): NightStop(342, None),
    ("T1-08", NIGHTS[8]): NightStop(287, None),
    ("T1-07", NIGHTS[13]): NightStop(226, None),
    ("T1-06", NIGHTS[17]): NightStop(395, None),
}
CHECKED_WITHIN_MIN = 15
ANSWER_MIN = 15


def is_unanswered(history: History, stopped: int) -> bool:
    """Whether no check shows somebody at the machine soon after it stopped at night."""
    return not any(stopped <= check.at <= stopped + ANSWER_MIN for check in history.checks)


class NightStops(Story):
    """A jam at night: the neighbour clears it an hour later and starts the machine again."""

    def __init__(self) -> None:
        self._unverified: list[tuple[History, Row]] = []

    def habits(self) -> Habits:
        """The jams."""
        return Habits(night_stops=dict(STOPS))

    def at_machines(self, plant: Plant) -> None:
        """After every other restart the neighbour measures; after the rest he does not."""
        for number, (history, stop) in enumerate(self._stops(plant)):
            run = run_at(history, stop["start_at"])
            if number % 2 == 0:
                person = plant.staff.person(NEIGHBOUR, night(plant, self._day(history, stop)))
                inspector = Inspector(plant.shop, plant.staff, history)
                inspector.add(run, DueCheck(stop["end_at"] + 9, "restart", person))
                history.checks.sort(key=lambda check: check.at)
            elif self._first_after(history, run, stop) is None or self._is_late(history, run, stop):
                self._unverified.append((history, stop))

    def _stops(self, plant: Plant) -> list[tuple[History, Row]]:
        found = []
        for (machine, day), planned in STOPS.items():
            at = night(plant, day).start + planned.minutes_in
            rows = plant.shop.find("stoppages", machine_id=machine, start_at=at)
            found += [(plant.histories[machine], row) for row in rows]
        return found

    def _day(self, history: History, stop: Row) -> date:
        return next(
            day for (machine, day), planned in STOPS.items()
            if machine == history.machine.id
            and planned.stands_min == stop["end_at"] - stop["start_at"]
        )  # fmt: skip

    def _first_after(self, history: History, run: Run, stop: Row) -> Check | None:
        later = [c for c in checks_of(history, run) if c.taken_at >= stop["end_at"]]
        return later[0] if later else None

    def _is_late(self, history: History, run: Run, stop: Row) -> bool:
        check = self._first_after(history, run, stop)
        if check is None:
            return True
        return (
            history.running_at(check.at) - history.running_at(stop["end_at"]) > CHECKED_WITHIN_MIN
        )

    def told(self, plant: Plant) -> Weakness:
        """The stops, the restarts nobody attended, and those that nobody checked."""
        found = []
        for history, stop in self._stops(plant):
            if is_unanswered(history, stop["start_at"]):
                found.append(("stop-unanswered", stop["stop_id"]))
            found.append(("attended-event-unattended", ref("restart", stop["stop_id"])))
        found += [("restart-unverified", stop["stop_id"]) for _, stop in self._unverified]
        return Weakness(
            "jams at night answered an hour later",
            "Machines of the night row jam; nobody acknowledges, the neighbour restarts them about "
            "an hour later, and not every restart is checked.",
            refs(found),
            refs(consequences(plant, [self._window(h, s) for h, s in self._unverified])),
        )

    def _window(self, history: History, stop: Row) -> Window:
        run = run_at(history, stop["start_at"])
        closing = self._first_after(history, run, stop)
        end = closing.at if closing else run.end or history.end
        return Window("restart", stop["stop_id"], run, stop["end_at"], stop["start_at"], end)


class NightEnds(Story):
    """A bar runs out at night: the last-off comes after the next set-up began."""

    def habits(self) -> Habits:
        """The ends."""
        return Habits(night_stops=dict(ENDS))

    def on_record(self, plant: Plant) -> None:
        """The last bin of the first of them is moved before anybody looked at its last piece."""
        runs = self._runs(plant)
        for lot in plant.shop.find("lots", machine_id=runs[0].machine.id, closed_at=runs[0].end):
            lot["moved_at"] = (runs[0].end or 0) + 78

    def _runs(self, plant: Plant) -> list[Run]:
        return [
            run for machine in ROW for run in plant.histories[machine].runs
            if run.end_kind == "auto-stop"
        ]  # fmt: skip

    def told(self, plant: Plant) -> Weakness:
        """The ends of runs, and the stops that nobody answered."""
        found = []
        for run in self._runs(plant):
            found.append(("last-off-late", run.id))
            stops = plant.shop.find("stoppages", machine_id=run.machine.id, start_at=run.end)
            if run.end is not None and is_unanswered(plant.histories[run.machine.id], run.end):
                found += [("stop-unanswered", stop["stop_id"]) for stop in stops]
        return Weakness(
            "last-off of runs that ended at night",
            "Where a bar ran out at night the last-off is made in the morning, after the next "
            "set-up had begun.",
            refs(found),
        )


class NightBarChange(Story):
    """The loader of an unattended machine goes on to another bar lot by itself."""

    NIGHTS = (("T1-06", NIGHTS[5]), ("T1-08", NIGHTS[11]), ("T1-05", NIGHTS[16]))

    def __init__(self) -> None:
        self._events: list[str] = []

    def on_record(self, plant: Plant) -> None:
        """Changes the lot at about two in the morning, where the machine ran then."""
        for machine, day in self.NIGHTS:
            shift = night(plant, day)
            at = shift.break_end + 25
            history = plant.histories[machine]
            use = [
                row for row in plant.shop.find("material_uses", machine_id=machine)
                if row["start_at"] < at < (row["end_at"] or 1 << 40)
            ]  # fmt: skip
            if not use or not history.is_running(at - 2, at + 2):
                continue
            lot = {**use[0], "lot_no": plant.shop.new_id("BL"), "start_at": at}
            use[0]["end_at"] = at
            plant.shop.tables["material_uses"].append(lot)
            event = plant.shop.new_id("EV")
            plant.shop.add("process_events", event_id=event, machine_id=machine, happened_at=at,
                           kind="material-change", reference=lot["lot_no"],
                           done_by=None)  # fmt: skip
            self._events.append(event)

    def told(self, plant: Plant) -> Weakness:
        """The changes of lot."""
        del plant
        return Weakness(
            "bar lot changed with nobody there",
            "The staffing rule asks for somebody at a change of bar lot; three happened in nights "
            "without an operator.",
            refs([("attended-event-unattended", ref("material-change", e)) for e in self._events]),
        )
