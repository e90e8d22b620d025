"""The words of the reports in one language, from one file per language.

A language that lacks a phrase borrows the English one, so that a half-translated file still gives a
whole report. Sentences of the record tests stand in their own files. This module knows no report.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

ENGLISH = "en"


@dataclass(frozen=True)
class Wording:
    """Phrases by `section.name`.

    Args:
        language: Code of the language, as a PDF names it.
        phrases: The phrases; `{name}` takes what is handed over.
    """

    language: str
    phrases: Mapping[str, str]

    def __call__(self, key: str, **given: object) -> str:
        """A phrase with its values filled in.

        Raises:
            KeyError: There is no such phrase in any language.
        """
        return self.phrases[key].format(**given)

    def named(self, section: str, name: str) -> str:
        """The word for a name of the journal, or the name itself where no word is known."""
        return self.phrases.get(f"{section}.{name}", name)

    def section(self, section: str) -> dict[str, str]:
        """All phrases of a section, by name."""
        begin = f"{section}."
        return {
            key.removeprefix(begin): phrase
            for key, phrase in self.phrases.items()
            if key.startswith(begin)
        }


@cache
def wording(language: str = ENGLISH) -> Wording:
    """The words of a language; English where there is no file for it."""
    folder = files("witnessmark.report.audit_report") / "language"
    known = {file.name.removesuffix(".toml") for file in folder.iterdir()}
    spoken = language if language in known else ENGLISH
    phrases: dict[str, str] = {}
    for code in dict.fromkeys((ENGLISH, spoken)):
        for section, entries in tomllib.loads((folder / f"{code}.toml").read_text("utf-8")).items():
            phrases |= {f"{section}.{name}": phrase for name, phrase in entries.items()}
    return Wording(spoken, phrases)
