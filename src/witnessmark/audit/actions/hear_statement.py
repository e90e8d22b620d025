"""A statement is heard: who said what, by role, where and when."""

from typing import ClassVar

from witnessmark.audit.action import Creation, Stamp
from witnessmark.audit.cited import ReadBack
from witnessmark.audit.items import Statement
from witnessmark.audit.people import OWN_WORK, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class HearStatement(Creation, frozen=True, kw_only=True):
    """Keeps a statement in the speaker's words; it proves that it was said, not that it is so.

    Args:
        role: Of the speaker; never a name.
        words: Commitment of the words, in the speaker's language.
        translation: Commitment of a translation, where there is one.
        protected: The source is protected: it may inform a trail and appears nowhere else.
        vague: Vague words that were left standing.
        requirement: The rule that the speaker named, if any.
    """

    kind: ClassVar = "statement-heard"
    does: ClassVar = "write down a statement"
    allowed: ClassVar[Allowed] = OWN_WORK
    collection: ClassVar = "statements"
    sealed: ClassVar = ("words", "translation")

    role: str
    place: str = ""
    shift: str = ""
    language: str = "en"
    words: str = ""
    translation: str = ""
    read_back: ReadBack = "not-read-back"
    protected: bool = False
    vague: tuple[str, ...] = ()
    requirement: str = ""

    def check(self, state: AuditState, actor: Actor) -> None:
        """Somebody said something."""
        if not self.words:
            raise RefusedError("Write down what was said.")
        if not self.role.strip():
            raise RefusedError("Say in which role the speaker spoke, never by name.")

    def build(self, stamp: Stamp) -> Statement:
        """The statement."""
        return Statement(
            **stamp.base,
            role=self.role,
            place=self.place,
            shift=self.shift,
            language=self.language,
            words_sealed=self.words,
            translation_sealed=self.translation,
            read_back=self.read_back,
            protected=self.protected,
            vague=self.vague,
            requirement=self.requirement,
        )
