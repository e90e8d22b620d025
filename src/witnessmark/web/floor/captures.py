"""What the notebook asks for, once: the phone page, the printed pages and keying in draw from it.

This module knows no page.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from witnessmark.audit.forms import FORMS, Field

Choices = tuple[tuple[str, str], ...]
Into = Literal["body", "values", "text"]
"""Where an answer goes: the action's own field, the values of its form, or its sealed texts."""

READ_BACK: Choices = (
    ("not-read-back", "Not read back"),
    ("agreed", "Read back, agreed"),
    ("corrected", "Read back, corrected"),
)
LANGUAGES: Choices = (
    ("en", "English"), ("de", "Deutsch"), ("pl", "Polski"), ("es", "Español"), ("fr", "Français"),
    ("it", "Italiano"), ("cs", "Čeština"), ("hu", "Magyar"), ("ro", "Română"), ("tr", "Türkçe"),
)  # fmt: skip
OUTCOMES: Choices = (
    ("done", "Done"), ("refused", "Refused"), ("impossible", "Impossible"),
    ("overtaken", "Overtaken"),
)  # fmt: skip
PERMISSIONS: Choices = (
    ("given", "Asked and given here"),
    ("not-needed", "Not needed here"),
    ("kept-by-plant", "Taken and kept by the plant"),
)
PROTECTED = (
    "The words may inform a trail. They stand in no report, export or sealed file, and on no page "
    "of the auditee or an observer."
)


@dataclass(frozen=True)
class Ask:
    """One question.

    Args:
        name: Field of the action, or of the form.
        label: As it is asked.
        kind: How it is answered: `words` (several lines), `line`, `chips` (a line with remembered
            answers), `choice`, `language`, `switch`, `time` (of day), `count`, `lots`, `grid`,
            `photo`.
        into: Where the answer goes.
        choices: Admitted answers with their words.
        needed: Whether nothing is kept without it.
        first: Whether it has the focus when the page opens.
        more: Whether it waits under "More".
        help: What it means.
        memory: Under which name answers are remembered; the same word over all captures.
    """

    name: str
    label: str
    kind: str
    into: Into = "body"
    choices: Choices = ()
    needed: bool = False
    first: bool = False
    more: bool = False
    help: str = ""
    memory: str = ""


@dataclass(frozen=True)
class Capture:
    """One thing the notebook keeps.

    Args:
        name: In addresses and drafts.
        button: On its control.
        title: Above its page.
        kind: Of the event that it makes.
        asks: What it asks, in this order.
        form: Of an observation.
        lead: A sentence above everything.
        rows: How many empty ones a printed notebook holds.
    """

    name: str
    button: str
    title: str
    kind: str
    asks: tuple[Ask, ...]
    form: str = ""
    lead: str = ""
    rows: int = 6

    @property
    def has_more(self) -> bool:
        """Whether some questions wait under "More"."""
        return any(ask.more for ask in self.asks)


_ROLE = Ask("role", "Role of the speaker, never a name", "chips", needed=True, memory="role")
_PLACE = Ask("place", "Place", "chips", memory="place")
_MACHINE = Ask("machine", "Machine", "chips", memory="machine")
_NOTE = Ask("note", "A sentence, where one is needed", "words", "text", more=True)
_AGREED = Ask(
    "agreed_by", "Who on the spot agrees that it is so (role)", "chips", more=True, memory="role"
)

HEARD = Capture(
    "heard",
    "Heard",
    "Somebody said",
    "statement-heard",
    (
        Ask("words", "In the speaker's words", "words", "text", needed=True, first=True),
        _ROLE,
        _PLACE,
        Ask("read_back", "Read back", "choice", choices=READ_BACK),
        Ask("protected", "Protected source", "switch", help=PROTECTED),
        Ask("shift", "Shift", "chips", more=True, memory="shift"),
        Ask("language", "Language of the words", "language", choices=LANGUAGES, more=True),
        Ask("translation", "Translation", "words", "text", more=True),
        Ask("requirement", "Rule that the speaker named", "line", more=True),
    ),
    rows=8,
)
SAW = Capture(
    "saw",
    "Saw",
    "Something seen",
    "observation-made",
    (
        Ask("note", "What is to be seen", "words", "text", needed=True, first=True),
        _MACHINE,
        _PLACE,
        Ask("photos", "A photo with it", "photo"),
        _AGREED,
    ),
    form="free",
    rows=8,
)
PROMISED = Capture(
    "promised",
    "Promised",
    "Promised to be looked at",
    "step-promised",
    (
        Ask("what", "What", "line", needed=True, first=True),
        Ask("with_role", "With whom (role)", "chips", memory="role"),
        _PLACE,
        Ask("latest", "Until when it can still be done", "time"),
        Ask("window", "What closes it", "chips", memory="window"),
        Ask("earliest", "Not before", "time", more=True),
    ),
    rows=8,
)
PHOTO = Capture(
    "photo",
    "Photo",
    "A photo",
    "photo-taken",
    (
        Ask("photo", "Picture", "photo", needed=True, first=True),
        Ask("permission", "On what ground", "choice", choices=PERMISSIONS, needed=True),
        Ask("caption", "What it shows, without names", "line"),
    ),
    rows=0,
)
DOCUMENT = Capture(
    "document",
    "Document",
    "A document read here",
    "document-transcribed",
    (
        Ask("title", "Document", "line", needed=True, first=True),
        Ask("revision", "Revision", "line"),
        Ask("page", "Page or sheet", "line"),
        Ask("text", "What it says, word for word", "words", "text"),
        Ask("receipt", "Receipt under which the plant keeps it", "line"),
        _PLACE,
    ),
    lead="Without a photo: copy the words, or let the plant keep the sheet under a receipt.",
    rows=4,
)
DANGER = Capture(
    "danger",
    "Danger",
    "A danger that was told",
    "danger-reported",
    (
        Ask("told_role", "Whom you told (role)", "chips", needed=True, first=True, memory="role"),
        Ask("what", "What was to be seen", "words", "text"),
        _PLACE,
    ),
    lead="Tell whoever is in charge now, before you write. Then keep here whom you told.",
    rows=2,
)
SETTLED = Capture(
    "settled",
    "",
    "How a promise ended",
    "promise-settled",
    (
        Ask("outcome", "It was", "choice", choices=OUTCOMES, needed=True),
        Ask("note", "Why, where it was not done", "line", first=True),
    ),
    rows=0,
)
"""Opened from the list of promises, not by a control."""
_BUTTONS = {
    "staffing": "Staffing",
    "round": "Round",
    "machine-state": "Machine",
    "counter": "Counted",
    "last-check": "Last check",
    "board": "Board",
    "hold-area": "Hold lots",
}
_KINDS = {"word": "choice", "instant": "time", "text": "line"}


def _ask(field: Field) -> Ask:
    """A question of an observation form."""
    kind = _KINDS.get(field.kind, field.kind)
    choices = tuple((word, word.capitalize()) for word in field.words)
    return Ask(field.name, field.label, kind, "values", choices, needed=field.needed)


def _structured(name: str) -> Capture:
    """The capture of an observation form."""
    form = FORMS[name]
    asks = [_ask(field) for field in form.fields]
    if form.by_machine:
        asks.insert(0, replace(_MACHINE, needed=True))
    index = next(number for number, ask in enumerate(asks) if ask.needed)
    index = index + 1 if form.by_machine and asks[index + 1 :] else index
    asks[index] = replace(asks[index], first=True)
    place = () if any(ask.name == "area" for ask in asks) else (_PLACE,)
    return Capture(
        name,
        _BUTTONS[name],
        form.title,
        "observation-made",
        (*asks, *place, _NOTE, _AGREED),
        form=name,
        rows=6,
    )


CAPTURES: Mapping[str, Capture] = {
    capture.name: capture
    for capture in (
        HEARD,
        SAW,
        PROMISED,
        PHOTO,
        _structured("counter"),
        _structured("round"),
        _structured("staffing"),
        _structured("machine-state"),
        _structured("last-check"),
        _structured("board"),
        _structured("hold-area"),
        DOCUMENT,
        DANGER,
        SETTLED,
    )
}
"""Every capture, in the order of the controls."""
