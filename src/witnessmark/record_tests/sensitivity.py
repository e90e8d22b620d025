"""What would change if a default were another value: always found by running the test again."""

from collections.abc import Sequence
from dataclasses import replace

from witnessmark.criteria.load import Criterion
from witnessmark.record_tests.engine import Progress, Settings, run_test
from witnessmark.record_tests.outcome import Outcome, Sensitivity
from witnessmark.record_tests.record_test import RecordTest
from witnessmark.timeline.build import Timeline


def vary_defaults(
    outcomes: Sequence[Outcome],
    tests: Sequence[RecordTest],
    timeline: Timeline,
    settings: Settings,
    progress: Progress | None = None,
) -> list[Outcome]:
    """Tries each used default with its one other value and notes what it would change.

    Criterion by criterion, so that a derived table is derived anew once for all tests.
    """
    found: dict[str, list[Sensitivity]] = {outcome.slug: [] for outcome in outcomes}
    in_force = timeline.criteria
    by_slug = {test.slug: test for test in tests}
    for criterion in in_force.in_force.values():
        touched = [
            outcome
            for outcome in outcomes
            if outcome.status == "assessed" and criterion.key.name in by_slug[outcome.slug].criteria
        ]
        if not criterion.is_default or not touched:
            continue
        if progress is not None:
            progress(criterion.key.name)
        timeline.vary(in_force.with_value(criterion.key.name, criterion.key.vary_to))
        for outcome in touched:
            varied = run_test(by_slug[outcome.slug], timeline, replace(settings, row_cap=0))
            found[outcome.slug].append(_sensitivity(criterion, outcome, varied))
        timeline.vary(in_force)
    return [replace(outcome, sensitivity=tuple(found[outcome.slug])) for outcome in outcomes]


def _sensitivity(criterion: Criterion, outcome: Outcome, varied: Outcome) -> Sensitivity:
    return Sensitivity(
        criterion.key.name,
        criterion.value,
        criterion.key.vary_to,
        criterion.key.unit,
        outcome.counts.exceptions,
        varied.counts.exceptions,
    )
