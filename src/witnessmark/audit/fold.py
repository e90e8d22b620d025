"""The fold: from received events to the state of the audit, and nothing else.

What makes items comes first, in the order in which it was written; then what adds to them; then
decisions, in the order of the journal. So two notebooks may synchronise in any order and the same
events give the same state. This module knows no store and no clock.
"""

from collections.abc import Iterable
from contextlib import suppress
from datetime import timedelta
from functools import lru_cache

from witnessmark.audit.action import DECIDES, Action, Stamp
from witnessmark.audit.catalogue import read_action
from witnessmark.audit.event import BrokenEventError, Event, moment_of, written
from witnessmark.audit.journal import Entry, Received
from witnessmark.audit.state import AuditState

Order = tuple[int, int, str, str, int]
REMEMBERED = 100_000
"""Events whose reading is kept in memory; they never change."""


def fold(received: Iterable[Received]) -> AuditState:
    """The state after these entries; an event that is there twice counts once.

    What this version cannot read (a kind, or a field, of a newer one) stays in the journal and is
    named in `unknown`: one such event must not lock the whole audit.
    """
    state = AuditState()
    seen: set[str] = set()
    steps: list[tuple[Order, Action, Stamp]] = []
    for item in received:
        event, entry = item.event, item.entry
        if event is None or event.id in seen:
            continue
        seen.add(event.id)
        state.id = event.audit
        action, stamp = _read(entry.event_hash, entry.clock_offset_s, _Holder(event))
        if action is None:
            state.unknown.add(event.kind)
            continue
        steps.append((_order(action, stamp, event, entry), action, stamp))
    for _, action, stamp in sorted(steps, key=lambda step: step[0]):
        action.apply(state, stamp)
    return state


def _order(action: Action, stamp: Stamp, event: Event, entry: Entry) -> Order:
    """Where an event stands in the fold; what a person wrote within a second keeps its order."""
    if action.phase == DECIDES:
        return (action.phase, entry.seq, "", "", 0)
    at, corrects = _to_millisecond(stamp.at), int(bool(event.supersedes))
    return (action.phase, corrects, at, event.device, event.device_seq)


def _to_millisecond(at: str) -> str:
    """An instant in a form that sorts as text."""
    return at if "." in at else f"{at.removesuffix('Z')}.000Z"


class _Holder:
    """Carries an event past the cache's key: its hash stands for it."""

    def __init__(self, event: Event) -> None:
        self.event = event

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Holder)

    def __hash__(self) -> int:
        return 0


@lru_cache(REMEMBERED)
def _read(event_hash: str, clock_offset_s: int, holder: _Holder) -> tuple[Action | None, Stamp]:
    """An event's action and stamp; `event_hash` is the cache's key."""
    del event_hash
    event = holder.event
    at = event.at
    if clock_offset_s:
        with suppress(OverflowError):  # a clock at the end of time stays as it was
            at = written(moment_of(at) + timedelta(seconds=clock_offset_s))
    stamp = Stamp(event.id, event.author, at, event.device, event.supersedes)
    try:
        return read_action(event.kind, event.body), stamp
    except BrokenEventError:
        return None, stamp
