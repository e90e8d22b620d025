"""The whole run: every chosen record test over one store, under the plant's own rules.

This module knows neither files nor reports.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from pathlib import Path

from witnessmark.criteria.load import Criteria
from witnessmark.errors import UnusableInputError, Where
from witnessmark.record_tests.contrast import with_contrasts
from witnessmark.record_tests.engine import Progress, Settings, run_tests
from witnessmark.record_tests.outcome import Outcome
from witnessmark.record_tests.record_test import RecordTest, catalogue
from witnessmark.record_tests.sensitivity import vary_defaults
from witnessmark.records.plant import Plant
from witnessmark.records.store import Store
from witnessmark.timeline.build import Period, Timeline


@dataclass(frozen=True)
class Battery:
    """What a run gives: the tests, their outcomes in the same order, and the timeline they read."""

    tests: tuple[RecordTest, ...]
    outcomes: tuple[Outcome, ...]
    timeline: Timeline
    plant: Plant


def choose(only: Sequence[str]) -> list[RecordTest]:
    """The tests of these slugs or families; all where none is named.

    Raises:
        UnusableInputError: Slugs that no test has, all at once.
    """
    known = catalogue()
    families = {test.family for test in known.values()}
    unknown = [name for name in only if name not in known and name not in families]
    if unknown:
        raise UnusableInputError.one(
            Where("--only"),
            f"there is no record test {', '.join(unknown)}.",
            "a slug of docs/record_tests/index.md, or a family: " + ", ".join(sorted(families)),
        )
    return [test for test in known.values() if not only or test.slug in only or test.family in only]


def stated_period(plant: Plant) -> Period:
    """The plant's stated days as UTC instants, whole local days."""

    def start_of(day: date) -> str:
        local = datetime.combine(day, time(), tzinfo=plant.zone_info)
        return (local - (local.utcoffset() or timedelta())).strftime("%Y-%m-%d %H:%M:%S")

    return Period(
        start_of(plant.period_from) if plant.period_from else None,
        start_of(plant.period_to + timedelta(days=1)) if plant.period_to else None,
    )


def run_battery(
    store: Store,
    plant: Plant,
    criteria: Criteria,
    only: Sequence[str] = (),
    cache_folder: Path | None = None,
    with_sensitivity: bool = True,
    progress: Progress | None = None,
) -> Battery:
    """Runs the chosen tests and varies the defaults they used.

    Args:
        store: Canonical tables in true time.
        plant: Its settings; the person basis decides which tests may run.
        criteria: Thresholds in force.
        only: Slugs or families; empty for all.
        cache_folder: Where derived tables are kept; None keeps them in memory.
        with_sensitivity: Whether used defaults are tried with their one other value.
        progress: Called with a short word for each step.

    Raises:
        UnusableInputError: An unknown slug.
    """
    tests = choose(only)
    timeline = Timeline(store, criteria, stated_period(plant), cache_folder)
    settings = Settings(basis=plant.person_basis)
    outcomes = with_contrasts(tests, run_tests(tests, timeline, settings, progress))
    if with_sensitivity:
        outcomes = vary_defaults(outcomes, tests, timeline, settings, progress)
    return Battery(tuple(tests), tuple(outcomes), timeline, plant)
