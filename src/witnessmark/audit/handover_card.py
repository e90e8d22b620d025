"""The card for a change of shift: open matters to listen for, each with its age and source.

What was seen today comes before what is recorded; what was seen and is not in the records says so.
Whoever hands over is not examined by it: a matter that goes unsaid is a question. This moment is an
argument.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from witnessmark.audit.event import moment_of, written
from witnessmark.audit.records_then import RecordsThen, aware, naive
from witnessmark.audit.seen_today import Sight, age_min, latest_sights, said_age
from witnessmark.audit.state import AuditState
from witnessmark.timeline.build import Timeline

MATTERS: Mapping[str, str] = {
    "stop": "stopped, not planned",
    "check-overdue": "a check is overdue",
    "hold": "product on hold",
    "setup-unreleased": "set up and not released",
    "unattended": "runs without an operator",
    "temporary-change": "a control is replaced for a time",
    "challenge-failed": "the known-bad part was not found",
    "material-low": "material ends soon",
    "staffing": "a place is vacant",
    "check": "last check on the sheet",
}


@dataclass(frozen=True)
class Known:
    """What the records hold: open matters (None where they know no change), lots on hold."""

    matters: frozenset[tuple[str, str]] | None
    lots: frozenset[str]


HAPPENINGS = {
    "runs": "start_at", "machine_states": "start_at", "piece_counts": "counted_at",
    "stoppages": "start_at", "checks": "done_at", "setups": "start_at", "holds": "placed_at",
}  # fmt: skip
"""Where the end of an extract shows, when nobody wrote down when it was exported."""


@dataclass(frozen=True)
class Matter:
    """One matter that should be said.

    Args:
        kind: A word of `handover_items.kind`, or `check`.
        machine: The machine; empty where it concerns the area.
        text: What it is.
        since: Since when, or when it was seen, in the journal's form.
        age_min: Minutes since then.
        source: Seen today, or recorded.
        in_records: For what was seen: whether the records hold it too; None where there are none.
        item: Id of the observation; empty for a record.
    """

    kind: str
    machine: str
    text: str
    since: str
    age_min: int
    source: Literal["seen today", "recorded"]
    in_records: bool | None = None
    item: str = ""

    @property
    def sentence(self) -> str:
        """The line as it is printed."""
        what = MATTERS.get(self.kind, self.kind)
        head = f"{self.machine}: {what}" if self.machine else what
        detail = f" ({self.text})" if self.text else ""
        lacks = "; not in the records" if self.in_records is False else ""
        return f"{head}{detail}; {self.source}, {said_age(self.age_min)}{lacks}."


@dataclass(frozen=True)
class HandoverCard:
    """What to listen for.

    Args:
        area: The area.
        change_at: The change of shift, in the journal's form; empty where none is known.
        matters: Seen today first, the newest first; then recorded, the oldest first.
        extract_until: Until when the records reach; empty without an extract of the day.
        notes: What limits the card.
    """

    area: str
    change_at: str
    matters: tuple[Matter, ...]
    extract_until: str
    notes: tuple[str, ...]


def handover_card(
    state: AuditState,
    now: datetime,
    area: str,
    timeline: Timeline | None = None,
    change_at: str = "",
) -> HandoverCard:
    """The card of an area for a change of shift.

    Args:
        state: The audit.
        now: This moment, aware.
        area: As the records name it.
        timeline: Of a same-day extract; None for what was seen alone.
        change_at: The change, in the journal's form; else the next one that the records know.
    """
    sights = latest_sights(state, now)
    if timeline is None:
        seen = tuple(_seen(sights, now, None))
        note = "No extract of the day: only what was seen."
        return HandoverCard(area, change_at, _newest(seen), "", (note,))
    records = RecordsThen(timeline, "")
    change = _change(records, area, now, change_at)
    until = extract_until(records, now)
    recorded = _recorded(records, area, change) if change else []
    elsewhere = _elsewhere(records, area)
    matters = frozenset((m.machine, m.kind) for m in recorded) if change else None
    known = Known(matters, _lots_on_hold(records, now))
    seen = tuple(m for m in _seen(sights, now, known) if m.machine not in elsewhere)
    matched = {(m.machine, m.kind) for m in seen}
    rest = tuple(
        _with_sight(matter, sights, now)
        for matter in sorted(recorded, key=lambda m: (m.since, m.machine, m.kind))
        if (matter.machine, matter.kind) not in matched
    )
    return HandoverCard(
        area,
        written(change) if change else change_at,
        (*_newest(seen), *(_aged(matter, now) for matter in rest)),
        written(until) if until else "",
        tuple(_notes(records, area, change, until, now)),
    )


def extract_until(records: RecordsThen, now: datetime) -> datetime | None:
    """Until when an extract reaches: when it was exported, else the last thing that happened."""
    found = records.rows(
        "select max(pulled_at) from extracts where pulled_at <= $now", now=naive(now)
    )
    if found[0][0] is not None:
        return aware(found[0][0])
    parts = [f"select max({column}) as happened_at from {table} where {column} <= $now"
             for table, column in HAPPENINGS.items()]  # fmt: skip
    ((last,),) = records.rows(
        f"select max(happened_at) from ({' union all '.join(parts)})", now=naive(now)
    )
    return None if last is None else aware(last)


def _seen(
    sights: Mapping[tuple[str, str], Sight], now: datetime, known: Known | None
) -> Iterator[Matter]:
    for sight in sights.values():
        kind = _kind_of(sight, sights)
        if not kind:
            continue
        text, in_records = sight.word, None
        if known is not None and kind == "hold":
            loose = [lot for lot in sight.word.split(", ") if lot not in known.lots]
            in_records = not loose
            text += f"; without a hold: {', '.join(loose)}" if loose else ""
        elif known is not None and known.matters is not None and kind != "check":
            in_records = (sight.machine, kind) in known.matters
        since, age = written(sight.at), age_min(now, sight.at)
        yield Matter(
            kind, sight.machine, text, since, age, "seen today", in_records, sight.observation
        )


def _kind_of(sight: Sight, sights: Mapping[tuple[str, str], Sight]) -> str:
    """The matter that a sight is; empty where it is none."""
    match sight.aspect, sight.word:
        case "state", "stopped":
            return "stop"
        case "state", "set-up":
            return "setup-unreleased"
        case "presence", "nobody" | "watched":
            state = sights.get((sight.machine, "state"))
            return "" if state and state.word in {"stopped", "set-up"} else "unattended"
        case "lots", word if word:
            return "hold"
        case "check", _:
            return "check"
        case _:
            return ""


def _change(records: RecordsThen, area: str, now: datetime, stated: str) -> datetime | None:
    """The change that the records know: the stated one, else the next."""
    records.timeline.require({"shift_changes"})
    query = "select min(change_at) from shift_changes where area = $area and change_at "
    ((found,),) = records.rows(
        query + ("= $at" if stated else ">= $at"),
        area=area,
        at=naive(moment_of(stated) if stated else now),
    )
    return None if found is None else aware(found)


def _recorded(records: RecordsThen, area: str, change: datetime) -> list[Matter]:
    records.timeline.require({"open_matters"})
    found = records.rows(
        "select kind, machine_id, since_at, detail from open_matters "
        "where area = $area and change_at = $change order by since_at, machine_id, kind",
        area=area,
        change=naive(change),
    )
    return [
        Matter(kind, machine or "", detail or "", written(aware(since)), 0, "recorded")
        for kind, machine, since, detail in found
        if since is not None
    ]


def _lots_on_hold(records: RecordsThen, now: datetime) -> frozenset[str]:
    return frozenset(
        hold.lot_no
        for hold in records.holds()
        if hold.placed_at <= now and (hold.disposed_at is None or hold.disposed_at > now)
    )


def _with_sight(matter: Matter, sights: Mapping[tuple[str, str], Sight], now: datetime) -> Matter:
    """A record beside a later sight that says otherwise."""
    aspect = {"stop": "state", "unattended": "presence"}.get(matter.kind)
    sight = sights.get((matter.machine, aspect)) if aspect else None
    if sight is None or sight.at < moment_of(matter.since):
        return matter
    said = f"seen {sight.word} {said_age(age_min(now, sight.at))}"
    text = f"{matter.text}; {said}" if matter.text else said
    return Matter(matter.kind, matter.machine, text, matter.since, 0, "recorded")


def _aged(matter: Matter, now: datetime) -> Matter:
    age = age_min(now, moment_of(matter.since))
    return Matter(matter.kind, matter.machine, matter.text, matter.since, age, matter.source)


def _newest(matters: tuple[Matter, ...]) -> tuple[Matter, ...]:
    by_name = sorted(matters, key=lambda matter: (matter.machine, matter.kind))
    return tuple(sorted(by_name, key=lambda matter: matter.since, reverse=True))


def _elsewhere(records: RecordsThen, area: str) -> set[str]:
    """Machines that the records place in another area."""
    records.timeline.require({"known_machines"})
    found = records.rows(
        "select machine_id from known_machines where area is not null and area <> $area", area=area
    )
    return {machine for (machine,) in found}


def _notes(
    records: RecordsThen,
    area: str,
    change: datetime | None,
    until: datetime | None,
    now: datetime,
) -> Iterator[str]:
    if change is None:
        yield f"The records know no change of shift of area {area} then: only what was seen."
    if until is None:
        yield "The records hold nothing that happened before now."
    elif change is not None:
        yield (
            f"Recorded until {records.local(until)}, {said_age(age_min(now, until))}: what "
            "happened since is not in it, and what ran then is taken to run on."
        )
