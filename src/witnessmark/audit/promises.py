"""Promises by the window that closes first, the next handover, and a trail's cheapest next step.

This moment is an argument; the pages count on from it. This module changes nothing.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from witnessmark.audit.event import moment_of, written
from witnessmark.audit.exhaustion import conditions_of
from witnessmark.audit.items import Promise, Trail
from witnessmark.audit.shift_plan import plan_of
from witnessmark.audit.state import AuditState

MINUTE = timedelta(minutes=1)


@dataclass(frozen=True)
class OpenPromise:
    """A promise that is not settled.

    Args:
        promise: Its id.
        what: What was promised to be looked at.
        with_role: With whom.
        place: Where.
        window: What closes it.
        trails: Ids of the trails it serves.
        latest: When the window closes; empty where nobody knows.
        minutes_left: Whole minutes until then, negative once it is over; None likewise.
        opens_in: Whole minutes until it is possible; 0 where it is.
    """

    promise: str
    what: str
    with_role: str
    place: str
    window: str
    trails: tuple[str, ...]
    latest: str
    minutes_left: int | None
    opens_in: int

    @property
    def is_overdue(self) -> bool:
        """Whether its window has closed."""
        return self.minutes_left is not None and self.minutes_left < 0


@dataclass(frozen=True)
class Handover:
    """The next handover.

    Args:
        at: When, in the journal's form.
        minutes: Whole minutes until then.
        source: The agenda, or the shift times that the scope states.
        appointment: Its id; empty where none is planned.
        text: Where, or from which shift to which.
    """

    at: str
    minutes: int
    source: Literal["agenda", "shift times"]
    appointment: str
    text: str


@dataclass(frozen=True)
class Closing:
    """What closes first on a trail: a promise's window, or the trail's own."""

    at: str
    what: str
    promise: str = ""


@dataclass(frozen=True)
class NextStep:
    """The cheapest next step of a trail, and why it is this one."""

    text: str
    why: str
    promise: str = ""


def open_promises(state: AuditState, now: datetime) -> tuple[OpenPromise, ...]:
    """All promises that are not settled: the window that closes first stands first.

    Those without a known end come last, in the order in which they were made.
    """
    trails = _trails_of(state)
    items = sorted(
        (promise for promise in state.promises.values() if promise.outcome is None), key=_order
    )
    return tuple(_open(promise, trails.get(promise.id, ()), now) for promise in items)


def next_handover(state: AuditState, now: datetime) -> Handover | None:
    """The next handover of the agenda; else the next change of shift that the scope states."""
    planned = sorted(
        (
            (item.starts_at, item.id, item)
            for item in state.appointments.values()
            if item.kind == "handover" and not item.dropped and moment_of(item.starts_at) >= now
        ),
        key=lambda found: found[:2],
    )
    change = plan_of(state).next_change(now)
    if planned:
        at, id_, item = planned[0]
        # A change of shift before the planned handover is not hidden by it.
        if change is None or moment_of(at) <= change.at:
            text = ", ".join(part for part in (item.what, item.place) if part)
            return Handover(at, _minutes(moment_of(at) - now), "agenda", id_, text)
    if change is None:
        return None
    text = f"{change.outgoing} to {change.incoming}" if change.outgoing else change.incoming
    return Handover(written(change.at), _minutes(change.at - now), "shift times", "", text)


def closing_first(state: AuditState, trail: Trail) -> Closing | None:
    """The window of a trail that closes first; None where none is known."""
    windows = [
        Closing(promise.latest, promise.window or promise.what, promise.id)
        for promise in _promised(state, trail)
        if promise.latest
    ]
    if trail.closes_at:
        windows.append(Closing(trail.closes_at, trail.next_step))
    return min(windows, key=lambda window: (window.at, window.promise), default=None)


def cheapest_next(state: AuditState, trail: Trail) -> NextStep | None:
    """The cheapest next step: as stated; else the promise that closes first; else what is open.

    None for a closed trail, and where nothing is left to do.
    """
    if trail.is_closed:
        return None
    if trail.next_step.strip():
        return NextStep(trail.next_step, "As stated on the trail.")
    promised = sorted(_promised(state, trail), key=_order)
    if promised:
        first = promised[0]
        return NextStep(first.what, "Promised; its window closes first.", first.id)
    for seen in conditions_of(state, trail):
        if seen.needed and not seen.met:
            return NextStep(seen.text, seen.why)
    return None


def _promised(state: AuditState, trail: Trail) -> list[Promise]:
    found = (state.promises.get(id_) for id_ in state.promised.get(trail.id, {}))
    return [promise for promise in found if promise is not None and promise.outcome is None]


def _trails_of(state: AuditState) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for trail, ids in state.promised.items():
        if trail:
            for id_ in ids:
                found[id_] = (*found.get(id_, ()), trail)
    return found


def _order(promise: Promise) -> tuple[bool, str, str, str]:
    return (not promise.latest, promise.latest, promise.at, promise.id)


def _open(promise: Promise, trails: tuple[str, ...], now: datetime) -> OpenPromise:
    left = _minutes(moment_of(promise.latest) - now) if promise.latest else None
    wait = max(moment_of(promise.earliest) - now, timedelta()) if promise.earliest else timedelta()
    return OpenPromise(
        promise=promise.id,
        what=promise.what,
        with_role=promise.with_role,
        place=promise.place,
        window=promise.window,
        trails=trails,
        latest=promise.latest,
        minutes_left=left,
        opens_in=-(-wait // MINUTE),
    )


def _minutes(span: timedelta) -> int:
    """Whole minutes, rounded down: a window that closed a second ago is over."""
    return span // MINUTE
