"""The answer key: which rows a reader should find, which they must not, and why.

A weakness names, per record test, the refs that it was planted to show, and apart from these the
refs that follow from it elsewhere. A look-alike names the refs that look wrong and are not. This
module knows no table.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

Refs = Mapping[str, tuple[str, ...]]
"""Refs by the slug of a record test."""


@dataclass(frozen=True)
class Weakness:
    """One planted weakness.

    Args:
        name: Its name in the key.
        tells: What the reader should find, in a sentence.
        exceptions: The refs that show it.
        consequences: Refs of other tests that follow from it.
    """

    name: str
    tells: str
    exceptions: Refs
    consequences: Refs = field(default_factory=dict)


@dataclass(frozen=True)
class LookAlike:
    """Something that looks like a weakness and is in order.

    Args:
        name: Its name in the key.
        tells: Why it is in order, in a sentence.
        innocent: The refs that must not be exceptions.
        shows: Refs that a test shows all the same because it only describes: running with nobody
            put down is no fault where a permission covers it.
    """

    name: str
    tells: str
    innocent: Refs
    shows: Refs = field(default_factory=dict)


@dataclass(frozen=True)
class AnswerKey:
    """All weaknesses and look-alikes of a practice plant."""

    weaknesses: tuple[Weakness, ...]
    look_alikes: tuple[LookAlike, ...]

    def expected(self, slug: str) -> frozenset[str]:
        """Every ref that is an exception of a record test."""
        found = [w.exceptions.get(slug, ()) + w.consequences.get(slug, ()) for w in self.weaknesses]
        found += [one.shows.get(slug, ()) for one in self.look_alikes]
        return frozenset(ref for refs in found for ref in refs)

    def innocent(self, slug: str) -> frozenset[str]:
        """Every ref that must be no exception of a record test."""
        return frozenset(ref for one in self.look_alikes for ref in one.innocent.get(slug, ()))

    def slugs(self) -> tuple[str, ...]:
        """Every record test that the key speaks of, in order."""
        named: set[str] = set()
        for weakness in self.weaknesses:
            named |= set(weakness.exceptions) | set(weakness.consequences)
        for one in self.look_alikes:
            named |= set(one.innocent) | set(one.shows)
        return tuple(sorted(named))

    def as_json(self) -> dict[str, object]:
        """The key as plain values, for answer_key.json."""
        return {
            "weaknesses": [
                {
                    "name": weakness.name,
                    "tells": weakness.tells,
                    "exceptions": _sorted(weakness.exceptions),
                    "consequences": _sorted(weakness.consequences),
                }
                for weakness in self.weaknesses
            ],
            "look_alikes": [
                {
                    "name": one.name,
                    "tells": one.tells,
                    "innocent": _sorted(one.innocent),
                    "shows": _sorted(one.shows),
                }
                for one in self.look_alikes
            ],
        }


def refs(pairs: Iterable[tuple[str, str]]) -> dict[str, tuple[str, ...]]:
    """Pairs of slug and ref as refs by slug, each ref once."""
    found: dict[str, set[str]] = {}
    for slug, ref in pairs:
        found.setdefault(slug, set()).add(ref)
    return {slug: tuple(sorted(of_slug)) for slug, of_slug in sorted(found.items())}


def _sorted(given: Refs) -> dict[str, list[str]]:
    return {slug: sorted(of_slug) for slug, of_slug in sorted(given.items())}
