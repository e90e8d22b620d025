"""The agenda of an audit: what clashes in it, what it covers, how much of it is left free.

It shows and moves nothing. This moment is no matter here; `drop` answers what to leave out when
time runs short. Numbers are common practice, no source, but for the daily rest of eleven hours and
the break after six (directive 2003/88/EC, articles 3 and 4; memory): local law comes first.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import combinations, pairwise
from typing import Literal

from witnessmark.audit.event import moment_of
from witnessmark.audit.items import Appointment
from witnessmark.audit.people import Role
from witnessmark.audit.phrases import fold
from witnessmark.audit.shift_plan import ShiftPlan, plan_of
from witnessmark.audit.state import AuditState

REST = timedelta(hours=11)
DAY = timedelta(hours=24)
NIGHT_PAUSE = timedelta(hours=4)
"""A pause this long that runs over midnight is the night's rest, and then must be a whole one."""
BREAK_AFTER = timedelta(hours=6)
BREAK = timedelta(minutes=30)
HANDOVER_QUIET = timedelta(minutes=10)
WALK = timedelta(minutes=10)
DRIFT_SHARE = 10 / 60
"""What work on the floor runs over: ten minutes an hour."""
FREE_LEAST, FREE_MOST = 0.20, 0.25
NO_PERSON = {"handover", "meeting", "writing", "free"}
"""Kinds that no single person of the plant is booked for."""

Kind = Literal["auditor", "role", "rest", "break", "handover", "late", "free"]


@dataclass(frozen=True)
class Clash:
    """Two things that do not go together, in a sentence.

    Args:
        kind: An auditor or a role in two places; rest; break; interview at a handover; running
            late by walking and drift; too little left free.
        items: Ids of the appointments.
        sentence: What does not fit.
        minutes: By how much, where that is a time.
    """

    kind: Kind
    items: tuple[str, ...]
    sentence: str
    minutes: int = 0


@dataclass(frozen=True)
class DayShare:
    """How much of an auditor's day is left free for trails."""

    auditor: str
    day: date
    share_free: float
    span_min: int


@dataclass(frozen=True)
class AgendaCheck:
    """What the agenda is like.

    Args:
        clashes: In order of time.
        days: Share left free of each auditor's day; 20 to 25 % is common practice.
        shifts_covered: Shifts of the scope in which something is planned on the floor.
        shifts_missing: The others.
        handovers_covered: Changes of shift that a planned handover takes in.
        handovers_missing: Changes that none does.
    """

    clashes: tuple[Clash, ...]
    days: tuple[DayShare, ...]
    shifts_covered: tuple[str, ...]
    shifts_missing: tuple[str, ...]
    handovers_covered: tuple[str, ...]
    handovers_missing: tuple[str, ...]


def check_agenda(state: AuditState) -> AgendaCheck:
    """Everything that can be seen of the agenda as it stands; dropped appointments are out."""
    plan = plan_of(state)
    booked = in_order(state)
    by_auditor = _by_auditor(state, booked)
    days = tuple(day for who, items in by_auditor.items() for day in _shares(who, items, plan))
    clashes = [
        *(clash for items in by_auditor.values() for clash in _own_clashes(items, plan)),
        *_role_clashes(booked),
        *_handover_clashes(booked, plan),
        *_too_full(days, state),
    ]
    order = {item.id: number for number, item in enumerate(booked)}
    clashes.sort(key=lambda c: (order.get(c.items[0], -1) if c.items else len(order), c.kind))
    shifts, handovers = _covered(booked, plan)
    return AgendaCheck(tuple(clashes), days, *shifts, *handovers)


def in_order(state: AuditState) -> list[Appointment]:
    """Appointments that were not dropped, by time."""
    kept = [item for item in state.appointments.values() if not item.dropped]
    return sorted(kept, key=lambda item: (item.starts_at, item.ends_at, item.id))


def _by_auditor(state: AuditState, booked: list[Appointment]) -> dict[str, list[Appointment]]:
    """Appointments of each auditor; what names none belongs to the only one there is."""
    team = [m.user for m in state.members.values() if m.role in {Role.LEAD, Role.AUDITOR}]
    named = dict.fromkeys([*team, *(item.auditor for item in booked if item.auditor)])
    found: dict[str, list[Appointment]] = defaultdict(list)
    for item in booked:
        if item.auditor:
            found[item.auditor].append(item)
        elif len(named) <= 1:
            found[next(iter(named), "")].append(item)
    return dict(found)


def _own_clashes(items: list[Appointment], plan: ShiftPlan) -> Iterator[Clash]:
    for one, other in _overlaps(items):
        said = f'"{one.what}" and "{other.what}" overlap for the same auditor.'
        yield Clash("auditor", (one.id, other.id), said, _overlap_min(one, other))
    work = [item for item in items if item.kind != "free"]
    yield from _rest(work, plan)
    yield from _breaks(work)
    yield from _late(work)


def _overlaps(items: Iterable[Appointment]) -> Iterator[tuple[Appointment, Appointment]]:
    for one, other in combinations(items, 2):
        if other.starts_at < one.ends_at and one.starts_at < other.ends_at:
            yield one, other


def _overlap_min(one: Appointment, other: Appointment) -> int:
    return _min(_end(min(one, other, key=lambda i: i.ends_at)) - _start(other))


def _rest(items: list[Appointment], plan: ShiftPlan) -> Iterator[Clash]:
    """Eleven hours in any twenty-four, and a whole rest over each night."""
    said = "{:.1f} h of rest between the days; 11 h are needed."
    first: Appointment | None = None
    last: Appointment | None = None
    told: set[str] = set()
    for item in items:
        if first is not None and last is not None:
            gap = _start(item) - _end(last)
            over_night = _local(plan, _end(last)) < _local(plan, _start(item))
            if gap >= REST:
                first, last = None, None
            elif over_night and gap >= NIGHT_PAUSE:
                lacking = _min(REST - gap)
                yield Clash("rest", (last.id, item.id), said.format(_hours(gap)), lacking)
                first, last = None, None
        if first is None or last is None:
            first = last = item
            continue
        last = max(last, item, key=lambda i: i.ends_at)
        over = _end(last) - _start(first) - (DAY - REST)
        if over > timedelta() and first.id not in told:
            told.add(first.id)
            text = f"{_hours(DAY - REST + over):.1f} h without 11 h of rest between."
            yield Clash("rest", (first.id, last.id), text, _min(over))


def _breaks(items: list[Appointment]) -> Iterator[Clash]:
    """Six hours of work without half an hour between."""
    first: Appointment | None = None
    until: datetime | None = None
    told = False
    for item in items:
        if first is None or until is None or _start(item) - until >= BREAK:
            first, until, told = item, _end(item), False
        else:
            until = max(until, _end(item))
        over = until - _start(first) - BREAK_AFTER
        if over > timedelta() and not told:
            told = True
            said = f"{_hours(BREAK_AFTER + over):.1f} h without a break of 30 min."
            yield Clash("break", (first.id, item.id), said, _min(over))


def _late(items: list[Appointment]) -> Iterator[Clash]:
    """What walking and drift on the floor make of the day, carried from one to the next."""
    late, told = timedelta(), timedelta()
    for before, after in pairwise(items):
        if before.kind == "floor":
            late += (_end(before) - _start(before)) * DRIFT_SHARE
        walk = WALK if before.place and after.place and before.place != after.place else timedelta()
        slack = _start(after) - _end(before)
        late = max(late + walk - max(slack, timedelta()), timedelta())
        if _min(late) > _min(told):
            said = f'"{after.what}" would start about {_min(late)} min late: walking and drift.'
            yield Clash("late", (before.id, after.id), said, _min(late))
        told = late


def _role_clashes(booked: list[Appointment]) -> Iterator[Clash]:
    asked = [item for item in booked if item.with_role.strip() and item.kind not in NO_PERSON]
    for one, other in _overlaps(asked):
        if fold(one.with_role) == fold(other.with_role) and one.auditor != other.auditor:
            said = (
                f'"{one.what}" and "{other.what}" both ask the {one.with_role.strip()} at the '
                "same time: one person, or two?"
            )
            yield Clash("role", (one.id, other.id), said, _overlap_min(one, other))


def _handover_clashes(booked: list[Appointment], plan: ShiftPlan) -> Iterator[Clash]:
    """Interviews in the first ten minutes of a handover; only looking is right then."""
    starts = {_start(item) for item in booked if item.kind == "handover"}
    if booked:
        first, last = _start(booked[0]), max(_end(item) for item in booked)
        starts |= {change.at for change in plan.changes(first - HANDOVER_QUIET, last)}
    for item in booked:
        if item.kind != "interview":
            continue
        hit = sorted(at for at in starts if _start(item) < at + HANDOVER_QUIET and at < _end(item))
        if hit:
            said = f'"{item.what}" is an interview in the first 10 min of a handover: look only.'
            yield Clash("handover", (item.id,), said)


def _shares(who: str, items: list[Appointment], plan: ShiftPlan) -> Iterator[DayShare]:
    days: Mapping[date, list[Appointment]] = defaultdict(list)
    for item in items:
        days[_local(plan, _start(item))].append(item)
    for day, own in days.items():
        span = max(_end(item) for item in own) - _start(own[0])
        booked, until = timedelta(), _start(own[0])
        for item in (item for item in own if item.kind != "free"):
            booked += max(_end(item) - max(_start(item), until), timedelta())
            until = max(until, _end(item))
        yield DayShare(who, day, 1 - booked / span, _min(span))


def _too_full(days: Iterable[DayShare], state: AuditState) -> Iterator[Clash]:
    for day in days:
        if day.share_free < FREE_LEAST:
            member = state.members.get(day.auditor)
            function = member.function if member else ""
            called = f"the {function}" if function else day.auditor
            who = f" of {called}" if called else ""
            lacking = round((FREE_LEAST - day.share_free) * day.span_min)
            said = (
                f"{day.day}{who}: {100 * day.share_free:.0f} % left free; "
                f"{100 * FREE_LEAST:.0f} to {100 * FREE_MOST:.0f} % are needed for trails."
            )
            yield Clash("free", (), said, lacking)


Both = tuple[tuple[str, ...], tuple[str, ...]]


def _covered(booked: list[Appointment], plan: ShiftPlan) -> tuple[Both, Both]:
    """Shifts and changes of shift that the agenda takes in, and those it leaves out."""
    seen = {
        fold(item.shift or plan.shift_at(_start(item)))
        for item in booked
        if item.shift or item.kind in {"floor", "interview"}
    }
    names = [shift.name for shift in plan.shifts]
    taken = {
        change.incoming
        for item in booked
        if item.kind == "handover"
        for change in plan.changes(_start(item) - HANDOVER_QUIET, _end(item) + HANDOVER_QUIET)
    }
    into = [shift.name for shift in plan.shifts if shift.start is not None]
    return (
        (
            tuple(name for name in names if fold(name) in seen),
            tuple(name for name in names if fold(name) not in seen),
        ),
        (
            tuple(f"into {name}" for name in into if name in taken),
            tuple(f"into {name}" for name in into if name not in taken),
        ),
    )


def _start(item: Appointment) -> datetime:
    return moment_of(item.starts_at)


def _end(item: Appointment) -> datetime:
    return moment_of(item.ends_at)


def _local(plan: ShiftPlan, at: datetime) -> date:
    return at.astimezone(plan.zone).date()


def _hours(span: timedelta) -> float:
    return span / timedelta(hours=1)


def _min(span: timedelta) -> int:
    return round(span / timedelta(minutes=1))
