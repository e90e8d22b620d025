"""What one shift tells the next: every matter that is open at the change, machine by machine.

This module knows no board and no customer.
"""

from bisect import bisect_left
from itertools import pairwise

from witnessmark.practice.floor import AREAS, BY_ID, MACHINES
from witnessmark.practice.shift_calendar import Shift
from witnessmark.practice.shop import Row, Shop, between
from witnessmark.practice.staffing import Staff, is_open_night

LOW_WITHIN_MIN = 130
EDGE_MIN = 6


def write_handovers(shop: Shop, staff: Staff) -> None:
    """Writes a handover, both sides named, for every change with work before and after it.

    Where work starts after closed shifts the last leader has left a list, and nobody to meet.
    """
    states = _by_machine(shop, "machine_states")
    uses = _by_machine(shop, "material_uses")
    for area in AREAS:
        rng = shop.rng("handover", area)
        for outgoing, incoming in pairwise(shop.calendar.shifts[area]):
            change = incoming.start
            if outgoing.end == change:
                shop.add(
                    "handovers",
                    area=area,
                    change_at=change,
                    outgoing=staff.leader(area, outgoing),
                    incoming=staff.leader(area, incoming),
                    started_at=change - between(rng, 6, 8),
                    ended_at=change + between(rng, 1, 3),
                    text=None,
                )
            matters = _matters(shop, (outgoing, incoming), states, uses)
            for number, (kind, machine, text) in enumerate(matters, 1):
                add_item(shop, (area, change, number), kind, machine, text)


def add_item(
    shop: Shop, key: tuple[str, int, int], kind: str, machine: str | None, text: str
) -> Row:
    """Adds one item of a handover's list."""
    area, change, number = key
    return shop.add("handover_items", area=area, change_at=change, no=number, kind=kind,
                    machine_id=machine, text=text, acknowledged=True)  # fmt: skip


def _by_machine(shop: Shop, table: str) -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = {machine: [] for machine in BY_ID}
    for row in shop.tables[table]:
        found[row["machine_id"]].append(row)
    for rows in found.values():
        rows.sort(key=lambda row: int(row["start_at"]))
    return found


def _matters(
    shop: Shop,
    sides: tuple[Shift, Shift],
    states: dict[str, list[Row]],
    uses: dict[str, list[Row]],
) -> list[tuple[str, str, str]]:
    outgoing, incoming = sides
    change = incoming.start
    matters: list[tuple[str, str, str]] = []
    for machine in (m.id for m in MACHINES if m.area == incoming.area):
        matters += _standing(machine, change, states[machine])
        if any(is_open_night(shop, machine, side) for side in sides):
            matters.append(("unattended", machine, "runs without its operator in the night"))
        if any(change - EDGE_MIN < (u["end_at"] or 0) < change + LOW_WITHIN_MIN
               for u in uses[machine]):  # fmt: skip
            matters.append(("material-low", machine, "bar lot ends in the next two hours"))
    return matters + _holds(shop, outgoing, change)


def _standing(machine: str, change: int, states: list[Row]) -> list[tuple[str, str, str]]:
    first = bisect_left(states, change - EDGE_MIN, key=lambda state: int(state["end_at"]))
    spanning = []
    for state in states[first:]:
        if state["start_at"] > change + EDGE_MIN:
            break
        if state["state"] != "running":
            spanning.append(state)
    kinds = {"setup-unreleased" if s["state"] == "setup" else "stop": s["reason"] for s in spanning}
    return [(kind, machine, str(reason)) for kind, reason in sorted(kinds.items())]


def _holds(shop: Shop, outgoing: Shift, change: int) -> list[tuple[str, str, str]]:
    found: dict[str, str] = {}
    for hold in shop.tables["holds"]:
        is_open = hold["disposed_at"] is None or hold["disposed_at"] > change
        if is_open and outgoing.start - EDGE_MIN <= hold["placed_at"] < change:
            machine = shop.find("lots", lot_no=hold["lot_no"])[0]["machine_id"]
            if BY_ID[machine].area == outgoing.area:
                found[machine] = f"{hold['lot_no']} on hold"
    return [("hold", machine, text) for machine, text in sorted(found.items())]
