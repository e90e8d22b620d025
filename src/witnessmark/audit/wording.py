"""Whether a finding is soundly stated: ten points, checked where a machine can, else asked.

It shows what it saw and refuses nothing; `judge` means that only the auditor can say. Source:
common practice, no source. This module changes nothing.
"""

import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal

from witnessmark.audit.cited import Fact
from witnessmark.audit.items import Finding
from witnessmark.audit.phrases import fold, found_in
from witnessmark.audit.vague import base_of, vague_words
from witnessmark.criteria.requirements import Requirement, requirement_of
from witnessmark.record_tests.record_test import catalogue

Verdict = Literal["met", "not met", "judge"]
Said = tuple[Verdict, str]
KINDS = {
    "cause": "a cause",
    "remedy": "a remedy",
    "adjective": "a judgement instead of a fact",
    "person": "a person, or blame",
}
NONE_FOUND = re.compile(r"\b(none|no consequence|nothing|keine|keiner|nichts)\b", re.IGNORECASE)
LOOKED_UNTIL = re.compile(r"\b(until|till|up to|bis)\b", re.IGNORECASE)
CLAUSES_PARTED = re.compile(r"[;,/]|\band\b|\bund\b")


@dataclass(frozen=True)
class Point:
    """One of the ten points.

    Args:
        number: 1 to 10.
        text: What a sound statement does.
        verdict: `judge` where only the auditor can say.
        why: What was seen, or what to ask oneself.
    """

    number: int
    text: str
    verdict: Verdict
    why: str


def check_wording(finding: Finding, language: str = "en") -> tuple[Point, ...]:
    """The ten points of a finding, in order.

    Args:
        finding: As drafted.
        language: In which it is worded; words are known in English and German.
    """
    looks: tuple[tuple[str, Callable[[], Said]], ...] = (
        ("One requirement, exact source and revision valid then.", lambda: _requirement(finding)),
        ("What was not met: one failure.", lambda: _one_failure(finding)),
        (
            "Facts: when, where, which; x of n, period, how selected.",
            lambda: _facts(finding.facts),
        ),
        ("No cause, no remedy, no adjectives, no person.", lambda: _words(finding, language)),
        ("True if any single item is struck out.", lambda: _struck_out(finding.facts)),
        ("The innocent rival is excluded.", lambda: _rival(finding)),
        ('Consequence, or "none found, looked until ...".', lambda: _consequence(finding)),
        ("Can be performed again by another.", lambda: _again(finding.facts)),
        ("Facts acknowledged before closing.", lambda: _acknowledged(finding)),
        ("The nearest clause, not the most severe.", lambda: _nearest(finding)),
    )
    return tuple(Point(number, text, *look()) for number, (text, look) in enumerate(looks, start=1))


def unwanted_words(text: str, language: str = "en") -> dict[str, tuple[str, ...]]:
    """Words of a cause, a remedy, a judgement, a person, and vague ones; only what was found."""
    base = base_of(language)
    found = {kind: found_in(text, phrases) for kind, phrases in _lists().get(base, {}).items()}
    found["vague"] = vague_words(text, base)
    return {kind: words for kind, words in found.items() if words}


def clause_of(standard: str, clause: str) -> str:
    """A clause as record tests name it: `A 8.5.1.1`; as it was written where that is unknown."""
    written = " ".join(clause.split())
    if written[:2] in {"A ", "Q "} or not written:
        return written
    name = standard.upper()
    if "16949" in name:
        return f"A {written}"
    return f"Q {written}" if "9001" in name else written


def catalogued(clause: str) -> Requirement | None:
    """The requirement behind a clause; None where the catalogue does not have it."""
    try:
        return requirement_of(clause)
    except KeyError:
        return None


def _requirement(finding: Finding) -> Said:
    stated = finding.requirement
    if not stated.document and not stated.clause:
        return "not met", "No requirement is named."
    if stated.document and not stated.revision:
        return "not met", f"The revision of {stated.document} valid then is missing."
    clauses = [part for part in CLAUSES_PARTED.split(stated.clause) if part.strip()]
    if not stated.document and len(clauses) > 1:
        return "not met", f"{len(clauses)} clauses are named; a statement has one requirement."
    if not stated.document and not stated.standard:
        return "not met", f"Of which standard and edition is {stated.clause}?"
    source = f"{stated.document} {stated.revision}" if stated.document else stated.standard
    said = f"{source}; {stated.clause}" if stated.clause else source
    known = [catalogued(clause_of(stated.standard, part.strip())) for part in clauses]
    if not stated.confirmed and any(item and item.confidence != "confirmed" for item in known):
        return "met", f"{said}. The clause is from memory: confirm it against a licensed copy."
    return "met", f"{said}."


def _one_failure(finding: Finding) -> Said:
    if not finding.statement.strip():
        return "not met", "It says nothing yet."
    return "judge", "Would one correction answer all of it? If not, they are two findings."


def _facts(facts: tuple[Fact, ...]) -> Said:
    if not facts:
        return "not met", "No fact is stated."
    counted = [fact for fact in facts if fact.x is not None and fact.n is not None]
    if not counted:
        return "not met", "No fact says x of n."
    lacks = [
        f'"{fact.text}" lacks {" and ".join(missing)}'
        for fact in counted
        if (missing := _missing(fact))
    ]
    if lacks:
        return "not met", "; ".join(lacks) + "."
    told = "; ".join(f"{f.x} of {f.n}, {f.period}, {f.selection}" for f in counted)
    targeted = any("target" in fold(fact.selection) for fact in counted)
    return "met", told + (". Targeted: x of n is no rate." if targeted else ".")


def _missing(fact: Fact) -> list[str]:
    missing = [word for word in ("period", "selection") if not getattr(fact, word).strip()]
    if fact.x is not None and fact.n is not None and fact.x > fact.n:
        missing.append(f"an n of at least {fact.x}")
    return missing


def _words(finding: Finding, language: str) -> Said:
    if base_of(language) not in _lists():
        return "judge", f"No word lists for the language {language!r}."
    text = ". ".join([finding.statement, finding.extent, *(fact.text for fact in finding.facts)])
    found = unwanted_words(text, language)
    if not found:
        return "met", "No such word found; read it once more all the same."
    named = KINDS | {"vague": "something that cannot be counted"}
    told = [f"{named[kind]}: {', '.join(words)}" for kind, words in found.items()]
    return "not met", "Words that name " + "; ".join(told) + "."


def _struck_out(facts: tuple[Fact, ...]) -> Said:
    items = sum(fact.x if fact.x is not None else 1 for fact in facts)
    if items <= 1:
        return "judge", "It rests on one item at most: struck out, nothing is left."
    return "judge", f"It rests on {items} items. Does it stand without any single one?"


def _rival(finding: Finding) -> Said:
    if not finding.rival_excluded.strip():
        return "not met", "Say how the innocent reading was excluded."
    return "met", finding.rival_excluded


def _consequence(finding: Finding) -> Said:
    told = finding.consequence.strip()
    if not told:
        return "not met", 'State it, or "none found, looked until ...".'
    if NONE_FOUND.search(told) and not LOOKED_UNTIL.search(told):
        return "not met", "None found: say until where you looked."
    return "met", told


def _again(facts: tuple[Fact, ...]) -> Said:
    if not facts:
        return "not met", "No fact is stated."
    loose = [fact.text for fact in facts if fact.cited is None]
    if loose:
        return "not met", "Not led back to what it was read from: " + "; ".join(loose) + "."
    return "met", f"Each of {len(facts)} fact(s) leads to what it was read from."


def _acknowledged(finding: Finding) -> Said:
    if not finding.acknowledged_at:
        return "not met", "The facts are not acknowledged yet."
    note = f' They said: "{finding.acknowledged_note}"' if finding.acknowledged_note else ""
    return "met", f"By {finding.acknowledged_role}, {finding.acknowledged_at}.{note}"


def _nearest(finding: Finding) -> Said:
    named = finding.requirement.clause or "no clause"
    slugs = {fact.cited.slug for fact in finding.facts if fact.cited and fact.cited.slug}
    near = dict.fromkeys(
        clause
        for slug in sorted(slugs)
        if slug in catalogue()
        for clause in catalogue()[slug].clauses
    )
    hint = f" The record tests behind the facts name {', '.join(near)}." if near else ""
    return "judge", f"Named: {named}. Is there one that says more exactly what was not met?{hint}"


@cache
def _lists() -> Mapping[str, Mapping[str, frozenset[str]]]:
    text = (files("witnessmark.audit") / "wording.toml").read_text("utf-8")
    return {
        language: {kind: frozenset(fold(word) for word in words) for kind, words in entry.items()}
        for language, entry in tomllib.loads(text).items()
    }
