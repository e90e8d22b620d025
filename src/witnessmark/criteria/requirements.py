"""The requirement catalogue: clause, edition, our own paraphrase, how sure we are of it.

Standards text is copyrighted and is not here. This module knows no test.
"""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal

SUBCLAUSE_LETTER = 1


@dataclass(frozen=True)
class Requirement:
    """One requirement.

    Args:
        clause: `Q` or `A` and the clause number, as record tests name it.
        standard: Standard it stands in.
        edition: Edition of that standard.
        paraphrase: What it asks for, in our own words.
        confidence: `memory`, `secondary` or `confirmed`; only a confirmed one prints in a formal
            record without a mark.
    """

    clause: str
    standard: str
    edition: str
    paraphrase: str
    confidence: Literal["memory", "secondary", "confirmed"]


@cache
def requirements() -> dict[str, Requirement]:
    """All requirements by clause, in the order of the file."""
    text = (files("witnessmark.criteria") / "requirements.toml").read_text("utf-8")
    return {clause: Requirement(clause, **entry) for clause, entry in tomllib.loads(text).items()}


def requirement_of(clause: str) -> Requirement:
    """The requirement behind a clause; a letter below it (`Q 8.5.1 c`) belongs to its clause.

    Raises:
        KeyError: The clause is not in the catalogue.
    """
    known = requirements()
    if clause in known:
        return known[clause]
    head, _, letter = clause.rpartition(" ")
    if len(letter) == SUBCLAUSE_LETTER and letter.isalpha():
        return known[head]
    raise KeyError(clause)
