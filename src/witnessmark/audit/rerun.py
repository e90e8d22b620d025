"""Runs record tests again on records that came out of a sealed file, under the same criteria.

The journal knows the records by the digests of its outcomes, not by file hashes alone: the rows of
every table are digested anew. This module knows no trail and no finding.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal, InvalidOperation
from pathlib import Path

import msgspec

from witnessmark.audit.parts import CriterionPart, OutcomePart
from witnessmark.criteria.keys import KEYS
from witnessmark.criteria.load import Criteria, Criterion, default_criteria, load_criteria
from witnessmark.errors import UnusableInputError
from witnessmark.record_tests.battery import stated_period
from witnessmark.record_tests.engine import ROW_CAP, Progress, Settings, run_tests
from witnessmark.record_tests.outcome import Outcome
from witnessmark.record_tests.record_test import catalogue
from witnessmark.records.digest import digest_of
from witnessmark.records.manifest import Manifest, read_manifest
from witnessmark.records.plant import Plant
from witnessmark.records.reopen import open_freeze
from witnessmark.records.sql_text import quote
from witnessmark.records.store import Store
from witnessmark.records.tables import TABLES
from witnessmark.timeline.build import Timeline

MOST_ROWS = 100_000
"""Exceptions looked through for a row that is cited by itself."""


@dataclass
class Rerun:
    """What came of running tests again on one freeze.

    Args:
        outcomes: By slug.
        not_run: Why a test could not be run, by slug; the empty slug stands for all of them.
        damage: What of the records is not as it was frozen; then nothing was run.
    """

    outcomes: dict[str, Outcome] = field(default_factory=dict)
    not_run: dict[str, str] = field(default_factory=dict)
    damage: str = ""


def run_again(
    freeze: str,
    folder: Path,
    parts: Mapping[str, OutcomePart],
    slugs: Iterable[str],
    with_rows: Iterable[str] = (),
    progress: Progress | None = None,
) -> Rerun:
    """Runs tests again on a freeze.

    Args:
        freeze: Its identity, as the journal names it.
        folder: Where it lies.
        parts: What the sealed file says of each outcome, with its criteria.
        slugs: The tests.
        with_rows: Those of which single rows are cited.
        progress: Told what is being done.
    """
    manifest = read_manifest(folder)
    if manifest is None:
        return Rerun(not_run={"": "the records are not in this file."})
    if manifest.identity != freeze:
        return Rerun(damage=f"they are the records {manifest.identity}.")
    cache = folder.parent / f"{freeze}-timeline"
    try:
        store = open_freeze(folder, cache)
    except UnusableInputError as error:
        return Rerun(damage=str(error))
    try:
        if wrong := _changed_tables(store, folder, manifest):
            return Rerun(damage=f"the rows of {', '.join(wrong)} are not those that were frozen.")
        running = _Running(store, manifest, folder, cache, parts, set(with_rows), progress)
        for slug in sorted(set(slugs)):
            running.run(slug)
        return running.said
    finally:
        store.con.close()


def _changed_tables(store: Store, folder: Path, manifest: Manifest) -> list[str]:
    return [
        name
        for name, table in manifest.tables.items()
        if name in TABLES
        and digest_of(
            store.con, f"read_parquet({quote(str(folder.resolve() / table.file))})", TABLES[name]
        )
        != table.digest
    ]


class _Running:
    def __init__(
        self,
        store: Store,
        manifest: Manifest,
        folder: Path,
        cache: Path,
        parts: Mapping[str, OutcomePart],
        with_rows: set[str],
        progress: Progress | None,
    ) -> None:
        self.said = Rerun()
        self.parts, self.with_rows, self.progress = parts, with_rows, progress
        self.basis = plant_of(manifest).person_basis
        self.stated = load_criteria(folder / "criteria.toml")
        period = stated_period(plant_of(manifest))
        self.timeline = Timeline(store, self.stated, period, cache)

    def run(self, slug: str) -> None:
        """Runs one test under the criteria it ran under."""
        test = catalogue().get(slug)
        if test is None:
            self.said.not_run[slug] = "this version has no such record test."
            return
        part = self.parts.get(slug)
        criteria = criteria_of(part.criteria) if part else self.stated
        if criteria is None:
            self.said.not_run[slug] = "it ran under criteria that this version does not know."
            return
        if criteria != self.timeline.criteria:
            self.timeline.vary(criteria)
        cap = MOST_ROWS if slug in self.with_rows else ROW_CAP
        settings = Settings(self.basis, row_cap=cap)
        (outcome,) = run_tests([test], self.timeline, settings, self.progress)
        self.said.outcomes[slug] = outcome


def plant_of(manifest: Manifest) -> Plant:
    """The plant's settings that a run depends on, as they were when its records were frozen."""
    told = {
        "zone": manifest.zone,
        "person_basis": manifest.person_basis,
        "period_from": _day(manifest.period_from),
        "period_to": _day(manifest.period_to),
    }
    return msgspec.convert(told, Plant)


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


def criteria_of(parts: Iterable[CriterionPart]) -> Criteria | None:
    """The criteria an outcome names, defaults for the rest; None where one is not known."""
    in_force = dict(default_criteria().in_force)
    for part in parts:
        key = KEYS.get(part.name)
        try:
            value = Decimal(part.value)
        except InvalidOperation:
            return None
        if key is None or not value.is_finite():
            return None
        in_force[part.name] = Criterion(key, value, part.source, part.is_default)
    return Criteria(in_force)
