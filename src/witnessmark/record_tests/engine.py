"""Runs record tests and guarantees what their authors forget.

For every test: population = conforming + exceptions + not assessable; a null mark never passes;
the key is unique; two intervals, never mixed; a crash is an outcome; what was read and used is
stored with the result. Up to a quarter of a million units are set aside, so that the query runs
once: with their marks and strata, an exception with all its columns. A larger population is not
kept: its counts, the proof that its key is unique and the rows shown each ask the query for the few
columns they need.
"""

import hashlib
import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from witnessmark.errors import RecordTestError
from witnessmark.record_tests.functions import register
from witnessmark.record_tests.names import INDEXED, column_of, columns_of, joins_of
from witnessmark.record_tests.outcome import Counts, Outcome, Row, UsedCriterion
from witnessmark.record_tests.record_test import BASES, Basis, RecordTest
from witnessmark.record_tests.shown import ref_of, shown
from witnessmark.record_tests.tally import Tally
from witnessmark.records.sql_text import listed
from witnessmark.records.unique import Keys, key_hash, prove_unique
from witnessmark.stats.clusters import clustered_interval
from witnessmark.stats.proportion import Interval, exact_interval
from witnessmark.timeline.build import Timeline, canonical_reads, reads_of

NO_VALUE = "a value the test needs is missing"
MARKS = {
    "not_applicable": "null::varchar",
    "not_assessable": "null::varchar",
    "exception": "null::boolean",
}
RESULT = ("is_applicable", "why_not", "is_exception", "is_fragile")
ROW_CAP = 200
CLUSTER = "shift_ref"
UNITS_ASIDE = 250_000
"""The largest population that is set aside."""

Progress = Callable[[str], None]


@dataclass(frozen=True)
class Settings:
    """How a run is made.

    Args:
        basis: Step of the person basis that the plant has recorded.
        row_cap: Most exceptions shown per test; the total is always stated.
        with_fragile_refs: Whether refs of fragile units are collected (case files).
    """

    basis: Basis = "places"
    row_cap: int = ROW_CAP
    with_fragile_refs: bool = False


def run_tests(
    tests: Iterable[RecordTest],
    timeline: Timeline,
    settings: Settings | None = None,
    progress: Progress | None = None,
) -> list[Outcome]:
    """Runs the tests one after the other; a test that breaks becomes a `failed` outcome."""
    settings = settings or Settings()
    register(timeline.store.con)
    outcomes = []
    for test in tests:
        if progress is not None:
            progress(test.slug)
        outcomes.append(run_test(test, timeline, settings))
    return outcomes


def run_test(test: RecordTest, timeline: Timeline, settings: Settings) -> Outcome:
    """Runs one test; never raises for what is wrong with the test or the data."""
    base = Outcome(
        slug=test.slug,
        status="not-assessable",
        criteria=_criteria(test, timeline),
        uses_absent=tuple(says for need, says in test.uses.items() if not _is_met(need, timeline)),
    )
    if BASES.index(settings.basis) < BASES.index(test.basis):
        return replace(base, message=_waits_for(test))
    missing = tuple(need for need in test.needs if not _is_met(need, timeline))
    if missing:
        return replace(base, missing=missing)
    try:
        return _Run(test, timeline, settings).outcome(base)
    except Exception as error:  # noqa: BLE001  # whatever breaks, the run goes on and says so
        return replace(base, status="failed", message=str(error))


def units_of(test: RecordTest, timeline: Timeline, basis: Basis) -> list[dict[str, object]]:
    """Every unit of a test, named and marked, in the order of its key.

    The marks are `is_applicable`, `why_not`, `is_exception` and `is_fragile`.

    Raises:
        RecordTestError: The test cannot be assessed here, and what it waits for.
    """
    if BASES.index(basis) < BASES.index(test.basis):
        raise RecordTestError(test.slug, _waits_for(test))
    missing = [need for need in test.needs if not _is_met(need, timeline)]
    if missing:
        raise RecordTestError(test.slug, f"the records lack {', '.join(missing)}.")
    register(timeline.store.con)
    return _Run(test, timeline, Settings(basis)).units()


def _waits_for(test: RecordTest) -> str:
    return f"The plant has not recorded a basis for it: person basis {test.basis}."


def _criteria(test: RecordTest, timeline: Timeline) -> tuple[UsedCriterion, ...]:
    used = [timeline.criteria.in_force[name] for name in test.criteria]
    return tuple(
        UsedCriterion(item.key.name, item.value, item.key.unit, item.source, item.is_default)
        for item in used
    )


def _is_met(need: str, timeline: Timeline) -> bool:
    """Whether a table, a column or one of several alternatives was given."""
    return any(
        timeline.store.has(*alternative.strip().split(".", 1)) for alternative in need.split("|")
    )


def bounds_of(counts: Counts, found: ArrayLike, looked_at: ArrayLike) -> tuple[Interval, float]:
    """Bounds on the rate, and the design effect; a single cluster cannot show any.

    Args:
        counts: Units of the whole population.
        found: Exceptions in each cluster.
        looked_at: Assessed units in each cluster.
    """
    if np.count_nonzero(looked_at) <= 1:
        return exact_interval(counts.exceptions, counts.assessed), 1.0
    share = clustered_interval(found, looked_at)
    return Interval(share.rate, share.lower, share.upper, share.method), share.design_effect


@dataclass(frozen=True)
class _Units:
    """Every unit: what stands after `from`, and the parameters in it.

    Args:
        sql: What is counted of the units.
        rows: The units with all columns of those that may be shown.
        values: Parameters of both.
    """

    sql: str
    rows: str
    values: dict[str, object]


class _Run:
    """One test on one timeline: the query and what is asked of it."""

    def __init__(self, test: RecordTest, timeline: Timeline, settings: Settings) -> None:
        self.test = test
        self.timeline = timeline
        self.settings = settings
        self.con = timeline.store.con
        self.values = timeline.parameters(test.sql.parameters())
        self.columns = columns_of(test.sql, timeline)
        self._demand_columns()

    def outcome(self, base: Outcome) -> Outcome:
        units = self._set_aside()
        self._group(units)
        self._demand_unique_key(units)
        tally = self._tally()
        counts = tally.counts()
        if not counts.population and not counts.not_applicable:
            return replace(base, status="nothing-to-test", digest=self._digest())
        cap = self.settings.row_cap if counts.exceptions else 0
        rows = self._rows(units, "is_exception", cap) if cap else []
        with_fragile = self.settings.with_fragile_refs
        fragile = self._rows(units, "is_fragile", 10**6) if with_fragile else []
        interval, effect = bounds_of(counts, *self._clusters())
        unknown, population = sum(counts.not_assessable.values()), counts.population
        return replace(
            base,
            status="assessed" if population else "nothing-to-test",
            counts=counts,
            interval=interval,
            design_effect=effect,
            range_low=counts.exceptions / population if population else None,
            range_high=(counts.exceptions + unknown) / population if population else None,
            strata={name: tally.stratum(name) for name in self.test.strata},
            rows=tuple(rows),
            rows_total=counts.exceptions,
            fragile_refs=tuple(str(row["ref"]) for row in fragile),
            digest=self._digest(),
        )

    def _demand_columns(self) -> None:
        named = {*self.test.strata, *self.test.key, *self.test.shown} - {"ref"}
        wanted = {"not_assessable", "exception", *(column_of(n, self.columns) for n in named)}
        missing = sorted(wanted - set(self.columns))
        if missing:
            raise RecordTestError(self.test.slug, f"its query gives no column {missing}.")

    def _has(self, name: str) -> bool:
        return column_of(name, self.columns) in self.columns

    def _key_columns(self) -> list[str]:
        return [column_of(name, self.columns) for name in self.test.key]

    def _grouped(self) -> list[str]:
        """Columns that the units are counted by."""
        named = [column_of(name, self.columns) for name in (*self.test.strata, CLUSTER)]
        return sorted(set(named) & set(self.columns))

    def _marked(self) -> str:
        """The query with its marks made whole, as SQL."""
        give = {
            name: f'"{name}"' if name in self.columns else empty for name, empty in MARKS.items()
        }
        doubt = (
            f"case when {give['exception']} then null "
            f"else coalesce({give['not_assessable']}, "
            f"case when {give['exception']} is null then '{NO_VALUE}' end) end"
        )
        return (
            f"select *, "
            f"is_applicable and why_not is null and {give['exception']} as is_exception, "
            f"is_applicable and why_not is null and {self._fragile()} as is_fragile "
            f"from (select *, {give['not_applicable']} is null as is_applicable, "
            f"case when {give['not_applicable']} is null then {doubt} "
            f"else {give['not_applicable']} end as why_not from ({self.test.sql.query}))"
        )

    def _fragile(self) -> str:
        if "fragile" in self.columns:
            return "coalesce(fragile, false)"
        if {"measured", "allowed", "tolerance"} <= set(self.columns):
            return "coalesce(abs(measured - allowed) <= 2 * tolerance, false)"
        return "false"

    def _units_sql(self) -> str:
        """Every unit with what is counted; the rest of its columns where it may be shown."""
        whole = self._grouped()
        shown = "is_exception or is_fragile" if self.settings.with_fragile_refs else "is_exception"
        rest = [
            f'case when {shown} then "{name}" end as "{name}"'
            for name in self.columns
            if name not in {*whole, *MARKS}
        ]
        picked = [
            f"{key_hash(self._key_columns())} as key_hash",
            *RESULT,
            *(f'"{name}"' for name in whole),
            *(rest if self.settings.row_cap or self.settings.with_fragile_refs else []),
        ]
        return f"select {', '.join(picked)} from ({self._marked()})"

    def _set_aside(self) -> _Units:
        """The units in a table of their own, or the query where they are too many for that.

        A test with the key of a derived table has, as a rule, its rows for units: a query over many
        is not begun in vain. Where it has fewer it is asked again, and counted alike.
        """
        sql = self._units_sql()
        large = _Units(f"({sql})", f"({self._marked()})", self.values)
        if any(keys.rows > UNITS_ASIDE for keys in self._proved()):
            return large
        self.con.execute(
            f"create or replace temp table units as {sql} limit {UNITS_ASIDE + 1}", self.values
        )
        (rows,) = self.con.execute("select count(*) from units").fetchall()[0]
        if rows <= UNITS_ASIDE:
            return _Units("units", "units", {})
        self.con.execute("drop table units")
        return large

    def _group(self, units: _Units) -> None:
        """Counts the units by result, cluster and strata, and adds up the hashes of their keys."""
        grouped = self._grouped()
        columns = ", ".join([*RESULT, *(f'"{name}"' for name in grouped)])
        shown = ", ".join(
            f"cast({name if self._has(name) else 'null'} as varchar) as in_{name}"
            for name in dict.fromkeys([CLUSTER, *self.test.strata])
        )
        self.con.execute(
            f"create or replace temp table groups as "
            f"select {', '.join(RESULT)}, {shown}, n, hashes from (select {columns}, "
            f"count(*) as n, sum(key_hash) as hashes from {units.sql} group by all)"
            f"{joins_of(grouped, self.columns, self.timeline)}",
            units.values,
        )

    def _tally(self) -> Tally:
        result = ", ".join(RESULT)
        by_each = [f"select '' as name, '' as value, {result}, sum(n) from groups group by all"]
        by_each += [
            f"select '{name}', in_{name}, {result}, sum(n) from groups group by all"
            for name in self.test.strata
        ]
        return Tally(self.con.execute(" union all ".join(by_each)).fetchall())

    def _clusters(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Exceptions and assessed units by cluster; those without one are one cluster together."""
        found = self.con.execute(
            "select cast(coalesce(sum(n) filter (where is_exception), 0) as bigint) as found, "
            "cast(coalesce(sum(n) filter (where is_applicable and why_not is null), 0) as bigint) "
            f"as looked_at from groups group by in_{CLUSTER} order by in_{CLUSTER}"
        ).fetchnumpy()
        return found["found"], found["looked_at"]

    def _proved(self) -> list[Keys]:
        return self.timeline.proved(self.test.sql.tables(), self._key_columns())

    def units(self) -> list[dict[str, object]]:
        """Every unit with its marks; see `units_of`."""
        return self._named(self._marked(), self.values)

    def _rows(self, units: _Units, mark: str, cap: int) -> list[Row]:
        rows = f"select * from {units.rows} where {mark}"
        return [self._row(row) for row in self._named(rows, units.values, f"limit {cap}")]

    def _named(
        self, query: str, values: dict[str, object], limit: str = ""
    ) -> list[dict[str, object]]:
        """Rows of a query over units, with names beside the indices, in the order of the key.

        Where they are limited, the first by index are taken before their names are looked up.
        """
        result = self.con.execute(
            f"select * from ({query} order by {listed(self._key_columns())} {limit})"
            f"{joins_of(self.columns, self.columns, self.timeline)} "
            f"order by {listed(self.test.key)}",
            values,
        )
        names = [entry[0] for entry in result.description or []]
        return [dict(zip(names, row, strict=True)) for row in result.fetchall()]

    def _row(self, values: dict[str, object]) -> Row:
        zone = self.timeline.store.zone
        ref = ref_of(values, self.test.key)
        texts = {name: shown(name, value, zone) for name, value in values.items()}
        hidden = {*MARKS, *RESULT, *INDEXED, "fragile", "key_hash"}
        kept = {name: value for name, value in values.items() if name not in hidden}
        sentence = self.test.says.format_map(texts | {"ref": ref})
        return {"ref": ref, "sentence": sentence, "is_fragile": values["is_fragile"], **kept}

    def _demand_unique_key(self, units: _Units) -> None:
        """A population of the same keys as a derived table whose key was proved needs no proof."""
        counted = self.con.execute("select sum(n), sum(hashes) from groups").fetchall()[0]
        if Keys.counted(*counted) in self._proved():
            return
        hashes = f"select key_hash from {units.sql}"
        if prove_unique(self.con, hashes, units.values) is not None:
            return
        twice = self.con.execute(
            f"select {listed(self._key_columns())} from ({self.test.sql.query}) group by all "
            "having count(*) > 1 limit 1",
            self.values,
        ).fetchone()
        if twice is not None:
            raise RecordTestError(
                self.test.slug, f"two units have the key {twice}.", "Mend its query."
            )

    def _digest(self) -> str:
        tables = self.test.sql.tables()
        read = sorted(canonical_reads(tables))
        holdings = self.timeline.store.holdings
        parts = [
            self.test.sql.query,
            {name: str(value) for name, value in sorted(self.values.items())},
            {name: holdings[name].digest for name in read if name in holdings},
            {name: self.timeline.key_of(name) for name in reads_of(tables)},
        ]
        return hashlib.sha256(json.dumps(parts).encode()).hexdigest()[:16]
