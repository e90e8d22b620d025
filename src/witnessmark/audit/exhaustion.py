"""When a trail is exhausted: seven conditions, scaled to the highest grade it could reach.

The tool says what it can see of each; the auditor judges in words. Source: common practice, no
source. This module changes nothing.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from witnessmark.audit.cited import Grade
from witnessmark.audit.items import Trail
from witnessmark.audit.state import AuditState

CONDITIONS: Mapping[str, str] = {
    "two-kinds": "Answered by two independent kinds of evidence, one not made by the function "
    "that is audited.",
    "rival-tested": "The innocent rival was tested explicitly.",
    "promises-settled": "Every promise on it is done, or closed with a reason.",
    "branches-ended": "Branches are opened or dismissed in writing.",
    "extent-known": "The extent is known (machines, shifts, period), or bounded.",
    "consequence-followed": "The consequence was followed to the last good check and to shipment.",
    "auditee-heard": "The auditee was heard.",
}
NEEDED: Mapping[Grade, tuple[str, ...]] = {
    "none": ("rival-tested",),
    "opportunity": ("rival-tested", "promises-settled"),
    "minor": ("two-kinds", "rival-tested", "promises-settled", "extent-known", "auditee-heard"),
    "major": tuple(CONDITIONS),
}
KINDS_NEEDED = 2


@dataclass(frozen=True)
class Seen:
    """What the tool can see of a condition; None where only the auditor can say."""

    key: str
    text: str
    needed: bool
    met: bool | None
    why: str


def needed_for(grade: Grade) -> tuple[str, ...]:
    """Keys of the conditions that a trail of this highest grade must meet."""
    return NEEDED[grade]


def conditions_of(state: AuditState, trail: Trail) -> list[Seen]:
    """The seven conditions with what can be seen of each."""
    needed = needed_for(trail.highest_grade)
    seen = {
        "two-kinds": _two_kinds(trail),
        "promises-settled": _promises(state, trail),
        "branches-ended": _branches(state, trail),
    }
    asked = (None, "Judge and say how.")
    return [
        Seen(key, text, key in needed, *seen.get(key, asked)) for key, text in CONDITIONS.items()
    ]


def _two_kinds(trail: Trail) -> tuple[bool, str]:
    kinds = {link.cited.column for link in trail.evidence}
    groups = {link.group or link.id for link in trail.evidence}
    outside = any(not link.by_audited_function for link in trail.evidence)
    enough = len(kinds) >= KINDS_NEEDED and len(groups) >= KINDS_NEEDED and outside
    told = f"{len(kinds)} kind(s) of evidence from {len(groups)} independent source(s); "
    return enough, told + ("one" if outside else "none") + " not made by the function audited."


def _promises(state: AuditState, trail: Trail) -> tuple[bool, str]:
    ids = state.promised.get(trail.id, {})
    still = [p.what for i in ids if (p := state.promises.get(i)) and p.outcome is None]
    if not still:
        return True, f"{len(ids)} promise(s), none open."
    return False, "Still promised: " + "; ".join(still)


def _branches(state: AuditState, trail: Trail) -> tuple[bool, str]:
    branches = [item for item in state.trails.values() if item.parent == trail.id]
    still = [item.proposition for item in branches if not item.is_closed]
    if still:
        return False, "Open branches: " + "; ".join(still)
    return True, f"{len(branches)} branch(es), none open."
