"""Counts of a population grouped by result, reason and strata.

This module knows neither SQL nor tests: it adds up.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from witnessmark.record_tests.outcome import Counts

NOT_GIVEN = "not known"


@dataclass(frozen=True)
class _Group:
    is_applicable: bool
    reason: str | None
    is_exception: bool
    is_fragile: bool
    n: int

    @staticmethod
    def read(result: Sequence[object]) -> "_Group":
        is_applicable, reason, is_exception, is_fragile, n = result
        return _Group(
            bool(is_applicable),
            None if reason is None else str(reason),
            bool(is_exception),
            bool(is_fragile),
            int(str(n)),
        )


@dataclass
class _Sum:
    conforming: int = 0
    exceptions: int = 0
    not_assessable: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    not_applicable: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    fragile_exceptions: int = 0
    fragile_conforming: int = 0

    def add(self, group: _Group) -> None:
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


class Tally:
    """A grouped population.

    Args:
        groups: Rows of (stratum, value in it, is applicable, reason, is exception, is fragile, n);
            each stratum is of the whole population, and so is the one without a name.
    """

    def __init__(self, groups: Iterable[Sequence[object]]) -> None:
        self._sums: dict[str, dict[str, _Sum]] = defaultdict(lambda: defaultdict(_Sum))
        for stratum, value, *result in groups:
            said = NOT_GIVEN if value is None else str(value)
            self._sums[str(stratum)][said].add(_Group.read(result))

    def counts(self) -> Counts:
        """Counts of the whole population."""
        return self._sums[""][""].counts()

    def stratum(self, name: str) -> dict[str, Counts]:
        """Counts by each value of one stratum, sorted by value."""
        return {value: one.counts() for value, one in sorted(self._sums[name].items())}
