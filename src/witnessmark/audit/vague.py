"""Vague words of a statement, by language, and the four questions that they prompt.

A vague word is no fault of the speaker; it only cannot be tested as it stands. The words are data
(`vague.toml`; common practice, no source), and the notebook gets the same ones. This module knows
no audit.
"""

import re
import tomllib
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

WORD = re.compile(r"\w+")
BETWEEN = re.compile(r"[\s\-\u2010\u2011'’]+")
"""What may stand between the words of a phrase; a full stop or comma parts them."""
DEFAULT = "en"


@dataclass(frozen=True)
class Vocabulary:
    """The vague words of one language.

    Args:
        phrases: Every form, folded, its words joined by single spaces.
        prompts: How often, who, where is it written, may I see it.
    """

    phrases: frozenset[str]
    prompts: tuple[str, str, str, str]

    @property
    def longest(self) -> int:
        """Words of the longest phrase."""
        return max(phrase.count(" ") + 1 for phrase in self.phrases)


@cache
def vocabularies() -> Mapping[str, Vocabulary]:
    """The languages that are offered, with their words."""
    text = (files("witnessmark.audit") / "vague.toml").read_text("utf-8")
    return {language: _vocabulary(entry) for language, entry in tomllib.loads(text).items()}


def vague_words(text: str, language: str = DEFAULT) -> tuple[str, ...]:
    """The vague words and phrases of a text as they stand there, each once, in their order.

    Args:
        text: In any case and any Unicode form.
        language: `de` or a tag such as `de-AT`; a language that is not offered gives none.
    """
    vocabulary = vocabularies().get(_base(language))
    if vocabulary is None:
        return ()
    text = unicodedata.normalize("NFC", text)
    words = list(WORD.finditer(text))
    found: dict[str, str] = {}
    first = 0
    while first < len(words):
        length = _matched(text, words, first, vocabulary)
        if length:
            as_said = text[words[first].start() : words[first + length - 1].end()]
            found.setdefault(fold(as_said), as_said)
        first += length or 1
    return tuple(found.values())


def prompts(language: str = DEFAULT) -> tuple[str, str, str, str]:
    """The four questions in a language; in English where it is not offered."""
    known = vocabularies()
    return known.get(_base(language), known[DEFAULT]).prompts


def as_json() -> dict[str, dict[str, list[str]]]:
    """All languages for the notebook: folded phrases and prompts, in a fixed order."""
    return {
        language: {"phrases": sorted(item.phrases), "prompts": list(item.prompts)}
        for language, item in vocabularies().items()
    }


def fold(text: str) -> str:
    """A text as it is compared: composed, without case, words joined by single spaces."""
    folded = unicodedata.normalize("NFC", text).casefold()
    return " ".join(WORD.findall(unicodedata.normalize("NFC", folded)))


def _matched(text: str, words: list[re.Match[str]], first: int, vocabulary: Vocabulary) -> int:
    """How many words from `first` on are the longest phrase there; 0 for none."""
    phrase, end, best = "", words[first].start(), 0
    for length, word in enumerate(words[first : first + vocabulary.longest], start=1):
        if phrase and not BETWEEN.fullmatch(text[end : word.start()]):
            break
        phrase, end = f"{phrase} {fold(word.group())}".strip(), word.end()
        if phrase in vocabulary.phrases:
            best = length
    return best


def _base(language: str) -> str:
    return re.split(r"[-_]", language.strip().casefold())[0]


def _vocabulary(entry: Mapping[str, Any]) -> Vocabulary:
    inflected = [stem + ending for stem in entry["stems"] for ending in entry["endings"]]
    how_often, who, where, see = entry["prompts"]
    phrases = frozenset(fold(word) for word in [*entry["words"], *inflected])
    return Vocabulary(phrases, (how_often, who, where, see))
