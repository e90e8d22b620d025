"""The trace tree of one suspect window: its bins, what they were mixed into, and what left.

It follows only what `suspect_lots` holds to be in the window; the links show the way.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import cast

from witnessmark.report.figures import LotState, TraceNode, TraceTree
from witnessmark.report.gather.reader import Found, Reader, instant, whole
from witnessmark.report.words import clock, listed, moment, plural

WHAT = "A trace tree"
MOST_BINS = 12
MOST_LOTS = 8
MOST_SHIPMENTS = 8
WINDOW = "window"
KINDS = {
    "failed-check": "failed check",
    "failed-challenge": "failed challenge",
    "gauge-out": "gauge found out",
    "restart": "unchecked restart",
    "last-off": "no last-off",
}
STATE_WORDS = {
    "held": "held in time",
    "partly-held": "held in part",
    "not-held": "not held",
    "shipped": "shipped",
}

THE_WINDOW = """
select window_ix, kind, machine_id, from_at, end_at as to_at
from suspect_windows
where window_ix = $window_ix
"""
LOTS = """
select
    suspect_lots.lot_no,
    suspect_lots.how,
    suspect_lots.touch_only_by_tolerance,
    coalesce(suspect_lots.qty, lots.qty) as qty,
    suspect_lots.state,
    lots.op
from suspect_lots
left join lots on suspect_lots.lot_no = lots.lot_no
where suspect_lots.window_ix = $window_ix
order by
    suspect_lots.how <> 'touch',
    case suspect_lots.state
        when 'shipped' then 0 when 'not-held' then 1 when 'partly-held' then 2 else 3
    end,
    suspect_lots.lot_no
"""
LINKS = """
select distinct lot_links.from_lot, lot_links.to_lot
from lot_links
inner join suspect_lots as source
    on lot_links.from_lot = source.lot_no and source.window_ix = $window_ix
inner join suspect_lots as target
    on lot_links.to_lot = target.lot_no and target.window_ix = $window_ix
order by lot_links.from_lot, lot_links.to_lot
"""
SHIPMENTS = """
select
    shipment_lines.ship_no,
    shipment_lines.line,
    shipment_lines.lot_no,
    shipment_lines.qty,
    shipment_lines.shipped_at
from shipment_lines
inner join suspect_lots on shipment_lines.lot_no = suspect_lots.lot_no
where suspect_lots.window_ix = $window_ix
order by shipment_lines.shipped_at, shipment_lines.ship_no, shipment_lines.line
"""


def trace_of(reader: Reader, window_ix: int) -> TraceTree | None:
    """The tree of one window, or nothing where no lot is known to touch it."""
    given = {"window_ix": window_ix}
    window = reader.one(WHAT, THE_WINDOW, given)
    lots = reader.rows(WHAT, LOTS, given)
    if window is None or not lots:
        return None
    links = [(str(row["from_lot"]), str(row["to_lot"])) for row in reader.rows(WHAT, LINKS, given)]
    depths = _depths(lots, links)
    kept = _kept(lots, depths)
    deepest = max(depths[str(lot["lot_no"])] for lot in kept)
    shipments = reader.rows(WHAT, SHIPMENTS, given)
    names = {str(lot["lot_no"]) for lot in kept}
    shown = [row for row in shipments if str(row["lot_no"]) in names][:MOST_SHIPMENTS]
    nodes = [
        _window_node(window, reader.zone),
        *(_lot_node(lot, depths[str(lot["lot_no"])]) for lot in kept),
        *(_shipment_node(row, deepest + 1, reader.zone) for row in shown),
    ]
    drawn = [(WINDOW, name) for name in sorted(names) if depths[name] == 1]
    drawn += [(start, end) for start, end in links if start in names and end in names]
    drawn += [(str(row["lot_no"]), _ship(row)) for row in shown]
    left_out = len(lots) - len(kept)
    return TraceTree(tuple(nodes), tuple(drawn), caption_of(lots, shipments), left_out)


def caption_of(lots: Sequence[Found], shipments: Sequence[Found]) -> str:
    """How many lots are in the window and what became of them."""
    touching = [lot for lot in lots if lot["how"] == "touch"]
    states: dict[str, int] = defaultdict(int)
    for lot in lots:
        states[str(lot["state"])] += 1
    said = [f"{states[state]} {STATE_WORDS[state]}" for state in STATE_WORDS if states[state]]
    linked = len(lots) - len(touching)
    beside = f" and {plural(linked, 'lot')} into which they went on" if linked else ""
    left = f"; named in {plural(len(shipments), 'shipment line')}" if shipments else ""
    return f"{plural(len(touching), 'bin')} open in the window{beside}: {listed(said)}{left}."


def _depths(lots: Sequence[Found], links: Sequence[tuple[str, str]]) -> dict[str, int]:
    """Links from the window to each lot, by the shortest way; a circle of links does no harm."""
    depths = {str(lot["lot_no"]): 1 for lot in lots if lot["how"] == "touch"}
    front = list(depths)
    depth = 1
    while front:
        depth += 1
        front = [end for start, end in links if start in front and end not in depths]
        depths |= dict.fromkeys(front, depth)
    return {str(lot["lot_no"]): depths.get(str(lot["lot_no"]), 2) for lot in lots}


def _kept(lots: Sequence[Found], depths: Mapping[str, int]) -> list[Found]:
    """The lots that fit, the least contained first."""
    room: dict[int, int] = defaultdict(lambda: MOST_LOTS) | {1: MOST_BINS}
    kept = []
    for lot in lots:
        depth = depths[str(lot["lot_no"])]
        left = room.setdefault(depth, MOST_LOTS)
        if left:
            room[depth] = left - 1
            kept.append(lot)
    return kept


def _window_node(window: Found, zone: str) -> TraceNode:
    start, end = instant(window["from_at"]), instant(window["to_at"])
    until = clock(end, zone) if (end - start).days < 1 else moment(end, zone)
    label = f"{window['machine_id']}, {KINDS.get(str(window['kind']), window['kind'])}"
    return TraceNode(WINDOW, 0, "window", label, f"{moment(start, zone)} \u2013 {until}")


def _lot_node(lot: Found, depth: int) -> TraceNode:
    detail = plural(whole(lot["qty"]), "piece") if lot["qty"] is not None else "quantity not known"
    if lot["op"] is not None and depth > 1:
        detail += f", {lot['op']}"
    return TraceNode(
        key=str(lot["lot_no"]),
        column=depth,
        kind="bin" if depth == 1 else "lot",
        label=str(lot["lot_no"]),
        detail=detail,
        state=cast("LotState", str(lot["state"])),
        by_tolerance=bool(lot["touch_only_by_tolerance"]),
    )


def _shipment_node(row: Found, column: int, zone: str) -> TraceNode:
    at = instant(row["shipped_at"])
    detail = f"{plural(whole(row['qty']), 'piece')}, {moment(at, zone).split(',')[0]}"
    return TraceNode(
        _ship(row), column, "shipment", f"{row['ship_no']}/{row['line']}", detail, "shipped"
    )


def _ship(row: Found) -> str:
    return f"shipment {row['ship_no']}/{row['line']}"
