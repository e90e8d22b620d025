"""Vague words of a statement, by language, and the four questions that they prompt.

A vague word is no fault of the speaker; it only cannot be tested as it stands. The words are data
(`vague.toml`; common practice, no source), and the notebook gets the same ones. This module knows
no audit.
"""

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from witnessmark.audit.phrases import fold, found_in

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
    vocabulary = vocabularies().get(base_of(language))
    return found_in(text, vocabulary.phrases) if vocabulary else ()


def prompts(language: str = DEFAULT) -> tuple[str, str, str, str]:
    """The four questions in a language; in English where it is not offered."""
    known = vocabularies()
    return known.get(base_of(language), known[DEFAULT]).prompts


def as_json() -> dict[str, dict[str, list[str]]]:
    """All languages for the notebook: folded phrases and prompts, in a fixed order."""
    return {
        language: {"phrases": sorted(item.phrases), "prompts": list(item.prompts)}
        for language, item in vocabularies().items()
    }


def base_of(language: str) -> str:
    """The language of a tag: `de` of `de-AT`."""
    return re.split(r"[-_]", language.strip().casefold())[0]


def _vocabulary(entry: Mapping[str, Any]) -> Vocabulary:
    inflected = [stem + ending for stem in entry["stems"] for ending in entry["endings"]]
    how_often, who, where, see = entry["prompts"]
    phrases = frozenset(fold(word) for word in [*entry["words"], *inflected])
    return Vocabulary(phrases, (how_often, who, where, see))
