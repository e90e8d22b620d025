"""The marks of a day ribbon: checks made, due and late, releases, restarts, material changes.

When a check was due is read from the running clock backwards: the instant at which the machine had
run as long as the limit allows. Late is only what the derived gaps say is late.
"""

from bisect import bisect_left
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import get_args

from witnessmark.report.figures import Mark, MarkKind
from witnessmark.report.gather.reader import Found, Reader, instant, whole
from witnessmark.report.words import clock

WHAT = "The marks on a day ribbon"
CHECKS = """
select
    kind,
    result,
    done_at,
    coalesce(date_diff('second', done_at, entered_at) > $late_entry_s, false) as entered_later
from checks
where machine_id = $machine_id and done_at >= $from_at and done_at < $to_at
order by done_at, check_id
"""
LATE_GAPS = """
select distinct
    check_gaps.from_at, check_gaps.to_at, check_gaps.to_kind, check_gaps.basis, check_gaps.limit_s
from check_gaps
inner join merged_runs using (run_ix)
where
    merged_runs.machine_id = $machine_id
    and check_gaps.limit_s < case check_gaps.basis
        when 'clock-time' then check_gaps.wall_s else check_gaps.running_s
    end
    and check_gaps.to_at >= $from_at and check_gaps.from_at < $to_at
order by check_gaps.to_at, check_gaps.from_at, check_gaps.to_kind
"""
CLOCK = """
select running_clock."at", running_clock.is_running, running_clock.running_s
from running_clock
inner join known_machines using (machine_ix)
where known_machines.machine_id = $machine_id
order by running_clock."at"
"""
EVENTS = """
select 'release' as kind, released_at as happened_at
from starts
where machine_id = $machine_id and release_basis = 'record' and released_at is not null
union
select 'restart', restarted_at
from restarts
where machine_id = $machine_id and restarted_at is not null
union
select 'material-change', happened_at
from process_events
where machine_id = $machine_id and kind = 'material-change'
union
select 'material-change', start_at
from material_uses
where
    machine_id = $machine_id
    and not exists (
        select 1 from process_events
        where process_events.machine_id = $machine_id and process_events.kind = 'material-change'
    )
order by happened_at, kind
"""


def marks_of(reader: Reader, machine: str, start: datetime, end: datetime) -> tuple[Mark, ...]:
    """All marks of a machine between two instants, in the order of time."""
    given = {"machine_id": machine, "from_at": start, "to_at": end}
    due = _due_times(reader, machine, reader.rows(WHAT, LATE_GAPS, given))
    checks = [_check(row, due, reader.zone) for row in reader.rows(WHAT, CHECKS, given)]
    answered = {mark.due_at for mark in checks if mark.due_at is not None}
    missed = [Mark("due", at) for at in sorted(set(due.values()) - answered) if start <= at < end]
    events = [
        Mark(_kind(row["kind"]), at, says=f"{row['kind']} {clock(at, reader.zone)}")
        for row in reader.rows(WHAT, EVENTS, {"machine_id": machine})
        if start <= (at := instant(row["happened_at"])) < end
    ]
    return tuple(sorted((*checks, *missed, *events), key=lambda mark: (mark.at, mark.kind)))


def _check(row: Found, due: dict[datetime, datetime], zone: str) -> Mark:
    done = instant(row["done_at"])
    kind: MarkKind = "made"
    if row["result"] == "fail":
        kind = "failed"
    elif row["kind"] in ("first-off", "last-off", "challenge"):
        kind = _kind(row["kind"])
    elif done in due:
        kind = "late"
    said = f"{row['kind']} {clock(done, zone)}, {row['result']}"
    answers = due.get(done) if kind == "late" else None
    return Mark(kind, done, answers, bool(row["entered_later"]), said)


def _kind(word: object) -> MarkKind:
    for kind in get_args(MarkKind):
        if kind == word:
            return kind  # type: ignore[no-any-return]  # get_args gives Any
    raise ValueError(f"{word} is no kind of mark")


def _due_times(reader: Reader, machine: str, gaps: Sequence[Found]) -> dict[datetime, datetime]:
    """When each late check, or each run that ended without one, had its limit reached."""
    if not gaps:
        return {}
    points = reader.rows(WHAT, CLOCK, {"machine_id": machine})
    due: dict[datetime, datetime] = {}
    for gap in gaps:
        start, end = instant(gap["from_at"]), instant(gap["to_at"])
        limit = whole(gap["limit_s"])
        at = start + timedelta(seconds=limit)
        if gap["basis"] != "clock-time":
            at = reached(points, running_at(points, start) + limit) or end
        due[end] = min(at, due.get(end, at))
    return due


def running_at(points: Sequence[Found], at: datetime) -> int:
    """Seconds a machine has run up to an instant, from the breakpoints of its clock."""
    later = bisect_left(points, at, key=lambda point: instant(point["at"]))
    if later < len(points) and instant(points[later]["at"]) == at:
        return whole(points[later]["running_s"])
    if later == 0:
        return 0
    last = points[later - 1]
    passed = (at - instant(last["at"])) // timedelta(seconds=1) if last["is_running"] else 0
    return whole(last["running_s"]) + passed


def reached(points: Sequence[Found], seconds: int) -> datetime | None:
    """The instant at which a machine had run that many seconds, or none where it never did."""
    after = bisect_left(points, seconds, key=lambda point: whole(point["running_s"]))
    before = points[after - 1] if after else None
    if after < len(points) and whole(points[after]["running_s"]) == seconds:
        return instant(points[after]["at"])
    if before is None or not before["is_running"]:
        return None
    left = seconds - whole(before["running_s"])
    return instant(before["at"]) + timedelta(seconds=left)
