"""Forms of statements."""

from typing import Any

from django import forms

from witnessmark.audit.vague import vocabularies
from witnessmark.web.desk.audit_page import AuditPage
from witnessmark.web.desk.working.fields import choice, line, moment, text
from witnessmark.web.desk.working.pieces import Piece

LANGUAGES = {
    "en": "English",
    "de": "German",
    "bg": "Bulgarian",
    "cs": "Czech",
    "es": "Spanish",
    "fr": "French",
    "hr": "Croatian",
    "hu": "Hungarian",
    "it": "Italian",
    "nl": "Dutch",
    "pl": "Polish",
    "pt": "Portuguese",
    "ro": "Romanian",
    "sk": "Slovak",
    "sr": "Serbian",
    "tr": "Turkish",
    "uk": "Ukrainian",
    "other": "another one",
}
READ_BACK = (
    ("not-read-back", "Not read back yet"),
    ("agreed", "Read back, and agreed"),
    ("corrected", "Read back, and corrected by the speaker"),
)
RESULTS = (
    ("agrees", "It agrees with what was said"),
    ("partly", "It agrees in part"),
    ("contradicts", "It contradicts what was said"),
    ("open", "It does not tell"),
)
HOW = {
    "records": "Records",
    "observation": "Something seen",
    "document": "A document",
    "another person": "Another person",
    "untested": "Nothing: it stays untested",
    "no criterion": "Nothing: the speaker named no criterion",
}
WITHOUT = frozenset({"untested", "no criterion"})
"""Ways in which a statement ends with a reason and nothing that answers it."""


class HearForm(forms.Form):
    """What somebody said."""

    words = text("In the speaker’s words", "As it was said, in the language it was said in.")
    role = line("Role of the speaker", "By role and never by name.", required=True)
    place = line("Where")
    shift = line("Shift")
    language = forms.ChoiceField(label="Language", choices=list(LANGUAGES.items()))
    translation = text("Translation", "Where it was said in another language.", required=False)
    read_back = choice("Read back and agreed?", READ_BACK, initial="not-read-back")
    requirement = line("Rule that the speaker named", "“Where is it written?”")
    protected = forms.BooleanField(
        label="Protected source: may inform a trail, and appears nowhere else", required=False
    )

    def __init__(self, page: AuditPage, *args: Any, is_new: bool = True, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["language"].initial = page.state.opening.language
        if is_new:
            self.fields["said_at"] = moment(page, "When", "Empty for now.")
        order = ["words", "role", "place", "shift", "said_at"]
        self.order_fields(order)


class AnswerForm(forms.Form):
    """What answers a statement, or why nothing does."""

    def __init__(self, how: str, pieces: list[Piece], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if how not in WITHOUT:
            found = [(piece.token, piece.text[:200]) for piece in pieces]
            self.fields["cited"] = choice(
                "What answers it", [*found, ("", "None of these; I say it below")], required=False
            )
            self.fields["result"] = choice("What it tells", RESULTS)
        self.fields["reason"] = text(
            "Why" if how in WITHOUT else "In words",
            "" if how in WITHOUT else "Needed where nothing is chosen above.",
            required=how in WITHOUT,
        )


def offered_languages() -> frozenset[str]:
    """Languages whose vague words are known."""
    return frozenset(vocabularies())
