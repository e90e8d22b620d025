"""Counts pieces: counters, output per shift and scrap, from what ran.

This module knows no lot and no customer.
"""

from dataclasses import dataclass
from datetime import date

from witnessmark.practice.floor import cycle_s
from witnessmark.practice.history import History, Run
from witnessmark.practice.shift_calendar import Shift
from witnessmark.practice.shop import Shop, between

SETUP_PIECES = 5
COUNT_EVERY_MIN = 60
USUAL_SCRAP = 0.004
BAD_DAY_SCRAP = 0.055
SCRAP_REASONS = ("size", "surface", "bar end", "burr")


class Counter:
    """How many pieces a machine had made in a run at any minute.

    Args:
        shop: Gives the draw of the real cycle, a little above the ideal one.
        history: What ran.
    """

    def __init__(self, shop: Shop, history: History) -> None:
        self.history = history
        rng = shop.rng("counting", history.machine.id)
        self._cycle = {
            run.id: cycle_s(history.machine, run.part) * float(rng.uniform(1.02, 1.08))
            for run in history.runs
        }

    def made(self, run: Run, at: int) -> int:
        """Pieces made in a run up to a minute."""
        until = min(at, run.end or self.history.end)
        clock = self.history.running_at
        minutes = max(0, clock(until) - clock(run.start))
        return int(minutes * 60 / self._cycle[run.id])


@dataclass(frozen=True)
class Output:
    """Pieces of a part made on a machine in a shift, before scrap is known."""

    machine: str
    shift: Shift
    part: str
    made: int
    run_id: str


def write_counts(shop: Shop, counters: dict[str, Counter]) -> None:
    """Writes counter readings: at each change of state, at the end of set-up, and hourly."""
    for counter in counters.values():
        history = counter.history
        total, runs = 10_000, list(history.runs)
        for number, run in enumerate(runs):
            following = runs[number + 1].start if number + 1 < len(runs) else history.end
            for at in _reading_minutes(history, run.start, following):
                setup = runs[number + 1].setup if number + 1 < len(runs) else None
                extra = SETUP_PIECES if setup and at >= setup["end_at"] else 0
                shop.add("piece_counts", machine_id=history.machine.id, counted_at=at,
                         cumulative=total + counter.made(run, at) + extra)  # fmt: skip
            total += counter.made(run, following) + SETUP_PIECES


def _reading_minutes(history: History, start: int, end: int) -> list[int]:
    minutes = {start}
    for state in history.states:
        if start <= state["start_at"] < end:
            minutes.add(state["start_at"])
            if state["state"] == "running":
                minutes.update(range(state["start_at"], state["end_at"] - 5, COUNT_EVERY_MIN))
    minutes.update(
        run.setup["end_at"] for run in history.runs if run.setup and start < run.start <= end
    )
    return sorted(at for at in minutes if start <= at < end)


def outputs(shop: Shop, counters: dict[str, Counter]) -> list[Output]:
    """Pieces made per machine, shift and part."""
    found: dict[tuple[str, date, str, str], Output] = {}
    for counter in counters.values():
        machine = counter.history.machine
        for run in counter.history.runs:
            for shift in shop.calendar.shifts[machine.area]:
                if shift.end <= run.start or (run.end or counter.history.end) <= shift.start:
                    continue
                made = counter.made(run, shift.end) - counter.made(run, shift.start)
                if made:
                    key = (machine.id, shift.day, shift.name, run.part)
                    before = found[key].made if key in found else 0
                    order = str(run.order_at(shift.start)["run_id"])
                    found[key] = Output(machine.id, shift, run.part, before + made, order)
    return list(found.values())


def write_outputs(shop: Shop, made: list[Output], bad_days: set[tuple[str, date]]) -> None:
    """Writes output and scrap per shift; on a bad day of an area its scrap is high."""
    rng = shop.rng("scrap")
    for output in made:
        shift = output.shift
        share = BAD_DAY_SCRAP if (shift.area, shift.day) in bad_days else USUAL_SCRAP
        scrap = int(rng.binomial(output.made, share))
        shop.add(
            "outputs",
            machine_id=output.machine,
            production_date=shift.day,
            shift=shift.name,
            part_no=output.part,
            good=output.made - scrap,
            scrap=scrap,
            rework=0,
            entered_at=shift.end + between(rng, 6, 14),
        )
        if scrap:
            shop.add(
                "scrap_entries",
                scrap_id=shop.new_id("SC"),
                machine_id=output.machine,
                booked_at=shift.end - between(rng, 10, 40),
                production_date=shift.day,
                reason=SCRAP_REASONS[between(rng, 0, len(SCRAP_REASONS) - 1)],
                qty=scrap,
                run_id=output.run_id or None,
            )
