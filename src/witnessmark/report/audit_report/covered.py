"""What was actually covered: from notes and the agenda, held against the scope.

What counts as a shift seen or a machine looked at is judged in `audit.coverage`; what is only
planned counts for nothing. This module judges nothing.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, datetime

from witnessmark.audit.coverage import Coverage, coverage
from witnessmark.audit.event import moment_of
from witnessmark.audit.items import Appointment
from witnessmark.audit.phrases import fold
from witnessmark.audit.shift_plan import plan_of
from witnessmark.report.audit_report.sources import Sources
from witnessmark.report.audit_report.values import (
    AgendaItem,
    Covered,
    DayOnSite,
    Heard,
    Met,
    TeamMember,
)
from witnessmark.report.words import day, listed, plural

AUDITORS = ("lead-auditor", "auditor")


def covered_said(sources: Sources) -> Covered:
    """Days, shifts, areas and machines as met."""
    scope, met = sources.state.scope, coverage(sources.state, sources.made_at, ())
    looks = {one.machine: one.looks for one in met.machines}
    return Covered(
        days=_days(sources),
        shifts=tuple(
            Met(one.name, _shift_met(sources, met, one.name))
            for one in plan_of(sources.state).shifts
        ),
        areas=tuple(Met(name, _place_met(sources, name)) for name in scope.areas),
        machines=tuple(
            Met(name, _by(sources, {"observations": looks.get(name, 0)})) for name in scope.machines
        ),
        handovers=met.handovers_seen,
        handovers_missing=met.handovers_missing,
    )


def kept_appointments(sources: Sources) -> list[Appointment]:
    """Appointments that were not dropped and lie before the last entry of the journal."""
    own = sources.state.appointments.values()
    return [one for one in own if not one.dropped and moment_of(one.ends_at) <= sources.made_at]


def _days(sources: Sources) -> tuple[DayOnSite, ...]:
    seen: dict[date, list[datetime]] = defaultdict(list)
    said: Counter[date] = Counter()
    for item in sources.state.observations.values():
        if local := sources.local(item.seen_at or item.at):
            seen[local.date()].append(local)
    for statement in sources.statements:
        if local := sources.local(statement.at):
            said[local.date()] += 1
    return tuple(
        DayOnSite(day(on), _hours(seen.get(on, [])), said[on], len(seen.get(on, [])))
        for on in sorted({*seen, *said})
    )


def _hours(moments: list[datetime]) -> str:
    if not moments:
        return ""
    return f"{min(moments):%H:%M}\u2013{max(moments):%H:%M}"


def _shift_met(sources: Sources, met: Coverage, name: str) -> str:
    said = ["met.seen"] if _has(met.shifts_seen, name) else []
    said += ["met.heard"] if _has(met.shifts_heard, name) else []
    return listed(map(sources.say, said))


def _place_met(sources: Sources, name: str) -> str:
    counts = {
        "statements": sum(_within(name, one.place) for one in sources.statements),
        "observations": sum(
            _within(name, one.place) or str(one.values.get("area", "")) == name
            for one in sources.state.observations.values()
        ),
        "appointments": sum(_within(name, one.place) for one in kept_appointments(sources)),
    }
    return _by(sources, counts)


def _by(sources: Sources, counts: Mapping[str, int]) -> str:
    say = sources.say
    return listed(plural(n, *say.named("met", kind).split("|")) for kind, n in counts.items() if n)


def _has(names: Iterable[str], name: str) -> bool:
    return fold(name) in map(fold, names)


def _within(name: str, place: str) -> bool:
    return bool(name.strip()) and name.strip().casefold() in place.casefold()


def team_said(sources: Sources) -> tuple[TeamMember, ...]:
    """The auditors, by role and function, with independence and competence as stated."""
    return tuple(
        TeamMember(
            sources.say.named("role", one.role), one.function, one.independence, one.competence
        )
        for one in sources.state.members.values()
        if one.role in AUDITORS
    )


def people_said(sources: Sources) -> tuple[Heard, ...]:
    """How often each role was heard; never together with the shift."""
    counts = Counter(one.role.strip() for one in sources.statements)
    return tuple(Heard(role, number) for role, number in sorted(counts.items()))


def distribution_said(sources: Sources) -> tuple[str, ...]:
    """Who receives the report, by function."""
    said = []
    for one in sources.state.members.values():
        role = sources.say.named("role", one.role)
        said.append(f"{one.function} ({role})" if one.function else role)
    return tuple(dict.fromkeys(said))


def agenda_said(sources: Sources) -> tuple[AgendaItem, ...]:
    """The agenda with what was moved and dropped, in the order of time."""
    items = sorted(sources.state.appointments.values(), key=lambda one: (one.starts_at, one.id))
    return tuple(
        AgendaItem(_span(sources, one), one.what, one.with_role, one.place, one.moves, one.dropped)
        for one in items
    )


def _span(sources: Sources, one: Appointment) -> str:
    end = sources.local(one.ends_at)
    return sources.when(one.starts_at) + (f"\u2013{end:%H:%M}" if end else "")
