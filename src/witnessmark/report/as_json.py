"""The outcomes as JSON, per slug: the same counts, for a program instead of a reader.

Refs stay as the engine made them, because they are the way back to the rows; columns that hold a
person say "a person" and small groups are merged, as in the paper.
"""

import json
from collections.abc import Mapping
from dataclasses import asdict
from datetime import UTC, date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from witnessmark.record_tests.battery import Battery
from witnessmark.record_tests.outcome import Counts, Outcome, Row
from witnessmark.record_tests.persons import without_persons
from witnessmark.record_tests.record_test import RecordTest
from witnessmark.report.gather.groups import Groups, groups_of
from witnessmark.report.gather.persons import merged_small, sentence_of
from witnessmark.report.gather.reader import Reader
from witnessmark.report.gather.results import rate_of
from witnessmark.stats.proportion import Interval


def to_json(battery: Battery) -> str:
    """The text of the JSON file: an object with one entry per slug."""
    groups = groups_of(Reader(battery.timeline), battery.plant.small_group)
    entries = {
        outcome.slug: entry(test, outcome, groups, battery.plant.zone_info)
        for test, outcome in zip(battery.tests, battery.outcomes, strict=True)
    }
    return json.dumps(entries, indent=2, ensure_ascii=False) + "\n"


def entry(test: RecordTest, outcome: Outcome, groups: Groups, zone: ZoneInfo) -> dict[str, object]:
    """What JSON says of one test."""
    counts = outcome.counts
    return {
        "status": outcome.status,
        "population": counts.population,
        "assessed": counts.assessed,
        "not_assessable": dict(counts.not_assessable),
        "not_applicable": dict(counts.not_applicable),
        "exceptions": counts.exceptions,
        "fragile": counts.fragile_exceptions + counts.fragile_conforming,
        "fragile_exceptions": counts.fragile_exceptions,
        "fragile_conforming": counts.fragile_conforming,
        **_bounds(outcome.interval, counts),
        "design_effect": outcome.design_effect,
        "range_low": outcome.range_low,
        "range_high": outcome.range_high,
        "criteria": {
            used.name: {
                "value": _plain(used.value),
                "unit": used.unit,
                "source": used.source,
                "is_default": used.is_default,
            }
            for used in outcome.criteria
        },
        "sensitivity": [
            {
                "criterion": one.criterion,
                "default": _plain(one.default),
                "varied_to": _plain(one.varied_to),
                "exceptions": one.exceptions,
                "exceptions_varied": one.exceptions_varied,
            }
            for one in outcome.sensitivity
        ],
        "strata": {
            name: _strata(values, groups.persons.get(name, {}), groups.least)
            for name, values in outcome.strata.items()
        },
        "contrast": asdict(outcome.contrast) if outcome.contrast else None,
        "rows": [_row(test, row, zone) for row in outcome.rows],
        "rows_total": outcome.rows_total,
        "missing": list(outcome.missing),
        "uses_absent": list(outcome.uses_absent),
        "message": outcome.message,
        "revision": test.revision,
        "digest": outcome.digest,
    }


def _bounds(interval: Interval | None, counts: Counts) -> dict[str, float | None]:
    if interval is None or not counts.assessed:
        return {"rate": None, "lower": None, "upper": None}
    rate = counts.exceptions / counts.assessed
    return {"rate": rate, "lower": interval.lower, "upper": interval.upper}


def _strata(
    values: Mapping[str, Counts], persons: Mapping[str, int], least: int
) -> dict[str, object]:
    merged, _ = merged_small(values, persons, least)
    return {value: _stratum(counts) for value, counts in merged.items()}


def _stratum(counts: Counts) -> dict[str, object]:
    rate = rate_of(counts)
    return {
        "population": counts.population,
        "assessed": counts.assessed,
        "not_assessable": sum(counts.not_assessable.values()),
        "not_applicable": sum(counts.not_applicable.values()),
        "exceptions": counts.exceptions,
        "rate": rate.rate,
        "lower": rate.lower,
        "upper": rate.upper,
    }


def _row(test: RecordTest, row: Row, zone: ZoneInfo) -> dict[str, object]:
    values = without_persons(row) | {"sentence": sentence_of(test, row, zone)[1]}
    return {_name(name): _plain(value) for name, value in values.items()}


def _name(column: str) -> str:
    return "fragile" if column == "is_fragile" else column


def _plain(value: object) -> object:
    if isinstance(value, Decimal):
        return int(value) if value == value.to_integral_value() else float(value)
    if isinstance(value, datetime):
        aware = value if value.tzinfo else value.replace(tzinfo=UTC)
        return aware.isoformat().replace("+00:00", "Z")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    return value if value is None or isinstance(value, bool | int | float | str) else str(value)
