"""Typesets a document in a short-lived process, since the compiler's memory grows with each use.

The same data give the same bytes: fixed time, shipped fonts, none of the machine's. The PDF is
PDF/A-2a and PDF/UA-1, and the compiler refuses what would not be. This module knows no report.
"""

import json
import subprocess
import sys
from collections.abc import Mapping, Sequence
from datetime import datetime

from witnessmark.errors import WitnessmarkError
from witnessmark.report.audit_report.fonts import printable

WORKER = "witnessmark.report.audit_report.typeset_worker"
LONGEST_WORD = 42
BREAK = "\u200b"
"""A place at which a very long word may be broken."""


class TypesettingError(WitnessmarkError):
    """A document that could not be set; says what the compiler said."""


def typeset(
    template: str, variants: Sequence[Mapping[str, object]], at: datetime, most_pages: int = 0
) -> bytes:
    """The PDF of the first variant whose main part fits, else of the last.

    Args:
        template: File of `page`.
        variants: Data of the document, the fullest first.
        at: Time that the PDF says it was made.
        most_pages: Pages before the mark `<annex>`; not asked of a single variant.

    Raises:
        TypesettingError: None could be set.
    """
    data = [json.dumps(_settable(one), ensure_ascii=False) for one in variants]
    asked = {
        "template": template,
        "variants": data,
        "timestamp": int(at.timestamp()),
        "most_pages": most_pages,
    }
    done = subprocess.run(  # noqa: S603 - our own interpreter and module, no text of a user
        [sys.executable, "-m", WORKER],
        input=json.dumps(asked).encode(),
        capture_output=True,
        check=False,
    )
    if done.returncode:
        raise TypesettingError(
            "The document could not be set: " + done.stderr.decode("utf-8", "replace").strip()
        )
    return done.stdout


def _settable(value: object, key: str = "") -> object:
    """The same value with every text such that it can be drawn and broken."""
    if isinstance(value, str):
        return value if key == "svg" else breakable(printable(value))
    if isinstance(value, Mapping):
        return {name: _settable(item, name) for name, item in value.items()}
    if isinstance(value, list | tuple):
        return [_settable(item, key) for item in value]
    return value


def breakable(text: str) -> str:
    """The text with a place to break in every word that no line could hold; hashes stay whole."""
    if len(text) <= LONGEST_WORD:
        return text
    return " ".join(_broken(word) for word in text.split(" "))


def _broken(word: str) -> str:
    if len(word) <= LONGEST_WORD or _is_hash(word):
        return word
    return BREAK.join(word[at : at + 20] for at in range(0, len(word), 20))


def _is_hash(word: str) -> bool:
    return len(word) <= 64 and set(word) <= set("0123456789abcdef-")  # noqa: PLR2004 - SHA-256


def has_boxes(value: object) -> bool:
    """Whether any text of a value has a character that is printed as a box."""
    if isinstance(value, str):
        return printable(value) != value
    if isinstance(value, Mapping):
        return any(has_boxes(item) for name, item in value.items() if name != "svg")
    return isinstance(value, list | tuple) and any(map(has_boxes, value))
