"""What is measured of the tool itself: intake, timeline, record tests, the scan below each.

Each function does one thing once, in a process of its own, and gives a value for JSON. This module
knows neither the notebooks nor the page.
"""

import json
import shutil
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from statistics import median

import duckdb
import scipy.stats  # noqa: F401  # loaded when it is first needed, which is no part of a test

from witnessmark.criteria.load import load_criteria
from witnessmark.record_tests.battery import choose, stated_period
from witnessmark.record_tests.engine import Settings, run_test, run_tests
from witnessmark.record_tests.functions import register
from witnessmark.record_tests.outcome import Outcome
from witnessmark.record_tests.record_test import RecordTest
from witnessmark.record_tests.sensitivity import vary_defaults
from witnessmark.records.freeze import HOME, freeze_folder
from witnessmark.records.plant import load_plant
from witnessmark.records.reopen import open_freeze
from witnessmark.timeline.build import Timeline, build_order, needed_for

CACHE = "timeline"
REPEATS = 3
ROW_NUMBER = "file_row_number"
Result = dict[str, object]


def freeze_of(folder: Path) -> Path:
    """The folder's freeze, which must stand."""
    return next(path.parent for path in (folder / HOME).glob("*/manifest.json"))


def open_timeline(folder: Path, cache: Path | None = None) -> Timeline:
    """A timeline over the folder's freeze."""
    freeze = freeze_of(folder)
    cache = cache or freeze / CACHE
    store = open_freeze(freeze, cache)
    plant = load_plant(folder)
    return Timeline(store, load_criteria(folder / "criteria.toml"), stated_period(plant), cache)


def settings_of(folder: Path) -> Settings:
    """The plant's person basis."""
    return Settings(basis=load_plant(folder).person_basis)


def intake(folder: Path) -> Result:
    """Reads, types, checks and freezes the files anew; the freeze stays for all that follows."""
    shutil.rmtree(folder / HOME, ignore_errors=True)
    start = time.perf_counter()
    freeze = freeze_folder(folder)
    seconds = time.perf_counter() - start
    return {
        "seconds": seconds,
        "rows": sum(extract.rows_read for extract in freeze.manifest.extracts),
        "refused": sum(extract.rows_refused for extract in freeze.manifest.extracts),
    }


def timeline(folder: Path) -> Result:
    """Derives every table of the timeline anew; seconds by table. It stays, too."""
    shutil.rmtree(freeze_of(folder) / CACHE, ignore_errors=True)
    fresh = open_timeline(folder)
    tables = {}
    for name in build_order():
        fresh.key_of(name)
        start = time.perf_counter()
        fresh.require({name})
        tables[name] = time.perf_counter() - start
    return {"seconds": sum(tables.values()), "tables": tables}


def behind(_: Path, *slugs: str) -> Result:
    """The derived tables that these tests need."""
    names = {name for test in choose(slugs) for name in test.sql.tables()}
    return {"tables": needed_for(names)}


def said(outcome: Outcome) -> Result:
    """What of an outcome goes on the page."""
    return {
        "status": outcome.status,
        "message": outcome.message,
        "population": outcome.counts.population,
        "exceptions": outcome.counts.exceptions,
    }


def record_test(folder: Path, slug: str) -> Result:
    """One record test, with all the engine guarantees, over the prepared timeline."""
    test = choose([slug])[0]
    prepared = open_timeline(folder)
    prepared.require(test.sql.tables())
    register(prepared.store.con)
    settings = settings_of(folder)
    start = time.perf_counter()
    outcome = run_test(test, prepared, settings)
    return {"seconds": time.perf_counter() - start} | said(outcome)


def whole(folder: Path) -> Result:
    """All record tests, without sensitivity, in one process over the prepared timeline."""
    prepared = open_timeline(folder)
    prepared.require(build_order())
    register(prepared.store.con)
    settings, outcomes = settings_of(folder), {}
    begun = time.perf_counter()
    for test in choose([]):
        start = time.perf_counter()
        outcome = run_test(test, prepared, settings)
        outcomes[test.slug] = {"seconds": time.perf_counter() - start} | said(outcome)
    return {"seconds": time.perf_counter() - begun, "outcomes": outcomes}


def sensitivity(folder: Path) -> Result:
    """Every default that was used tried with its one other value, beyond the run itself."""
    freeze = freeze_of(folder)
    with tempfile.TemporaryDirectory(dir=freeze, prefix="timeline-") as cache:
        varied = open_timeline(folder, Path(cache))
        varied.require(build_order())
        tests, settings = choose([]), settings_of(folder)
        outcomes = run_tests(tests, varied, settings)
        start = time.perf_counter()
        vary_defaults(outcomes, tests, varied, settings)
        return {"seconds": time.perf_counter() - start}


def scan_floors(folder: Path, *slugs: str) -> Result:
    """Seconds to read, and do nothing with, every column that each test's plan reads."""
    prepared = open_timeline(folder)
    return {"seconds": 0.0, **{test.slug: _floor(test, prepared) for test in choose(slugs)}}


def _floor(test: RecordTest, prepared: Timeline) -> float:
    prepared.require(test.sql.tables())
    con, values = prepared.store.con, prepared.parameters(test.sql.parameters())
    row = con.execute(f"explain (analyze, format json) {test.sql.query}", values).fetchone()
    columns: dict[str, set[str]] = {}
    for path, names in scans(json.loads(row[1] if row else "{}")):
        columns.setdefault(path, set()).update(names)
    reads = [touch(con, path, sorted(names)) for path, names in columns.items()]
    seconds = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        for query in reads:
            con.execute(query).fetchall()
        seconds.append(time.perf_counter() - start)
    return median(seconds)


def scans(node: object) -> Iterator[tuple[str, list[str]]]:
    """The files that a plan reads, with the columns read of each."""
    if isinstance(node, list):
        for entry in node:
            yield from scans(entry)
    elif isinstance(node, dict):
        about = node.get("extra_info") or {}
        path = about.get("Filename(s)")
        if path is not None:
            names = about.get("Projections", [])
            names = [names] if isinstance(names, str) else names
            yield path, [name for name in names if name not in {ROW_NUMBER, ""}]
        for value in node.values():
            yield from scans(value)


def touch(con: duckdb.DuckDBPyConnection, path: str, names: list[str]) -> str:
    """A query that decodes these columns of a file, or of several, and does next to nothing.

    The least and the greatest value would be read off the file's statistics instead.
    """
    # A plan names the first files of several only.
    first = path.split(", ", maxsplit=1)[0]
    paths = sorted(Path(first).parent.glob("*.parquet")) if "," in path else [first]
    files = ", ".join(f"'{file}'" for file in paths)
    source = f"read_parquet([{files}])"
    kinds = {row[0]: row[1] for row in con.execute(f"describe from {source}").fetchall()}
    return f"select {', '.join(touched(name, kinds[name]) for name in names) or 1} from {source}"


def touched(name: str, kind: str) -> str:
    """The cheapest aggregate of a column that has to see its values."""
    if kind.endswith("[]"):
        return f'sum(len("{name}"))'
    if kind == "VARCHAR":
        return f'sum(strlen("{name}"))'
    if kind == "TIMESTAMP":
        return f'sum(epoch_us("{name}"))'
    if kind.startswith(("DECIMAL", "BIGINT", "INTEGER", "HUGEINT", "SMALLINT")):
        return f'sum("{name}")'
    return f'count("{name}")'
