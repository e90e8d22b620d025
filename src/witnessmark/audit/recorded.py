"""Between the engine's outcomes and what the journal and a sealed file say of them.

This module runs nothing.
"""

import hashlib
import json
from collections.abc import Iterable

from witnessmark.audit.cited import TestResult
from witnessmark.audit.parts import CountsPart, CriterionPart, OutcomePart, RowsPart
from witnessmark.record_tests.outcome import Counts, Outcome, Row
from witnessmark.record_tests.persons import holds_person, without_persons
from witnessmark.record_tests.record_test import catalogue
from witnessmark.record_tests.tally import NOT_GIVEN
from witnessmark.timeline.build import derived_tables, needed_for

LARGEST_INTEGER = 2**53
TEXT_DIGITS = 16


def result_of(outcome: Outcome) -> TestResult:
    """The counts of an outcome, as the journal records them."""
    counts = outcome.counts
    return TestResult(
        slug=outcome.slug,
        status=outcome.status,
        exceptions=counts.exceptions,
        assessed=counts.assessed,
        population=counts.population,
        not_assessable=sum(counts.not_assessable.values()),
        digest=outcome.digest,
        fragile=counts.fragile_exceptions + counts.fragile_conforming,
    )


def test_text(slug: str) -> str:
    """Digest of a test's query and of the derived tables behind it; empty where there is none."""
    test = catalogue().get(slug)
    if test is None:
        return ""
    derived = {name: derived_tables()[name].query for name in needed_for(test.sql.tables())}
    text = json.dumps([test.sql.query, dict(sorted(derived.items()))])
    return hashlib.sha256(text.encode()).hexdigest()[:TEXT_DIGITS]


def outcome_part(freeze: str, outcome: Outcome, strata: Iterable[str]) -> OutcomePart:
    """An outcome for a sealed file, with those strata that are cited."""
    cited = {name: counts for name in strata if (counts := stratum_of(outcome, name)) is not None}
    return OutcomePart(
        freeze=freeze,
        slug=outcome.slug,
        status=outcome.status,
        digest=outcome.digest,
        test_text=test_text(outcome.slug),
        counts=_counts(outcome.counts),
        strata={name: _counts(counts) for name, counts in sorted(cited.items())},
        criteria=tuple(
            CriterionPart(
                name=used.name,
                value=str(used.value),
                source=used.source,
                is_default=used.is_default,
            )
            for used in outcome.criteria
        ),
    )


def rows_part(freeze: str, outcome: Outcome, strata: set[str], refs: set[str]) -> RowsPart | None:
    """The rows that are cited; None where there are none.

    Args:
        freeze: Identity of the freeze.
        outcome: As it was kept.
        strata: Strata cited; the empty text for the whole outcome.
        refs: Rows cited one by one.
    """
    kept = [
        row
        for row in outcome.rows
        if "" in strata or str(row["ref"]) in refs or any(_is_in(row, name) for name in strata)
    ]
    whole = len(outcome.rows) == outcome.rows_total
    if not kept and not strata:
        return None
    return RowsPart(
        freeze=freeze,
        slug=outcome.slug,
        total=outcome.rows_total,
        whole=whole and "" in strata,
        strata=tuple(sorted(strata - {""})) if whole else (),
        rows=tuple(_row(row) for row in kept),
    )


def stratum_of(outcome: Outcome, stratum: str) -> Counts | None:
    """The counts of a stratum written as `attendance=covered`; None where there is none."""
    name, _, value = stratum.partition("=")
    return outcome.strata.get(name, {}).get(value)


def count_rows(part: RowsPart, stratum: str) -> int | None:
    """Exceptions counted from rows; None where not all of them are there."""
    if part.whole or (stratum and stratum in part.strata):
        return sum(not stratum or _is_in(row, stratum) for row in part.rows)
    return None


def _is_in(row: Row, stratum: str) -> bool:
    name, _, value = stratum.partition("=")
    found = row.get(name)
    text = str(found).lower() if isinstance(found, bool) else str(found)
    return name in row and (NOT_GIVEN if found in (None, "") else text) == value


def _row(row: Row) -> dict[str, object]:
    """A row without persons; its sentence goes where it would name one, its ref leads back."""
    named = any(holds_person(name) and value is not None for name, value in row.items())
    values = without_persons(row)
    if named:
        values.pop("sentence", None)
    return {name: _exact(value) for name, value in values.items()}


def _exact(value: object) -> object:
    """Integers that JSON cannot hold exactly become text."""
    large = isinstance(value, int) and abs(value) > LARGEST_INTEGER
    return str(value) if large else value


def _counts(counts: Counts) -> CountsPart:
    return CountsPart(
        population=counts.population,
        assessed=counts.assessed,
        exceptions=counts.exceptions,
        not_assessable=sum(counts.not_assessable.values()),
    )
