"""The agenda of the audit under way."""

from datetime import datetime, timedelta

from witnessmark.audit.actions.plan_appointment import Kind, PlanAppointment
from witnessmark.audit.event import written
from witnessmark.practice.audits.day import Day
from witnessmark.practice.audits.preparing import SECOND_AUDITOR
from witnessmark.practice.audits.scribe import Scribe


def write_agenda(scribe: Scribe, day: Day) -> None:
    """Plans yesterday and today."""
    change = day.next_change
    handover = (change - timedelta(minutes=10), change + timedelta(minutes=20))
    yesterday: tuple[tuple[str, str, str, Kind, str, str], ...] = (
        (
            "05:20",
            "05:50",
            "Handover and staffing board, row T1",
            "handover",
            "shift leaders",
            "T1",
        ),
        ("05:50", "08:00", "Unattended row: control plan, watcher, bins", "floor", "", "row T1-B"),
        ("08:00", "08:25", "Daily performance meeting, silent", "meeting", "", "board T1"),
        ("08:30", "08:50", "Opening meeting", "meeting", "process owner", "meeting room"),
        ("11:00", "11:45", "Holds, gauges", "interview", "quality technician", "gauge room"),
        ("13:15", "13:55", "Handover", "handover", "shift leaders", "row T1"),
    )
    for start, end, what, kind, role, place in yesterday:
        _plan(scribe, what, kind, role, place, (day.first(start), day.first(end)), worth=3)
    ahead: tuple[tuple[int, int, str, Kind, str, str, int], ...] = (
        (-75, -30, "Set-up as it comes, T1-06", "floor", "setter", "row T1-B", 2),
        (-30, 10, "Consolidate", "writing", "", "meeting room", 2),
        (25, 55, "Stop log of the nights", "interview", "maintenance planner", "workshop", 2),
        (45, 75, "Frozen plan and overtime", "interview", "planner", "planning office", 1),
        (100, 130, "Shipping: where lots went", "interview", "logistics leader", "dispatch", 3),
    )
    for start_min, end_min, what, kind, role, place, worth in ahead:
        span = (day.ago(-start_min), day.ago(-end_min))
        _plan(scribe, what, kind, role, place, span, worth=worth)
    free = (handover[1] + timedelta(minutes=10), handover[1] + timedelta(minutes=70))
    _plan(scribe, "Free for trails", "free", "", "", free, 1)
    _plan(scribe, "Handover, night authority", "handover", "shift leaders", "row T1", handover, 3)
    _plan(
        scribe,
        "Training and qualification records",
        "records",
        "training coordinator",
        "office",
        (day.ago(-30), day.ago(-70)),
        worth=2,
        auditor=SECOND_AUDITOR,
    )


def _plan(
    scribe: Scribe,
    what: str,
    kind: Kind,
    role: str,
    place: str,
    span: tuple[datetime, datetime],
    worth: int,
    auditor: str = "",
) -> None:
    scribe.do(
        PlanAppointment(
            what=what,
            kind_of=kind,
            with_role=role,
            place=place,
            starts_at=written(span[0]),
            ends_at=written(span[1]),
            auditor=auditor or scribe.actor.user,
            worth=worth,  # type: ignore[arg-type]  # 1, 2 or 3
        )
    )
