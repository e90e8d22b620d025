"""What a report is made from, and the one place that keeps protected sources out of it.

Everything printed of a statement comes through here; whoever needs statements takes
`Sources.statements`, never those of the state. Which events are hidden is judged where sealed files
judge it (`audit.withheld`), and so are texts that repeat hidden words. This module words almost
nothing.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, fields, is_dataclass, replace
from datetime import UTC, date, datetime
from functools import cached_property
from pathlib import Path
from typing import TypeVar, cast
from zoneinfo import ZoneInfo

from witnessmark.audit.cited import Cited
from witnessmark.audit.event import INSTANT, Event, moment_of
from witnessmark.audit.items import Statement
from witnessmark.audit.journal import Received
from witnessmark.audit.state import AuditState
from witnessmark.audit.withheld import HEARD, marks_of, repeats, withheld
from witnessmark.record_tests.outcome import Outcome
from witnessmark.report import words
from witnessmark.report.audit_report.wording import Wording, wording
from witnessmark.report.model import Paper
from witnessmark.report.run import load_paper

ValueT = TypeVar("ValueT")
NEVER = datetime(1970, 1, 1, tzinfo=UTC)
"""Time of a journal without an entry."""
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
        folders: Folder by freeze, where what a run kept is at hand.
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
        """Ids of all events that would reveal a protected source."""
        return frozenset(withheld(self._events, self.reveal))

    @cached_property
    def _events(self) -> list[Event]:
        return [item.event for item in self.received if item.event is not None]

    @cached_property
    def _hidden_words(self) -> tuple[str, ...]:
        heard = [one for one in self._events if one.kind == HEARD and one.id in self.hidden]
        found = (self.reveal(mark) for event in heard for mark in marks_of(event))
        return tuple(text for text in found if text)

    @cached_property
    def statements(self) -> tuple[Statement, ...]:
        """All statements that may be printed."""
        kept = self.state.statements.values()
        return tuple(one for one in kept if not one.protected and one.id not in self.hidden)

    def may_show(self, cited: Cited | None) -> bool:
        """Whether what is cited may be printed; something not cited may."""
        return cited is None or cited.id not in self.hidden

    def guarded(self, value: ValueT) -> ValueT:
        """A value of the report in which no text repeats the words of a protected source."""
        if not self._hidden_words:
            return value
        return cast("ValueT", self._guarded(value))

    def _guarded(self, value: object) -> object:
        if isinstance(value, str):
            hides = repeats(value, self._hidden_words)
            return self.say("text.withheld") if hides else value
        if isinstance(value, tuple):
            return tuple(map(self._guarded, value))
        if is_dataclass(value) and not isinstance(value, type):
            told = {one.name: self._guarded(getattr(value, one.name)) for one in fields(value)}
            return replace(value, **told)
        return value

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

    @cached_property
    def papers(self) -> Mapping[str, Paper]:
        """What the working papers of the freezes say, as far as they are at hand."""
        found = {freeze: load_paper(folder) for freeze, folder in self.folders.items()}
        return {freeze: paper for freeze, paper in found.items() if paper is not None}

    @property
    def made_at(self) -> datetime:
        """Time of the last entry of the journal; whatever is made from it says so."""
        return moment_of(self.received[-1].entry.received_at) if self.received else NEVER

    @property
    def freeze(self) -> str:
        """The freeze that answers the questions: the last one taken in for the audit itself."""
        own = [f for f in self.state.freezes.values() if f.purpose == "audit"]
        return own[-1].freeze if own else ""
