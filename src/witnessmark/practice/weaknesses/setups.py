"""Stories around set-up and release: no record, no first piece, a signature too early."""

from witnessmark.practice.answer_key import Weakness, refs
from witnessmark.practice.floor import plan_on
from witnessmark.practice.history import Check, Run
from witnessmark.practice.model import Plant
from witnessmark.practice.shift_calendar import Shift, local_day
from witnessmark.practice.weaknesses.story import Story, day_of, ref

FIRST_OFF_WITHIN_MIN = 30


def set_up_runs(plant: Plant, machine: str, week: int) -> list[Run]:
    """Runs of a machine from a week on that began with a set-up, in order of time."""
    return [
        run
        for run in plant.histories[machine].runs
        if run.record is not None and local_day(run.start) >= day_of(week, 0)
    ]


def first_off_of(plant: Plant, run: Run) -> Check:
    """The first-off of a run."""
    checks = plant.histories[run.machine.id].checks
    return next(check for check in checks if check.run is run and check.kind == "first-off")


def shift_at(plant: Plant, run: Run, at: int) -> Shift:
    """The shift of a run's area at a minute in which it is worked.

    Raises:
        LookupError: None is worked then.
    """
    shift = plant.shop.calendar.shift_at(run.machine.area, at)
    if shift is None:
        raise LookupError((run.id, at))
    return shift


class SetupUnrecorded(Story):
    """The part changed, and no set-up record says who did it."""

    def __init__(self) -> None:
        self._runs: list[Run] = []

    def at_machines(self, plant: Plant) -> None:
        """Loses the records of three set-ups."""
        for machine, week, wanted in (("T2-01", 2, 2), ("T1-03", 9, 1)):
            for run in set_up_runs(plant, machine, week)[:wanted]:
                plant.shop.discard("setups", [run.setup] if run.setup else [])
                run.is_recorded = False
                self._runs.append(run)

    def told(self, plant: Plant) -> Weakness:
        """The runs that began without a record."""
        del plant
        return Weakness(
            "set-up without record",
            "Three changes of part have a first-off and no set-up record.",
            refs([("setup-unrecorded", run.id) for run in self._runs]),
        )


class FirstOffMissing(Story):
    """A set-up has no first-off at all, or one that leaves a characteristic out."""

    LEFT_OUT = "30"

    def __init__(self) -> None:
        self._missing: list[tuple[Run, str]] = []

    def at_machines(self, plant: Plant) -> None:
        """One first-off is not there; two leave out the bore."""
        none, *partly = set_up_runs(plant, "T2-04", 4)[:3]
        check = first_off_of(plant, none)
        plant.histories["T2-04"].checks.remove(check)
        plan = plan_on(none.part, none.machine.op, local_day(check.at))
        self._missing += [(none, line.no) for line in plan.lines if "first-off" in line.kinds]
        for run in partly:
            first_off_of(plant, run).left_out = frozenset({self.LEFT_OUT})
            self._missing.append((run, self.LEFT_OUT))

    def told(self, plant: Plant) -> Weakness:
        """The set-ups with the lines that were not measured."""
        del plant
        found = [
            ("first-off-missing", ref((run.setup or {})["setup_id"], line))
            for run, line in self._missing
        ]
        return Weakness(
            "first-off missing or incomplete",
            "One set-up on T2-04 was released without a first-off, two without the bore.",
            refs(found),
        )


class ProducedBeforeRelease(Story):
    """The machine runs, and the release is written half an hour later."""

    MINUTES, WANTED = 32, 2

    def __init__(self) -> None:
        self._runs: list[Run] = []

    def at_machines(self, plant: Plant) -> None:
        """Moves two releases behind the start of production."""
        for run in set_up_runs(plant, "T1-01", 5):
            released = run.start + self.MINUTES
            shift = shift_at(plant, run, run.start)
            ran = plant.histories["T1-01"].is_running(run.start, released)
            if ran and released < shift.end - 15 and run.setup and len(self._runs) < self.WANTED:
                run.setup["released_at"] = released
                self._runs.append(run)

    def told(self, plant: Plant) -> Weakness:
        """The two runs."""
        del plant
        return Weakness(
            "production before release",
            "Two runs on T1-01 made pieces for half an hour before the set-up was released; none "
            "was put aside.",
            refs([("produced-before-release", run.id) for run in self._runs]),
        )


class ReleaseBeforeEvidence(Story):
    """The release is signed a quarter of an hour before the first-off is measured."""

    def __init__(self) -> None:
        self._runs: list[Run] = []

    def at_machines(self, plant: Plant) -> None:
        """Measures three first-offs late; they still belong to their set-up."""
        for run in set_up_runs(plant, "T1-02", 6)[:3]:
            if run.setup is None:
                continue
            check = first_off_of(plant, run)
            check.at = run.setup["end_at"] + FIRST_OFF_WITHIN_MIN - 2
            check.taken_at = run.setup["end_at"] + 1
            check.entered_at = check.at + 2
            plant.histories["T1-02"].checks.sort(key=lambda one: one.at)
            self._runs.append(run)

    def told(self, plant: Plant) -> Weakness:
        """The three set-ups."""
        del plant
        found = [
            ("release-before-evidence", str((run.setup or {})["setup_id"])) for run in self._runs
        ]
        return Weakness(
            "release before evidence",
            "Three set-ups on T1-02 were released before their first-off had been measured.",
            refs(found),
        )
