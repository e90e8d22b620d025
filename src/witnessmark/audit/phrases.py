"""Phrases in a text: whole words, whatever their case and Unicode form. Knows no particular phrase.

The notebook does the same in a browser: compose (NFC), lower case, ß as ss, words joined by single
spaces.
"""

import re
import unicodedata
from collections.abc import Collection

WORD = re.compile(r"\w+")
BETWEEN = re.compile(r"[\s\-\u2010\u2011'’]+")
"""What may stand between the words of a phrase; a full stop or comma parts them."""


def fold(text: str) -> str:
    """A text as it is compared: composed, without case, words joined by single spaces."""
    folded = unicodedata.normalize("NFC", text).casefold()
    return " ".join(WORD.findall(unicodedata.normalize("NFC", folded)))


def found_in(text: str, phrases: Collection[str]) -> tuple[str, ...]:
    """The phrases of a text as they stand there, longest first at each place, each once.

    Args:
        text: In any case and any Unicode form.
        phrases: Folded.
    """
    text = unicodedata.normalize("NFC", text)
    words = list(WORD.finditer(text))
    longest = max((phrase.count(" ") + 1 for phrase in phrases), default=0)
    found: dict[str, str] = {}
    first = 0
    while first < len(words):
        length = _matched(text, words[first : first + longest], phrases)
        if length:
            as_said = text[words[first].start() : words[first + length - 1].end()]
            found.setdefault(fold(as_said), as_said)
        first += length or 1
    return tuple(found.values())


def _matched(text: str, words: list[re.Match[str]], phrases: Collection[str]) -> int:
    """How many words from the first on are the longest phrase there; 0 for none."""
    phrase, end, best = "", 0, 0
    for length, word in enumerate(words, start=1):
        if phrase and not BETWEEN.fullmatch(text[end : word.start()]):
            break
        phrase, end = f"{phrase} {fold(word.group())}".strip(), word.end()
        if phrase in phrases:
            best = length
    return best
