"""Attended against unattended: whether exceptions are more frequent where nobody attended.

One look per record test, and many tests: the probability of chance is corrected for the number of
looks, and for units of one shift that resemble each other. This module knows no engine.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from witnessmark.record_tests.outcome import Contrast, Counts, Outcome
from witnessmark.record_tests.record_test import RecordTest
from witnessmark.stats.multiplicity import false_discovery
from witnessmark.stats.proportion import fisher_p

ATTENDED = ("attended",)
STAFFING = "staffing"
UNATTENDED = ("covered", "authorised", "uncovered")


@dataclass(frozen=True)
class _Side:
    exceptions: int
    assessed: int

    def independent(self, design_effect: float) -> tuple[int, int]:
        """Exceptions and others, as how many independent units they count."""
        found = round(self.exceptions / design_effect)
        return found, round(self.assessed / design_effect) - found


def with_contrasts(tests: Sequence[RecordTest], outcomes: Sequence[Outcome]) -> list[Outcome]:
    """The outcomes, each with its contrast where both sides have assessed units.

    Not those of tests on staffing: they judge attendance itself.
    """
    looks = [
        _sides({} if test.family == STAFFING else outcome.strata.get("attendance", {}))
        for test, outcome in zip(tests, outcomes, strict=True)
    ]
    p_values = [
        _p(sides, outcome.design_effect) for sides, outcome in zip(looks, outcomes, strict=True)
    ]
    made = [p for p in p_values if p is not None]
    adjusted = iter(false_discovery(made).adjusted)
    return [
        outcome if p is None else replace(outcome, contrast=_contrast(sides, p, next(adjusted)))
        for outcome, sides, p in zip(outcomes, looks, p_values, strict=True)
    ]


def _sides(classes: Mapping[str, Counts]) -> tuple[_Side, _Side]:
    """Attended and unattended, all ways of being unattended together."""

    def side(names: Sequence[str]) -> _Side:
        counts = [classes[name] for name in names if name in classes]
        return _Side(sum(one.exceptions for one in counts), sum(one.assessed for one in counts))

    return side(ATTENDED), side(UNATTENDED)


def _p(sides: tuple[_Side, _Side], design_effect: float) -> float | None:
    attended, unattended = sides
    if not attended.assessed or not unattended.assessed:
        return None
    if attended.exceptions + unattended.exceptions == 0:
        return None
    return fisher_p(*attended.independent(design_effect), *unattended.independent(design_effect))


def _contrast(sides: tuple[_Side, _Side], p: float, adjusted: float) -> Contrast:
    attended, unattended = sides
    return Contrast(
        attended.exceptions,
        attended.assessed,
        unattended.exceptions,
        unattended.assessed,
        p,
        adjusted,
    )
