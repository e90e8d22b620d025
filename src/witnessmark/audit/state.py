"""The state of an audit: what the fold of its journal gives.

The state is disposable; the journal is the audit. This module knows no store and no clock.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TypeVar

from witnessmark.audit.items import (
    Appointment,
    Conclusion,
    Danger,
    Document,
    Finding,
    Freeze,
    Limitation,
    Member,
    Observation,
    Photo,
    Promise,
    Report,
    Request,
    Statement,
    Trail,
    Written,
)
from witnessmark.audit.people import RefusedError, Role

ItemT = TypeVar("ItemT", bound=Written)


@dataclass(slots=True)
class Opening:
    """What the audit is about, as it was opened."""

    title: str = ""
    process: str = ""
    site: str = ""
    zone: str = "UTC"
    language: str = "en"
    starts_on: str = ""
    ends_on: str = ""
    deadlines: str = "default"
    opened_at: str = ""


@dataclass(slots=True)
class Scope:
    """What is examined, against what."""

    text: str = ""
    not_in_scope: str = ""
    areas: tuple[str, ...] = ()
    shifts: tuple[str, ...] = ()
    machines: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()


@dataclass(slots=True)
class SiteRules:
    """What the site allows on its floor; until stated, one asks before each photo."""

    photos: str = "ask-each-time"
    phones: bool = True
    danger_role: str = ""
    safety: str = ""


@dataclass(slots=True)
class Criterion:
    """A document that the process is held against, in the revision valid then."""

    document: str
    revision: str
    valid_on: str = ""
    clauses: tuple[str, ...] = ()


@dataclass(slots=True)
class AuditState:
    """Everything that is known of an audit after its last entry.

    Items are kept by id, in the order in which they were written (time, device, its number), not
    received: notebooks that synchronise in another order give the same state.
    """

    id: str = ""
    opening: Opening = field(default_factory=Opening)
    scope: Scope = field(default_factory=Scope)
    site_rules: SiteRules = field(default_factory=SiteRules)
    criteria: list[Criterion] = field(default_factory=list)
    members: dict[str, Member] = field(default_factory=dict)
    statements: dict[str, Statement] = field(default_factory=dict)
    observations: dict[str, Observation] = field(default_factory=dict)
    photos: dict[str, Photo] = field(default_factory=dict)
    documents: dict[str, Document] = field(default_factory=dict)
    dangers: dict[str, Danger] = field(default_factory=dict)
    requests: dict[str, Request] = field(default_factory=dict)
    promises: dict[str, Promise] = field(default_factory=dict)
    trails: dict[str, Trail] = field(default_factory=dict)
    findings: dict[str, Finding] = field(default_factory=dict)
    limitations: dict[str, Limitation] = field(default_factory=dict)
    appointments: dict[str, Appointment] = field(default_factory=dict)
    freezes: dict[str, Freeze] = field(default_factory=dict)
    reports: dict[str, Report] = field(default_factory=dict)
    conclusions: dict[str, Conclusion] = field(default_factory=dict)
    """By question; the auditor's, where they were given."""
    promised: dict[str, dict[str, None]] = field(default_factory=dict)
    """Ids of promises by trail, empty key for none; trails may come later than promises."""
    destroyed: set[str] = field(default_factory=set)
    """Commitments of texts whose key was destroyed."""
    unknown: set[str] = field(default_factory=set)
    """Kinds of events that this version does not know; they are kept, and said."""
    orphans: set[str] = field(default_factory=set)
    """Events that add to an item which is not in this journal."""
    closed_on: str = ""

    def item(self, id_: str) -> Written | None:
        """An item by its id, whatever it is."""
        for items in self._collections():
            if id_ in items:
                return items[id_]
        return None

    def owner_of(self, id_: str) -> str | None:
        """The account that wrote an item; None where there is none."""
        item = self.item(id_)
        return item.author if item else None

    def need(self, items: dict[str, ItemT], id_: str, word: str) -> ItemT:
        """An item that must exist.

        Raises:
            RefusedError: It does not.
        """
        if id_ not in items:
            raise RefusedError(f"There is no {word} {id_!r} in this audit.")
        return items[id_]

    def role_of(self, user: str) -> Role | None:
        """An account's role in this audit."""
        member = self.members.get(user)
        return Role(member.role) if member else None

    def _collections(self) -> Iterable[dict[str, Written]]:
        return (getattr(self, name) for name in COLLECTIONS)


COLLECTIONS = (
    "statements", "observations", "photos", "documents", "dangers", "requests", "promises",
    "trails", "findings", "limitations", "appointments", "freezes", "reports",
)  # fmt: skip
