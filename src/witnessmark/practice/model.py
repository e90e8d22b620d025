"""The plant in the making: three phases that follow each other, each open to a planted story.

Phases follow each other so that what a story changes early (who is there, what is checked) shows
in everything that is derived later (pieces, lots, the board). This module knows no story.
"""

from witnessmark.practice.board import (
    Board,
    RedDays,
    draw_red_days,
    write_overtime,
    write_rules,
    write_schedule,
)
from witnessmark.practice.checking import Failure, contained_failures, inspect_all
from witnessmark.practice.finishing import finish, write_machines
from witnessmark.practice.floor import CYCLES, MACHINES, OPS, PARTS, RUNNING_AREAS, cycle_s, plan_on
from witnessmark.practice.flow import HOLD_MARGIN_MIN, Flow
from witnessmark.practice.handover import write_handovers
from witnessmark.practice.history import History
from witnessmark.practice.measuring import write_checks, write_gauges, write_plans
from witnessmark.practice.production import Counter, outputs, write_counts, write_outputs
from witnessmark.practice.running import MachineSimulation
from witnessmark.practice.shift_calendar import DAYLIGHT_SAVING_WEEK, SATURDAY, Overtime, local_day
from witnessmark.practice.shop import Habits, Shop
from witnessmark.practice.staffing import Staff, write_staffing

CONTAINED_ON = ("T1-04", "T1-05", "T1-07")
ORDINARY_OVERTIME = (
    *(Overtime(area, DAYLIGHT_SAVING_WEEK, SATURDAY, shift)
      for area in ("T1", "T2") for shift in ("early", "late", "night")),
    *(Overtime("T2", week, SATURDAY, "early") for week in (3, 10)),
    *(Overtime("D1", week, SATURDAY, "early") for week in (5, 9)),
    *(Overtime(area, 3, SATURDAY, "early") for area in ("W1", "F1")),
)  # fmt: skip


class Plant:
    """A plant in the making, with everything that a weakness may change.

    Args:
        seed: Every draw comes from it.
        weeks: How long it is simulated.
        habits: Departures from the documents that are simulated along.
    """

    def __init__(self, seed: int, weeks: int, habits: Habits) -> None:
        self.shop = Shop(seed, weeks, habits, ORDINARY_OVERTIME)
        self.staff = Staff(self.shop)
        self.histories: dict[str, History] = {}
        self.counters: dict[str, Counter] = {}
        self.failures: list[Failure] = []
        self.bin_changes: dict[str, list[int]] = {}
        self.reds: RedDays = draw_red_days(self.shop)

    def run(self) -> None:
        """What happens at the machines: staffing, running, checking."""
        write_staffing(self.shop, self.staff)
        for machine in MACHINES:
            if machine.area in RUNNING_AREAS:
                simulation = MachineSimulation(self.shop, self.staff, machine)
                self.histories[machine.id] = simulation.simulate()
        inspect_all(self.shop, self.staff, self.histories)
        self.failures = contained_failures(self.shop, self.staff, self.histories, CONTAINED_ON)
        for failure in self.failures:
            change = failure.closing.at + HOLD_MARGIN_MIN + 5
            self.bin_changes.setdefault(failure.failed.run.id, []).append(change)

    def record(self) -> None:
        """What the plant writes down of it: checks, counts, lots, outputs."""
        write_machines(self.shop)
        write_parts(self.shop)
        write_plans(self.shop)
        write_gauges(self.shop)
        write_checks(self.shop, self.histories)
        for history in self.histories.values():
            self.shop.tables["machine_states"] += history.states
            for setup in (run.setup for run in history.runs if run.setup):
                day = local_day(setup["first_off_at"])
                setup["plan_rev"] = plan_on(setup["to_part"], history.machine.op, day).rev
        self.counters = {name: Counter(self.shop, h) for name, h in self.histories.items()}
        write_counts(self.shop, self.counters)
        self._follow_pieces()

    def _follow_pieces(self) -> None:
        flow = Flow(self.shop, self.histories, self.counters, self.failures, self.bin_changes)
        flow.follow()
        made = outputs(self.shop, self.counters)
        made += finish(self.shop, "W1", flow.washed) + finish(self.shop, "F1", flow.inspected)
        write_outputs(self.shop, made, self.reds.on("Q"))
        write_schedule(self.shop, made, self.reds)

    def report(self) -> None:
        """What the plant tells itself: board, actions, handovers, overtime."""
        write_rules(self.shop)
        Board(self.shop, self.reds).fill()
        write_overtime(self.shop)
        write_handovers(self.shop, self.staff)


def write_parts(shop: Shop) -> None:
    """Writes parts and routings."""
    for part in PARTS.values():
        shop.add("parts", part_no=part.no, description=part.about, mass_g=part.mass_g,
                 safety_class=None)  # fmt: skip
        for group in sorted({m.group for m in MACHINES if part.no in m.parts or not m.parts}):
            machine = next(m for m in MACHINES if m.group == group)
            seconds = CYCLES.get(machine.process) or cycle_s(machine, part.no)
            shop.add("routings", part_no=part.no, op=OPS[machine.process], group_id=group,
                     ideal_cycle_s=seconds, pieces_per_cycle=1,
                     setup_standard_min=None if not machine.parts else 80)  # fmt: skip
