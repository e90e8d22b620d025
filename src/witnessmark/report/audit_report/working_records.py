"""The sheets that come from frozen records: files, mapping, controls, limits, populations, rows.

Rows are printed without persons and capped with their total; groups too small are merged, and where
their size is not known the split is left out. This module knows no trail and no finding.
"""

from collections.abc import Iterator
from csv import DictReader
from itertools import islice
from pathlib import Path

from witnessmark.record_tests.outcome import Outcome
from witnessmark.record_tests.persons import holds_person
from witnessmark.record_tests.record_test import catalogue
from witnessmark.records.manifest import Manifest, read_manifest
from witnessmark.records.mapping import FILE as MAPPING
from witnessmark.records.mend import REFUSED
from witnessmark.report.audit_report.evidence import with_instants
from witnessmark.report.audit_report.sources import SHORT, Sources
from witnessmark.report.gather.persons import sentence_of
from witnessmark.report.gather.results import rate_of
from witnessmark.report.model import Rate
from witnessmark.report.run import GIVEN

Cell = str | int | float | None
Row = tuple[Cell, ...]
Made = tuple[tuple[Row, ...], int]

SHOWN_REFUSED = 500
SHOWN_ROWS = 200
"""Exceptions of one test that are listed; the others are counted."""


def record_sheets(sources: Sources) -> dict[str, Made]:
    """All sheets of the records, by name, with how many rows there are."""
    return {
        "files": _whole(_files(sources)),
        "mapping": _whole(_mapping(sources)),
        "controls": _whole(_controls(sources)),
        "refused": _refused(sources),
        "limits": _whole(_limits(sources)),
        "populations": _whole(_populations(sources)),
        "strata": _whole(_strata(sources)),
        "exceptions": _exceptions(sources),
    }


def _whole(rows: Iterator[Row]) -> Made:
    made = tuple(rows)
    return made, len(made)


def _manifests(sources: Sources) -> Iterator[tuple[str, Path, Manifest]]:
    for freeze in sources.state.freezes:
        folder = sources.folders.get(freeze)
        manifest = read_manifest(folder) if folder else None
        if folder is not None and manifest is not None:
            yield freeze, folder, manifest


def _files(sources: Sources) -> Iterator[Row]:
    for freeze, _, manifest in _manifests(sources):
        hashes = {file.name: (file.sha256, file.size) for file in manifest.files}
        for one in manifest.extracts:
            sha256, size = hashes.get(one.file, ("", 0))
            yield (
                freeze[:SHORT],
                one.file,
                one.sheet or "",
                ", ".join(sorted(one.entries)),
                sha256,
                size,
                one.rows_read,
                one.rows_loaded,
                one.rows_refused,
                one.rows_duplicate,
                one.rows_mended,
            )


def _mapping(sources: Sources) -> Iterator[Row]:
    for freeze, folder, manifest in _manifests(sources):
        yield freeze[:SHORT], 0, manifest.mapping_sha256 or sources.say("sheets.own_names")
        path = folder / GIVEN / MAPPING
        if path.is_file():
            for number, line in enumerate(path.read_text("utf-8-sig").splitlines(), 1):
                yield freeze[:SHORT], number, line


def _controls(sources: Sources) -> Iterator[Row]:
    for freeze, _, manifest in _manifests(sources):
        for extract in manifest.extracts:
            for one in extract.controls:
                agrees = "yes" if one.agrees else "no"
                yield (
                    freeze[:SHORT],
                    extract.file,
                    one.what,
                    one.stated,
                    one.found,
                    agrees,
                    one.source,
                )


def _refused(sources: Sources) -> Made:
    rows: list[Row] = []
    total = 0
    for freeze, folder, manifest in _manifests(sources):
        total += manifest.rows_refused
        path = folder / REFUSED
        if not path.is_file():
            continue
        with path.open(encoding="utf-8", newline="") as file:
            for row in islice(DictReader(file), SHOWN_REFUSED - len(rows)):
                value = "" if holds_person(row["canonical_column"]) else row["value"]
                told = (row[name] for name in ("file", "sheet", "row", "column"))
                rows.append((freeze[:SHORT], *told, value, row["reason"]))
    return tuple(rows), max(total, len(rows))


def _kept(sources: Sources) -> Iterator[tuple[str, Outcome]]:
    for freeze in sources.state.freezes:
        for one in sorted(sources.outcomes.get(freeze, ()), key=lambda one: one.slug):
            yield freeze, one


def _limits(sources: Sources) -> Iterator[Row]:
    for freeze, one in _kept(sources):
        varied = {item.criterion: item for item in one.sensitivity}
        for used in one.criteria:
            other = varied.get(used.name)
            yield (
                freeze[:SHORT],
                one.slug,
                used.name,
                float(used.value),
                used.unit,
                "yes" if used.is_default else "no",
                used.source,
                float(other.varied_to) if other else None,
                other.exceptions if other else None,
                other.exceptions_varied if other else None,
            )


def _populations(sources: Sources) -> Iterator[Row]:
    for freeze, one in _kept(sources):
        counts, interval = one.counts, one.interval
        test = catalogue().get(one.slug)
        yield (
            freeze[:SHORT],
            one.slug,
            test.finding if test else "",
            one.status,
            counts.population,
            counts.assessed,
            counts.exceptions,
            _reasons(counts.not_assessable),
            _reasons(counts.not_applicable),
            counts.fragile_exceptions,
            counts.fragile_conforming,
            interval.lower if interval and counts.assessed else None,
            interval.upper if interval and counts.assessed else None,
            one.design_effect,
            test.revision if test else "",
            one.digest,
            "; ".join((*one.missing, *one.uses_absent, one.message)).strip("; "),
        )


def _reasons(reasons: object) -> str:
    return "; ".join(f"{why}: {n}" for why, n in dict(reasons).items())  # type: ignore[call-overload]  # a mapping or pairs, both fit dict


def _strata(sources: Sources) -> Iterator[Row]:
    """As the working paper has them, small groups merged; without it, by attendance alone."""
    for freeze, one in _kept(sources):
        paper = sources.papers.get(freeze)
        page = (
            next((page for page in paper.tests if page.slug == one.slug), None) if paper else None
        )
        if page is None:
            for value, counts in one.strata.get("attendance", {}).items():
                rate = rate_of(counts)
                yield _stratum(freeze, one.slug, "attendance", value, counts.population, rate)
            continue
        for split in page.strata:
            for row in split.rows:
                yield _stratum(freeze, one.slug, split.name, row.words, row.population, row.rate)


def _stratum(freeze: str, slug: str, name: str, value: str, population: int, rate: Rate) -> Row:
    found = (rate.exceptions, rate.assessed, rate.lower, rate.upper)
    return freeze[:SHORT], slug, name, value, population, *found


def _exceptions(sources: Sources) -> Made:
    rows: list[Row] = []
    total = 0
    for freeze, one in _kept(sources):
        total += one.rows_total
        test = catalogue().get(one.slug)
        for row in one.rows[:SHOWN_ROWS] if test else ():
            ref, sentence = sentence_of(test, with_instants(row), sources.zone)  # type: ignore[arg-type]  # rows are mappings of plain values
            fragile = "yes" if row.get("is_fragile") else "no"
            rows.append((freeze[:SHORT], one.slug, ref, sentence, fragile))
    return tuple(rows), max(total, len(rows))
