"""What a report is made from, and the one place that keeps protected sources out of it.

Everything printed of a statement comes through here; whoever needs statements takes
`Sources.statements`, never those of the state. This module words almost nothing.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property
from pathlib import Path
from zoneinfo import ZoneInfo

from witnessmark.audit.event import INSTANT, Event, moment_of
from witnessmark.audit.items import Cited, Statement
from witnessmark.audit.journal import Received
from witnessmark.audit.state import AuditState
from witnessmark.record_tests.outcome import Outcome
from witnessmark.report import words
from witnessmark.report.audit_report.wording import Wording, wording

SHORT = 12
"""Digits of a hash that are printed where the whole one stands in the annex."""


@dataclass(frozen=True)
class Sources:
    """One audit at one moment of its journal.

    Args:
        state: The fold of the entries.
        reveal: Gives the text of a commitment, or nothing where it was destroyed.
        received: The entries, in order.
        outcomes: Kept outcomes by freeze.
        folders: Folder by freeze, where the records themselves are at hand.
        language: In which the report is written.
    """

    state: AuditState
    reveal: Callable[[str], str | None]
    received: Sequence[Received]
    outcomes: Mapping[str, Sequence[Outcome]] = field(default_factory=dict)
    folders: Mapping[str, Path] = field(default_factory=dict)
    language: str = "en"

    @property
    def say(self) -> Wording:
        """The words of the language."""
        return wording(self.language)

    @property
    def zone(self) -> ZoneInfo:
        """The plant's zone."""
        return ZoneInfo(self.state.opening.zone)

    @cached_property
    def hidden(self) -> frozenset[str]:
        """Ids of protected statements and of every event that corrected one."""
        return frozenset(
            id_
            for statement in self.state.statements.values()
            if statement.protected
            for id_ in (statement.id, *statement.history)
        )

    @cached_property
    def statements(self) -> tuple[Statement, ...]:
        """All statements that may be printed."""
        kept = self.state.statements.values()
        return tuple(statement for statement in kept if not statement.protected)

    def may_show(self, cited: Cited | None) -> bool:
        """Whether what is cited may be printed; something not cited may."""
        return cited is None or cited.id not in self.hidden

    def is_withheld(self, event: Event) -> bool:
        """Whether an event tells of a protected source, in whatever field."""
        return bool(self.hidden) and (event.id in self.hidden or _names(event.body, self.hidden))

    def text(self, commitment: str) -> str:
        """A sealed text; says so where its key was destroyed or it never came."""
        if not commitment:
            return ""
        found = self.reveal(commitment)
        if found is not None:
            return found
        return self.say("text.destroyed" if commitment in self.state.destroyed else "text.absent")

    def local(self, at: str) -> datetime | None:
        """An instant of the journal on the plant's clock; nothing where it is none."""
        return moment_of(at).astimezone(self.zone) if INSTANT.fullmatch(at) else None

    def when(self, at: str) -> str:
        """An instant in words: day and time on the plant's clock. Other texts stay as they are."""
        local = self.local(at)
        if local is None:
            return self.day(at)
        return f"{words.day(local.date())}, {local:%H:%M}"

    def day(self, on: str) -> str:
        """A date or instant as a day in words. Other texts stay as they are."""
        local = self.local(on)
        try:
            return words.day(local.date() if local else date.fromisoformat(on))
        except ValueError:
            return on

    def outcome(self, freeze: str, slug: str) -> Outcome | None:
        """The kept outcome of a test on a freeze."""
        return next((one for one in self.outcomes.get(freeze, ()) if one.slug == slug), None)

    @property
    def freeze(self) -> str:
        """The freeze that answers the questions: the last one taken in for the audit itself."""
        own = [f for f in self.state.freezes.values() if f.purpose == "audit"]
        return own[-1].freeze if own else ""


def _names(value: object, ids: frozenset[str]) -> bool:
    """Whether any text inside a JSON value is one of these ids."""
    if isinstance(value, Mapping):
        return any(_names(item, ids) for item in value.values())
    if isinstance(value, list | tuple):
        return any(_names(item, ids) for item in value)
    return value in ids if isinstance(value, str) else False
