"""Two readings of a counter, held against the pieces that the running clock counts between them.

This module appends nothing.
"""

from collections.abc import Iterator
from datetime import datetime, timedelta
from math import ceil, floor

from witnessmark.audit.actions.compare_observation import Result
from witnessmark.audit.event import moment_of
from witnessmark.audit.items import Observation
from witnessmark.audit.look import Look, Verdict


def see_counter(look: Look) -> Iterator[Verdict]:
    """Pieces between two readings of one counter."""
    machine, own = look.observation.machine, look.observation
    seen = f"{machine}: counter {own.values.get('pieces')}."
    earlier = _earlier_reading(look)
    if earlier is None:
        said = "One reading says nothing yet; a second one gives the pieces between."
        yield Verdict("pieces", "not-assessable", seen, said)
        return
    first, last = _pieces(earlier), _pieces(own)
    seen = f"{machine}: {last - first} pieces between two readings ({first}, then {last})."
    known = look.machine(machine, "piece_counts", "runs")
    if last < first:
        yield Verdict("pieces", "not-assessable", seen, "The counter was set back between.")
        return
    if isinstance(known, str):
        yield Verdict("pieces", "not-assessable", seen, known)
        return
    since = moment_of(earlier.seen_at)
    result, told = _pieces_between(look, known, since, last - first)
    yield Verdict("pieces", result, seen, told)


def _pieces_between(look: Look, machine: int, since: datetime, seen: int) -> tuple[Result, str]:
    """Pieces between two readings, each read as much too early or too late as clocks may stand."""
    delta = look.records.tolerance("piece_counts", "runs")
    edges = (since - delta, since + delta, look.at - delta, look.at + delta)
    counts = [look.records.pieces(machine, at) for at in edges]
    if any(count is None for count in counts):
        return "not-assessable", "The machine has no running clock."
    out_low, out_high, in_low, in_high = (count for count in counts if count is not None)
    values = [count.pieces for count in (out_low, out_high, in_low, in_high)]
    known = [value for value in values if value is not None]
    if len(known) < len(values) or in_high.uncounted_steps != out_low.uncounted_steps:
        return "not-assessable", "Part of the time between has no known number of pieces."
    if in_high.unknown_s != out_low.unknown_s:
        return "not-assessable", "For part of the time between nobody knows whether it ran."
    least = max(0, floor(known[2] - known[1]))
    most = ceil(known[3] - known[0])
    told = f"{least} to {most} pieces, allowing {delta // timedelta(minutes=1)} min for the clocks"
    return ("agrees" if least <= seen <= most else "contradicts"), told


def _earlier_reading(look: Look) -> Observation | None:
    readings = [
        item
        for item in look.state.observations.values()
        if item.form == "counter"
        and item.machine == look.observation.machine
        and item.seen_at < look.observation.seen_at
    ]
    return max(readings, key=lambda item: (item.seen_at, item.id), default=None)


def _pieces(observation: Observation) -> int:
    value = observation.values.get("pieces")
    return value if isinstance(value, int) else 0
