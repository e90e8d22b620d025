"""What the audit has touched so far: requirements, roles, shifts, handovers, machines.

Read from evidence, not from the plan: an appointment counts only once it is over, and was not
dropped. A protected source counts as nobody unless it is asked for on the team's own desk. This
module changes nothing.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from witnessmark.audit.event import moment_of
from witnessmark.audit.items import Appointment, Observation
from witnessmark.audit.phrases import fold
from witnessmark.audit.shift_plan import ShiftPlan, plan_of
from witnessmark.audit.state import AuditState
from witnessmark.audit.wording import catalogued, clause_of
from witnessmark.criteria.requirements import Requirement, requirement_of, requirements
from witnessmark.record_tests.record_test import catalogue

USUAL_ROLES = (
    "shift leader", "operator", "setter", "planner", "quality", "maintenance", "training",
    "logistics", "process owner",
)  # fmt: skip
"""Who must usually be seen; common practice, no source. In English: other languages give theirs."""
HANDOVER_REACH = timedelta(minutes=10)
"""A handover was seen by who was there ten minutes before or after the change; common practice."""


@dataclass(frozen=True)
class ClauseTouched:
    """One requirement and what touched it.

    Args:
        clause: As record tests name it.
        requirement: From the catalogue; None where it is not in there.
        by: Trails, findings and record tests, in words.
        asked: Whether the criteria of this audit name it.
    """

    clause: str
    requirement: Requirement | None
    by: tuple[str, ...]
    asked: bool


@dataclass(frozen=True)
class MachineSeen:
    """How a machine was seen: how often with somebody, watched, with nobody at it."""

    machine: str
    attended: int = 0
    watched: int = 0
    nobody: int = 0
    looks: int = 0

    @property
    def unattended(self) -> int:
        """Looks at which no operator was there; a stopped machine without anybody is none."""
        return self.watched + self.nobody


@dataclass(frozen=True)
class Coverage:
    """What was touched and what not.

    Args:
        touched: Requirements touched, those of the criteria first.
        untouched: Requirements of the criteria, then of the catalogue, that nothing touched.
        roles_heard: Roles that said something, and how often.
        roles_not_heard: Roles that the agenda, promises or common practice name, not heard.
        shifts_heard: Shifts on which somebody said something.
        shifts_seen: Shifts on which the team was there.
        shifts_missing: Shifts of the scope on which the team was not there.
        handovers_seen: Changes of shift that were seen, as `early to late`.
        handovers_missing: Changes that the shift times give and nobody saw.
        machines: How each machine was seen, those of the scope first.
        machines_missing: Machines of the scope that nobody looked at.
    """

    touched: tuple[ClauseTouched, ...]
    untouched: tuple[ClauseTouched, ...]
    roles_heard: Mapping[str, int]
    roles_not_heard: tuple[str, ...]
    shifts_heard: tuple[str, ...]
    shifts_seen: tuple[str, ...]
    shifts_missing: tuple[str, ...]
    handovers_seen: tuple[str, ...]
    handovers_missing: tuple[str, ...]
    machines: tuple[MachineSeen, ...]
    machines_missing: tuple[str, ...]

    @property
    def not_seen_unattended(self) -> tuple[str, ...]:
        """Machines that were looked at, and never running with no operator at them."""
        return tuple(item.machine for item in self.machines if item.looks and not item.unattended)

    @property
    def unattended_seen(self) -> tuple[str, ...]:
        """Machines seen with no operator at them."""
        return tuple(item.machine for item in self.machines if item.unattended)


def coverage(
    state: AuditState,
    now: datetime,
    usual_roles: Iterable[str] = USUAL_ROLES,
    with_protected: bool = False,
) -> Coverage:
    """What is touched at this moment.

    Args:
        state: The audit.
        now: This moment, aware.
        usual_roles: Roles that are missed even where nothing planned them.
        with_protected: Whether protected sources count; only ever on the team's own desk.
    """
    plan = plan_of(state)
    touched, untouched = _clauses(state)
    heard = _heard(state, with_protected)
    seen, heard_on = _shifts_seen(state, plan, now), _shifts_heard(state, plan, with_protected)
    handovers = _handovers(state, plan, now)
    machines = _machines(state)
    looked_at = {item.machine for item in machines if item.looks}
    return Coverage(
        touched=touched,
        untouched=untouched,
        roles_heard=heard,
        roles_not_heard=_not_heard(state, heard, usual_roles),
        shifts_heard=heard_on,
        shifts_seen=seen,
        shifts_missing=tuple(s.name for s in plan.shifts if not _has(seen, s.name)),
        handovers_seen=handovers,
        handovers_missing=tuple(name for name in _expected(plan) if not _has(handovers, name)),
        machines=machines,
        machines_missing=tuple(m for m in state.scope.machines if m not in looked_at),
    )


def _clauses(state: AuditState) -> tuple[tuple[ClauseTouched, ...], tuple[ClauseTouched, ...]]:
    by: dict[str, dict[str, None]] = {}

    def touch(clause: str, what: str) -> None:
        by.setdefault(_head(clause), {})[what] = None

    for trail in state.trails.values():
        for clause in trail.clauses:
            touch(clause, f"trail: {trail.proposition}")
    for finding in state.findings.values():
        stated = finding.requirement
        if finding.state != "withdrawn" and stated.clause:
            touch(clause_of(stated.standard, stated.clause), f"finding {finding.number}")
    tests = catalogue()
    for freeze in state.freezes.values():
        for result in freeze.outcomes.values():
            if result.status == "assessed" and result.slug in tests:
                for clause in tests[result.slug].clauses:
                    touch(clause, f"record test {result.slug}")
    asked = list(dict.fromkeys(_head(c) for item in state.criteria for c in item.clauses))
    every = dict.fromkeys([*asked, *requirements(), *by])
    all_clauses = [
        ClauseTouched(clause, catalogued(clause), tuple(by.get(clause, ())), clause in asked)
        for clause in every
    ]
    return (
        tuple(item for item in all_clauses if item.by),
        tuple(item for item in all_clauses if not item.by),
    )


def _head(clause: str) -> str:
    """The clause in the catalogue that a clause belongs to; itself where it is not in there."""
    named = clause_of("", clause)
    try:
        return requirement_of(named).clause
    except KeyError:
        return named


def _heard(state: AuditState, with_protected: bool) -> dict[str, int]:
    heard: dict[str, int] = {}
    for statement in state.statements.values():
        if with_protected or not statement.protected:
            heard[statement.role.strip()] = heard.get(statement.role.strip(), 0) + 1
    return heard


def _not_heard(
    state: AuditState, heard: Mapping[str, int], usual_roles: Iterable[str]
) -> tuple[str, ...]:
    planned = [item.with_role for item in state.appointments.values() if not item.dropped]
    promised = [item.with_role for item in state.promises.values()]
    wanted = dict.fromkeys(role.strip() for role in [*planned, *promised, *usual_roles] if role)
    known = [fold(role) for role in heard]
    missing: dict[str, str] = {}
    for role in wanted:
        if not any(fold(role) in one for one in known):
            missing.setdefault(fold(role), role)
    return tuple(missing.values())


def _shifts_heard(state: AuditState, plan: ShiftPlan, with_protected: bool) -> tuple[str, ...]:
    names = (
        item.shift.strip() or plan.shift_at(moment_of(item.at))
        for item in state.statements.values()
        if with_protected or not item.protected
    )
    return tuple(dict.fromkeys(name for name in names if name))


def _shifts_seen(state: AuditState, plan: ShiftPlan, now: datetime) -> tuple[str, ...]:
    """Shifts on which an appointment took place or something was seen.

    A handover alone is not the shift: an appointment without a stated shift counts only where work
    is looked at.
    """
    names = [item.shift.strip() for item in _held(state, now) if item.shift.strip()]
    names += [
        plan.shift_at(moment_of(item.starts_at))
        for item in _held(state, now)
        if not item.shift.strip() and item.kind in {"floor", "interview"}
    ]
    names += [plan.shift_at(moment_of(o.seen_at)) for o in state.observations.values() if o.seen_at]
    return tuple(dict.fromkeys(name for name in names if name))


def _held(state: AuditState, now: datetime) -> list[Appointment]:
    """Appointments that took place, as far as the agenda says."""
    return [
        item
        for item in state.appointments.values()
        if not item.dropped and moment_of(item.ends_at) <= now
    ]


def _handovers(state: AuditState, plan: ShiftPlan, now: datetime) -> tuple[str, ...]:
    found: dict[str, None] = {}
    for item in _held(state, now):
        if item.kind != "handover":
            continue
        starts, ends = moment_of(item.starts_at), moment_of(item.ends_at)
        changes = plan.changes(starts - HANDOVER_REACH, ends + HANDOVER_REACH)
        names = [_named(change.outgoing, change.incoming) for change in changes]
        found |= dict.fromkeys(names or [item.what or item.shift])
    return tuple(found)


def _expected(plan: ShiftPlan) -> tuple[str, ...]:
    """The changes of shift between one shift of the plan and the next."""
    timed = [shift for shift in plan.shifts if shift.start is not None]
    return tuple(
        _named(before.name, after.name)
        for before in timed
        for after in timed
        if before is not after and before.end == after.start
    )


def _named(outgoing: str, incoming: str) -> str:
    return f"{outgoing} to {incoming}" if outgoing else incoming


def _has(names: Iterable[str], name: str) -> bool:
    return fold(name) in {fold(one) for one in names}


def _machines(state: AuditState) -> tuple[MachineSeen, ...]:
    counts: dict[str, dict[str, int]] = {machine: {} for machine in state.scope.machines}
    for observation in state.observations.values():
        for machine, presence in _presences(observation):
            own = counts.setdefault(machine, {})
            own["looks"] = own.get("looks", 0) + 1
            if presence in {"attended", "watched", "nobody"}:
                own[presence] = own.get(presence, 0) + 1
    return tuple(MachineSeen(machine, **own) for machine, own in counts.items())


def _presences(observation: Observation) -> list[tuple[str, str]]:
    """Machine and who was at it; an empty word where that was not asked or does not count."""
    values, grid = observation.values, observation.values.get("grid")
    if isinstance(grid, Mapping):
        is_staffing = observation.form == "staffing"
        return [(str(machine), str(word) if is_staffing else "") for machine, word in grid.items()]
    if not observation.machine:
        return []
    presence = str(values.get("presence") or "")
    idle = values.get("state") in {"stopped", "set-up"} and presence != "attended"
    return [(observation.machine, "" if idle else presence)]
