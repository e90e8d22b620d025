"""Time runs short: which appointments and promises to keep, which to leave out, in which order.

Compared reason by reason, never by a score: worth, the window that closes, the highest grade its
trail could reach, whether people were moved already, then what takes least time. A proposal; the
auditor drops. This module changes nothing and knows no clock.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from witnessmark.audit.agenda import in_order
from witnessmark.audit.event import moment_of
from witnessmark.audit.items import Appointment, Promise
from witnessmark.audit.state import AuditState

GRADES = ("none", "opportunity", "minor", "major")
PROMISE_MIN = 15
"""What a promised look takes where no appointment says; common practice, no source."""
MUST_STAY, USUAL = 3, 2


@dataclass(frozen=True)
class Choice:
    """One appointment or promise, and why it stays or goes.

    Args:
        kind: What it is.
        item: Its id.
        what: In words.
        minutes: What is left of it to be done.
        reasons: Why it stands where it stands.
    """

    kind: Literal["appointment", "promise"]
    item: str
    what: str
    minutes: int
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class Plan:
    """What to do with the time left.

    Args:
        keep: The most important first.
        drop: What to leave out, the first to go first.
        minutes_kept: Time that the kept take.
        minutes_left: Time there is.
    """

    keep: tuple[Choice, ...]
    drop: tuple[Choice, ...]
    minutes_kept: int
    minutes_left: int


@dataclass(frozen=True)
class _Candidate:
    """What can be compared of one item. `closes` is the end of its window, if any."""

    choice: Choice
    worth: int
    grade: int
    closes: datetime | None
    moves: int
    impossible: str


def what_to_drop(state: AuditState, now: datetime, minutes_left: int) -> Plan:
    """Keeps what matters most as long as it fits into the time left.

    Args:
        state: The audit.
        now: This moment, aware.
        minutes_left: Until the time is over; below 0 counts as 0.
    """
    left = max(minutes_left, 0)
    end = now + timedelta(minutes=left)
    ranked = sorted(_candidates(state, now, end), key=lambda item: _rank(item, end))
    keep: list[Choice] = []
    drop: list[Choice] = []
    used = 0
    for item in ranked:
        choice = item.choice
        if item.impossible:
            drop.append(_because(choice, item.impossible))
        elif used + choice.minutes <= left:
            used += choice.minutes
            keep.append(choice)
        else:
            drop.append(_because(choice, f"{left - used} min are left for it"))
    return Plan(tuple(keep), tuple(reversed(drop)), used, left)


def _rank(item: _Candidate, end: datetime) -> tuple[bool, int, bool, int, bool, int, str]:
    """The smaller, the more it stays; total, so that the answer is always the same."""
    closing = item.closes is not None and item.closes <= end
    return (
        bool(item.impossible),
        -item.worth,
        not closing,
        -item.grade,
        item.moves == 0,
        item.choice.minutes,
        item.choice.item,
    )


def _candidates(state: AuditState, now: datetime, end: datetime) -> list[_Candidate]:
    grades = _grades(state)
    ahead = [item for item in in_order(state) if moment_of(item.ends_at) > now]
    booked = {item.promise for item in ahead if item.promise}
    found = [
        _appointment(item, state.promises.get(item.promise), grades, now, end)
        for item in ahead
        if item.kind != "free"
    ]
    found += [
        _promise(promise, grades, now, end)
        for promise in state.promises.values()
        if promise.outcome is None and promise.id not in booked
    ]
    return found


def _grades(state: AuditState) -> dict[str, int]:
    """The highest grade that the trails of each promise could reach; 0 without one."""
    found: dict[str, int] = {}
    for trail_id, promises in state.promised.items():
        trail = state.trails.get(trail_id)
        if trail is not None and not trail.is_closed:
            for id_ in promises:
                found[id_] = max(found.get(id_, 0), GRADES.index(trail.highest_grade))
    return found


def _appointment(
    item: Appointment,
    promise: Promise | None,
    grades: dict[str, int],
    now: datetime,
    end: datetime,
) -> _Candidate:
    starts, ends = moment_of(item.starts_at), moment_of(item.ends_at)
    minutes = _up(ends - max(starts, now))
    closes = moment_of(promise.latest) if promise and promise.latest else None
    late = "it starts after the time is over" if starts >= end else ""
    grade = grades.get(item.promise, 0)
    choice = Choice("appointment", item.id, item.what, minutes, ())
    reasons = _reasons(item.worth, grade, closes, item.moves, end)
    return _Candidate(_because(choice, *reasons), item.worth, grade, closes, item.moves, late)


def _promise(promise: Promise, grades: dict[str, int], now: datetime, end: datetime) -> _Candidate:
    closes = moment_of(promise.latest) if promise.latest else None
    late = ""
    if closes is not None and closes <= now:
        late = "its window has closed"
    elif promise.earliest and moment_of(promise.earliest) >= end:
        late = "it becomes possible after the time is over"
    grade = grades.get(promise.id, 0)
    choice = Choice("promise", promise.id, promise.what, PROMISE_MIN, ())
    reasons = _reasons(USUAL, grade, closes, 0, end)
    return _Candidate(_because(choice, *reasons), USUAL, grade, closes, 0, late)


def _reasons(
    worth: int, grade: int, closes: datetime | None, moves: int, end: datetime
) -> list[str]:
    said = []
    if worth != USUAL:
        said.append("must stay" if worth == MUST_STAY else "can be dropped first")
    if closes is not None and closes <= end:
        said.append("its window closes within the time left")
    if grade:
        said.append(f"its trail could reach {GRADES[grade]}")
    if moves:
        said.append(f"moved {moves} time(s) already: people lose goodwill at the second")
    return said


def _because(choice: Choice, *reasons: str) -> Choice:
    return Choice(
        choice.kind, choice.item, choice.what, choice.minutes, (*choice.reasons, *reasons)
    )


def _up(span: timedelta) -> int:
    """Whole minutes, rounded up, so that what is kept fits."""
    return -(-span // timedelta(minutes=1))
