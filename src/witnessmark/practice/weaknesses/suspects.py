"""Which lots a suspect window reaches, and what became of them: the consequence of many stories.

Follows the definition of a suspect window: touched while it was open, as near as the clocks can
tell, and everything that went into another lot from the window's start on.
"""

from dataclasses import dataclass

from witnessmark.practice.history import Check, History, Run
from witnessmark.practice.model import Plant
from witnessmark.practice.shop import Row
from witnessmark.practice.weaknesses.story import checks_of, ref

CLOCKS_MIN = 5
"""Two systems' clocks may differ by so much; a lot touched within it is touched."""
HOLD_WITHIN_MIN = 60
FOREVER = 1 << 40


@dataclass(frozen=True)
class Window:
    """A stretch of a run in which product is suspect."""

    kind: str
    trigger: str
    run: Run
    detected: int
    start: int
    end: int
    line: str | None = None


def reached(plant: Plant, window: Window) -> list[Row]:
    """The lots that a window touches, and those that their product went into."""
    lots = {row["lot_no"]: row for row in plant.shop.tables["lots"]}
    found = {
        lot["lot_no"]
        for lot in plant.shop.find("lots", machine_id=window.run.machine.id)
        if lot["part_no"] == window.run.part
        and lot["opened_at"] < window.end + CLOCKS_MIN
        and (lot["closed_at"] or FOREVER) > window.start - CLOCKS_MIN
    }
    links = plant.shop.tables["lot_links"]
    grown = True
    while grown:
        into = {
            link["to_lot"]
            for link in links
            if link["from_lot"] in found and link["linked_at"] >= window.start
        }
        grown = not into <= found
        found |= into
    return [lots[lot] for lot in sorted(found)]


def failure_window(history: History, failed: Check, line: str) -> Window:
    """The window of a failed check: from the last good check to the first good one after it.

    The first good check after a correction is also the first one after the failure here, because
    no story lets a good check come between the two.
    """
    others = [
        c for c in checks_of(history, failed.run) if line not in c.bad and line not in c.left_out
    ]
    before = [c for c in others if c.taken_at < failed.taken_at]
    after = [c for c in others if c.taken_at > failed.taken_at]
    start = before[-1].taken_at if before else run_release(failed.run)
    end = after[0].at if after else failed.run.end or history.end
    return Window("failed-check", failed.id, failed.run, failed.at, start, end, line)


def run_release(run: Run) -> int:
    """When a run was released; its start where no release is on record."""
    released = run.record["released_at"] if run.record else None
    return max(run.start, int(released)) if released is not None else run.start


def is_contained(plant: Plant, window: Window, lot: Row) -> bool:
    """Whether the whole lot was put on hold in time."""
    holds = plant.shop.find("holds", lot_no=lot["lot_no"])
    in_time = [h for h in holds if h["placed_at"] <= window.detected + HOLD_WITHIN_MIN]
    return sum(int(h["qty"]) for h in in_time) >= int(lot["qty"])


def has_escaped(plant: Plant, window: Window, lot: Row) -> bool:
    """Whether suspect pieces of the lot were shipped that nobody had disposed of for use."""
    shipped = [
        row
        for row in plant.shop.find("shipment_lines", lot_no=lot["lot_no"])
        if row["shipped_at"] >= window.start
    ]
    if not shipped:
        return False
    left = min(row["shipped_at"] for row in shipped)
    disposed = sum(
        int(hold["qty_disposed"] or 0)
        for hold in plant.shop.find("holds", lot_no=lot["lot_no"])
        if hold["disposition"] in {"release", "rework", "concession"}
        and window.detected < (hold["disposed_at"] or FOREVER) <= left
    )
    return sum(int(row["qty"]) for row in shipped) > disposed


def consequences(plant: Plant, windows: list[Window]) -> list[tuple[str, str]]:
    """What the windows show in the two tests on suspect product."""
    found = []
    for window in windows:
        lots = reached(plant, window)
        if any(not is_contained(plant, window, lot) for lot in lots):
            found.append(("suspect-uncontained", window_ref(window)))
        found += [
            ("suspect-shipped", ref(window_ref(window), lot["lot_no"]))
            for lot in lots
            if has_escaped(plant, window, lot)
        ]
    return found


def window_ref(window: Window) -> str:
    """A window as it stands in a ref: what triggered it."""
    return window.trigger
