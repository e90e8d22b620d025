"""States and output of the washing and inspection machines, from the lots they worked on.

These areas have no runs: they work on whole lots as they come. This module knows no lot by name.
"""

from collections import defaultdict
from math import ceil

from witnessmark.practice.floor import BY_ID, CYCLES, MACHINES, Machine
from witnessmark.practice.flow import Batch
from witnessmark.practice.production import Output
from witnessmark.practice.shift_calendar import Shift
from witnessmark.practice.shop import Row, Shop

WARM_UP_MIN = 12


def finish(shop: Shop, area: str, batches: list[Batch]) -> list[Output]:
    """Writes the states of an area's machines and says what they made.

    Args:
        shop: Receives the states.
        area: W1 or F1.
        batches: What was worked on when.

    Raises:
        LookupError: A shift had more to do than it has time.
    """
    machines = [machine for machine in MACHINES if machine.area == area]
    work: dict[tuple[str, int], dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for number, batch in enumerate(sorted(batches, key=lambda b: (b.at, b.part, b.qty))):
        shift = shop.calendar.shift_at(area, batch.at)
        if shift is None:
            raise LookupError(batch)
        machine = machines[number % len(machines)]
        work[machine.id, shift.start][batch.part] += batch.qty
    made = []
    for machine in machines:
        at = shop.calendar.start
        for shift in shop.calendar.shifts[area]:
            parts = work[machine.id, shift.start]
            _stand(shop, machine.id, at, shift.start, "closed")
            _work(shop, machine, shift, sum(parts.values()))
            made += [Output(machine.id, shift, p, qty, "") for p, qty in sorted(parts.items())]
            at = shift.end
        _stand(shop, machine.id, at, shop.calendar.end, "closed")
    return made


def _work(shop: Shop, machine: Machine, shift: Shift, pieces: int) -> None:
    left = ceil(pieces * CYCLES[machine.process] / 60) + 15
    at = shift.start + WARM_UP_MIN
    _state(shop, machine.id, (shift.start, at), "stopped", "warm-up")
    for edge, pause in ((shift.break_start, shift.break_end), (shift.end - 10, shift.end)):
        to = min(at + left, edge)
        _state(shop, machine.id, (at, to), "running", None)
        left -= to - at
        _state(shop, machine.id, (to, edge), "stopped", "no lots waiting")
        _state(shop, machine.id, (edge, pause), "stopped",
               "break" if edge == shift.break_start else "cleaning")  # fmt: skip
        at = pause
    if left > 0:
        raise LookupError((machine.id, shift.day, shift.name, left))


def _stand(shop: Shop, machine_id: str, start: int, end: int, reason: str) -> None:
    _state(shop, machine_id, (start, end), "stopped", reason)


def _state(
    shop: Shop, machine_id: str, span: tuple[int, int], state: str, reason: str | None
) -> Row | None:
    if span[0] >= span[1]:
        return None
    return shop.add(
        "machine_states",
        machine_id=machine_id,
        start_at=span[0],
        end_at=span[1],
        state=state,
        reason=reason,
        reason_entered_at=None if state == "running" else span[1],
    )


def write_machines(shop: Shop) -> None:
    """Writes the machines with their place on the floor."""
    for number, machine in enumerate(BY_ID.values()):
        shop.add(
            "machines",
            machine_id=machine.id,
            area=machine.area,
            group_id=machine.group,
            process=machine.process,
            stations=None,
            auto_stop=bool(machine.parts),
            x_m=6 * int(machine.id[-2:]),
            y_m=12 * (number // 8),
        )
