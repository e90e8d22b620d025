"""What looks like a weakness and is in order: whoever reports one of these was too quick."""

from datetime import date, time, timedelta

from witnessmark.practice.answer_key import LookAlike, refs
from witnessmark.practice.board import QUALITY
from witnessmark.practice.floor import LIGHTS_OUT, TURNING
from witnessmark.practice.model import Plant
from witnessmark.practice.shift_calendar import (
    DAYLIGHT_SAVING_WEEK,
    SATURDAY,
    SUNDAY,
    local_day,
    minute,
)
from witnessmark.practice.shop import Row
from witnessmark.practice.staffing import LONG_AGO, add_qualification, allocate, key_of
from witnessmark.practice.weaknesses.night_row import ROW
from witnessmark.practice.weaknesses.setups import set_up_runs
from witnessmark.practice.weaknesses.story import (
    INTERVAL_LIMIT_MIN,
    Story,
    bare_stretches,
    checks_of,
    day_of,
    gaps_of,
    ref,
    shift_of,
    utc,
)
from witnessmark.practice.weaknesses.suspects import failure_window, reached, window_ref

PAPER, PAPER_MIN = "paper", 12


class TraineeWithTrainer(Story):
    """A trainee without the level works beside a named trainer at the same machine."""

    MACHINE = "T2-02"

    def __init__(self) -> None:
        self._rows: list[Row] = []

    def on_record(self, plant: Plant) -> None:
        """A trainee on early shifts of the third and fourth week."""
        trainee = key_of(plant.shop.seed, "A", "trainee")
        plant.shop.add("people", person_key=trainee, employer_kind="own", home_shift=None)
        add_qualification(plant.shop, trainee, TURNING, 1, LONG_AGO)
        for week in (2, 3):
            for weekday in range(5):
                shift = shift_of(plant, "T2", day_of(week, weekday), "early")
                trainer = plant.staff.operator(self.MACHINE, shift)
                span = (shift.start, shift.end)
                plant.shop.add("attendances", person_key=trainee, in_at=shift.start - 9,
                               out_at=shift.end + 5, kind="regular")  # fmt: skip
                row = allocate(plant.shop, trainee, self.MACHINE, span, "trainee", trainer)
                self._rows.append(row)

    def told(self, plant: Plant) -> LookAlike:
        """The trainee's allocations."""
        del plant
        return LookAlike(
            "trainee with trainer",
            "A trainee of level 1 is put to T2-02 together with a named trainer at that machine.",
            refs(
                (
                    "unqualified-attendance",
                    ref(row["person_key"], self.MACHINE, utc(row["start_at"]), TURNING),
                )
                for row in self._rows
            ),
        )


class LaboratoryClock(Story):
    """The laboratory's clock runs eleven minutes ahead: its results look later than the release."""

    def told(self, plant: Plant) -> LookAlike:
        """Every set-up whose first-off was measured there."""
        labs = {
            check.run.id: check.run
            for machine, history in plant.histories.items()
            if machine.startswith("T2")
            for check in history.checks
            if check.extract == "lab"
        }
        # A set-up whose record another story took away has no release to look late.
        recorded = {row["setup_id"] for row in plant.shop.tables["setups"]}
        setups = [
            run.setup["setup_id"]
            for run in labs.values()
            if run.setup and run.setup["setup_id"] in recorded
        ]
        return LookAlike(
            "the laboratory's clock",
            "First-offs of T2 come from a terminal that is 11 minutes ahead; in true time every "
            "one of them lies before its release.",
            refs(("release-before-evidence", str(setup)) for setup in setups),
        )


class PaperFirstOffs(Story):
    """Three first-offs come from a paper sheet whose times are by somebody's watch."""

    def __init__(self) -> None:
        self._setups: list[str] = []

    def at_machines(self, plant: Plant) -> None:
        """Writes them down twelve minutes after the release."""
        for run in set_up_runs(plant, "D1-01", 3)[:3]:
            history = plant.histories["D1-01"]
            check = next(c for c in history.checks if c.run is run and c.kind == "first-off")
            if run.setup is None:
                continue
            check.at = run.setup["released_at"] + PAPER_MIN
            check.entered_at, check.extract = check.at + 2, PAPER
            self._setups.append(run.setup["setup_id"])
            history.checks.sort(key=lambda one: one.at)

    def told(self, plant: Plant) -> LookAlike:
        """The three set-ups."""
        del plant
        return LookAlike(
            "a paper sheet twelve minutes off",
            "Three first-offs of D1-01 were written on paper with times twelve minutes after the "
            "release: inside what a watch and a terminal may differ by.",
            refs([("release-before-evidence", setup) for setup in self._setups]),
        )


class SplitAtMidnight(Story):
    """The machine log cuts the runs of one machine at midnight; nothing was set up then."""

    MACHINE, WEEKS = "D1-03", range(2, 6)

    def __init__(self) -> None:
        self._parts: list[str] = []

    def on_record(self, plant: Plant) -> None:
        """Cuts every order of four weeks that runs over midnight."""
        midnights = [shift.start + 150 for shift in plant.shop.calendar.shifts["D1"]
                     if shift.name == "night" and shift.week in self.WEEKS]  # fmt: skip
        for at in midnights:
            order = next(
                (row for row in plant.shop.find("runs", machine_id=self.MACHINE)
                 if row["start_at"] < at < (row["end_at"] or 1 << 40)), None
            )  # fmt: skip
            if order is not None:
                after = {**order, "run_id": plant.shop.new_id("R"), "start_at": at}
                order.update(end_at=at, end_kind="other")
                plant.shop.tables["runs"].append(after)
                self._parts.append(after["run_id"])

    def told(self, plant: Plant) -> LookAlike:
        """The parts after midnight, which are no starts of their own."""
        del plant
        return LookAlike(
            "runs cut at midnight",
            "The log of D1-03 ends each run at midnight and begins another of the same part.",
            refs([("setup-unrecorded", part) for part in self._parts]),
        )


class FollowOnOrders(Story):
    """The next order asks for the same part: it goes on without a set-up."""

    def told(self, plant: Plant) -> LookAlike:
        """The orders that began without one."""
        orders = [
            str(order["run_id"])
            for history in plant.histories.values()
            for run in history.runs
            for order in run.orders[1:]
        ]
        return LookAlike(
            "follow-on orders",
            "Where the next order asks for the same part the machine runs on; there is nothing to "
            "set up and no first piece.",
            refs([("setup-unrecorded", order) for order in orders]),
        )


class PermittedNights(Story):
    """One machine may run nights unattended between visits, and is visited in time."""

    def told(self, plant: Plant) -> LookAlike:
        """Its intervals, and the stretches that the describing test shows all the same."""
        innocent, shows = [], []
        for machine in LIGHTS_OUT:
            history = plant.histories[machine]
            nights = [s for s in plant.shop.calendar.shifts[machine[:2]] if s.name == "night"]
            for shift in nights:
                starts = bare_stretches(plant, history, shift)
                shows += [("unallocated-running", ref(machine, utc(at))) for at in starts]
            for run in history.runs:
                for start, end, _ in gaps_of(history, run, checks_of(history, run)):
                    interval = ref(run.id, utc(start), utc(end), "running-time")
                    innocent.append(("check-interval-exceeded", interval))
        return LookAlike(
            "permitted nights of T2-06",
            "T2-06 runs nights without an operator by a permission of 150 minutes between visits; "
            "every visit and every patrol is in time.",
            refs(innocent),
            refs(shows),
        )


class StoppedInBetween(Story):
    """Checks far apart by the clock on the wall, and in time by the running of the machine."""

    def told(self, plant: Plant) -> LookAlike:
        """Every gap that is long on the wall and short in running."""
        found = []
        for machine, history in plant.histories.items():
            if machine in ROW:
                continue
            for run in history.runs:
                complete = [c for c in checks_of(history, run) if not c.left_out]
                for start, end, minutes in gaps_of(history, run, complete):
                    if end - start > INTERVAL_LIMIT_MIN >= minutes:
                        gap = ref(run.id, utc(start), utc(end), "running-time")
                        found.append(("check-interval-exceeded", gap))
        return LookAlike(
            "late on the wall, in time by running",
            "Repairs and weekends lie between the two checks; the interval counts running time.",
            refs(found),
        )


class ClockChange(Story):
    """The night in which the clocks went back: two o'clock came twice."""

    def told(self, plant: Plant) -> LookAlike:
        """The gaps that end in that night."""
        shift = shift_of(plant, "T1", day_of(DAYLIGHT_SAVING_WEEK, SATURDAY), "night")
        found = []
        for history in plant.histories.values():
            for run in history.runs:
                gaps = gaps_of(history, run, checks_of(history, run))
                found += [
                    ("check-interval-exceeded", ref(run.id, utc(a), utc(b), "running-time"))
                    for a, b, _ in gaps
                    if shift.start < b <= shift.end
                ]
        return LookAlike(
            "the night of the clock change",
            "In the nine-hour night of 24 October a check at 02:40 can come an hour and a half "
            "after one at 02:10.",
            refs(found),
        )


class PlannedStops(Story):
    """Machines stand over the weekend; nobody has to answer that."""

    def told(self, plant: Plant) -> LookAlike:
        """The weekend's stops and their restarts."""
        stops = [row["stop_id"] for row in plant.shop.find("stoppages", reason="weekend")]
        pairs = [("stop-unanswered", stop) for stop in stops]
        return LookAlike(
            "standing over the weekend",
            "A planned stop asks for nobody; the restart after it was checked.",
            refs(pairs + [("restart-unverified", stop) for stop in stops]),
        )


class LateScrap(Story):
    """Scrap is booked after the board was filled in: the colour was right when it was set."""

    AREA = "T1"

    def __init__(self) -> None:
        self._days: list[date] = []

    def on_board(self, plant: Plant) -> None:
        """Books enough scrap on three green days to turn them red in the end."""
        green = [
            row for row in plant.shop.find("board_statuses", area=self.AREA, letter=QUALITY)
            if row["colour"] == "green" and row["production_date"].weekday() < SATURDAY
        ]  # fmt: skip
        for status in (green[9], green[23], green[41]):
            day = status["production_date"]
            made = sum(
                row["good"] + row["scrap"]
                for row in plant.shop.find("outputs", production_date=day)
                if row["machine_id"].startswith(self.AREA)
            )
            plant.shop.add("scrap_entries", scrap_id=plant.shop.new_id("SC"),
                           machine_id=f"{self.AREA}-03", booked_at=status["declared_at"] + 190,
                           production_date=day, reason="found at final inspection",
                           qty=made // 20, run_id=None)  # fmt: skip
            self._days.append(day)

    def told(self, plant: Plant) -> LookAlike:
        """The three squares."""
        del plant
        return LookAlike(
            "scrap booked after the meeting",
            "On three days scrap was booked hours after the board was filled in; with what was "
            "known then the green was right.",
            refs([("status-disagreement", ref(self.AREA, QUALITY, day)) for day in self._days]),
        )


class ContainedFailures(Story):
    """Checks that failed, with everything near them held, sorted, and only then shipped."""

    def told(self, plant: Plant) -> LookAlike:
        """Their windows and lots."""
        pairs = []
        for failure in plant.failures:
            run = failure.failed.run
            window = failure_window(plant.histories[run.machine.id], failure.failed, "10")
            pairs.append(("suspect-uncontained", window_ref(window)))
            pairs.append(("reaction-missing", ref(failure.failed.id, "10", 1)))
            pairs += [
                ("suspect-shipped", ref(window_ref(window), lot["lot_no"]))
                for lot in reached(plant, window)
            ]
        return LookAlike(
            "failures that were contained",
            "Three checks failed in daylight; every bin near the window was held within the hour, "
            "and what was shipped had been sorted and released.",
            refs(pairs),
        )


class RolledForward(Story):
    """An order that is overdue is planned anew for later, with the same quantity."""

    AREA = "D1"

    def __init__(self) -> None:
        self._lines: list[tuple[str, str, int]] = []

    def on_record(self, plant: Plant) -> None:
        """Plans three orders anew for the Sunday of their week, on that Sunday."""
        lines = sorted(
            (row for row in plant.shop.tables["schedule_lines"]
             if row["machine_id"].startswith(self.AREA) and row["frozen"]),
            key=lambda row: (row["start_at"], row["machine_id"]),
        )  # fmt: skip
        for row in lines[40:160:50]:
            day = local_day(row["start_at"])
            sunday = day + timedelta(days=SUNDAY - day.weekday())
            moved = {
                **row,
                "version": row["version"] + 1,
                "version_at": minute(sunday, time(18)),
                "start_at": minute(sunday, time(12)),
                "end_at": minute(sunday, time(22)),
            }
            plant.shop.tables["schedule_lines"].append(moved)
            self._lines.append((moved["order_no"], moved["machine_id"], moved["version"]))

    def told(self, plant: Plant) -> LookAlike:
        """The three versions."""
        del plant
        return LookAlike(
            "overdue orders rolled forward",
            "Three orders of D1 were planned anew for as much later as they were overdue, with the "
            "same quantity.",
            refs([("schedule-rewritten", ref(*line)) for line in self._lines]),
        )


class NeighbouringHalls(Story):
    """A setter helps in the neighbouring hall while still put down in his own."""

    def __init__(self) -> None:
        self._rows: list[Row] = []

    def on_record(self, plant: Plant) -> None:
        """The setter of T1 is put to two machines at once, in T1 and T2."""
        shift = shift_of(plant, "T1", day_of(6, 2), "early")
        setter = plant.staff.person("setter 1", shift)
        for machine, start, end in (("T1-02", 97, 180), ("T2-01", 131, 203)):
            span = (shift.start + start, shift.start + end)
            self._rows.append(allocate(plant.shop, setter, machine, span, "setter"))

    def told(self, plant: Plant) -> LookAlike:
        """The two rows."""
        del plant
        return LookAlike(
            "one setter in two neighbouring halls",
            "T1 and T2 are neighbours by the plant's own list; one person can serve both.",
            refs(
                (
                    "double-allocation",
                    ref(r["person_key"], r["machine_or_group"], utc(r["start_at"])),
                )
                for r in self._rows
            ),
        )
