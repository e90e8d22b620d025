"""Counts of a population grouped by result, reason, cluster and strata.

This module knows neither SQL nor tests: it adds up.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from witnessmark.record_tests.outcome import Counts

NOT_GIVEN = "not known"


@dataclass
class _Sum:
    conforming: int = 0
    exceptions: int = 0
    not_assessable: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    not_applicable: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    fragile_exceptions: int = 0
    fragile_conforming: int = 0

    def add(self, group: "_Group") -> None:
        if not group.is_applicable:
            self.not_applicable[group.reason or ""] += group.n
        elif group.reason is not None:
            self.not_assessable[group.reason] += group.n
        elif group.is_exception:
            self.exceptions += group.n
            self.fragile_exceptions += group.n if group.is_fragile else 0
        else:
            self.conforming += group.n
            self.fragile_conforming += group.n if group.is_fragile else 0

    def counts(self) -> Counts:
        return Counts(
            self.conforming,
            self.exceptions,
            dict(sorted(self.not_assessable.items())),
            dict(sorted(self.not_applicable.items())),
            self.fragile_exceptions,
            self.fragile_conforming,
        )


@dataclass(frozen=True)
class _Group:
    is_applicable: bool
    reason: str | None
    is_exception: bool
    is_fragile: bool
    cluster: str | None
    strata: tuple[str | None, ...]
    n: int


class Tally:
    """A grouped population.

    Args:
        strata: Names of the strata, in the order of the groups.
        groups: Rows of (is applicable, reason, is exception, is fragile, cluster, *strata, n).
    """

    def __init__(self, strata: Sequence[str], groups: Iterable[Sequence[object]]) -> None:
        self._strata = tuple(strata)
        self._groups = [
            _Group(bool(g[0]), _text(g[1]), bool(g[2]), bool(g[3]), _text(g[4]),
                   tuple(_text(value) for value in g[5:-1]), int(str(g[-1])))
            for g in groups
        ]  # fmt: skip

    def counts(self) -> Counts:
        """Counts of the whole population."""
        whole = _Sum()
        for group in self._groups:
            whole.add(group)
        return whole.counts()

    def stratum(self, name: str) -> dict[str, Counts]:
        """Counts by each value of one stratum, sorted by value."""
        position = self._strata.index(name)
        sums: dict[str, _Sum] = defaultdict(_Sum)
        for group in self._groups:
            sums[group.strata[position] or NOT_GIVEN].add(group)
        return {value: sums[value].counts() for value in sorted(sums)}

    def clusters(self) -> tuple[list[int], list[int]]:
        """Exceptions and assessed units by cluster; those without one are one cluster together.

        Returns:
            Exceptions and assessed units, in the order of the clusters' names.
        """
        sums: dict[str, _Sum] = defaultdict(_Sum)
        for group in self._groups:
            sums[group.cluster or NOT_GIVEN].add(group)
        ordered = [sums[name].counts() for name in sorted(sums)]
        return [one.exceptions for one in ordered], [one.assessed for one in ordered]


def _text(value: object) -> str | None:
    return None if value is None else str(value)
