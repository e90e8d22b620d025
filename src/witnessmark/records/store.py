"""The only opener of DuckDB: canonical tables as views in true time, limits, lockdown.

A store holds canonical tables in schema `frozen`, as Parquet of a freeze or as tables in memory,
and shows each under its own name: typed columns, `row_ix` (its position, an integer stand-in for
the row), `clock` (which system wrote it), and instants with the clock's offset taken off. Tables
that were not given are shown too, empty and typed, so that every query runs; what is absent is
known from `holdings`. This module knows nothing of where the rows came from.
"""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from zoneinfo import ZoneInfo

import duckdb

from witnessmark.records.sql_text import quote
from witnessmark.records.table import Table
from witnessmark.records.tables import TABLES

CLOCK = "struct(system varchar, residual_s integer)"
SECONDS_PER_DAY = 86400


@dataclass(frozen=True)
class Limits:
    """What a store may use of the machine."""

    memory: str = "1500MB"
    threads: int = 2


@dataclass(frozen=True)
class Holding:
    """What a store holds of one canonical table.

    Args:
        columns: Columns that the source gave (the others are empty everywhere).
        rows: Number of rows.
        digest: Logical digest of the rows, "" for a table in memory.
    """

    columns: frozenset[str]
    rows: int
    digest: str = ""


@dataclass
class Store:
    """Canonical tables ready for queries.

    Args:
        con: The connection; all views are in place.
        zone: The plant's zone.
        holdings: The tables that are present, by name.
        identity: Freeze id, "" for a store in memory.
    """

    con: duckdb.DuckDBPyConnection
    zone: ZoneInfo
    holdings: Mapping[str, Holding] = field(default_factory=dict)
    identity: str = ""

    def has(self, table: str, column: str | None = None) -> bool:
        """Whether the table, or that column of it, was given."""
        holding = self.holdings.get(table)
        return holding is not None and (column is None or column in holding.columns)


def connect(limits: Limits | None = None) -> duckdb.DuckDBPyConnection:
    """A connection in memory under the given limits; UTC, no downloads, deterministic."""
    limits = limits or Limits()
    con = duckdb.connect(
        config={
            "memory_limit": limits.memory,
            "threads": limits.threads,
            "autoinstall_known_extensions": False,
            "autoload_known_extensions": False,
        }
    )
    con.execute("set TimeZone = 'UTC'; set enable_progress_bar = false")
    # An as-of join thought to have few rows on its left is made as a loop over all on its right:
    # where the guess is wrong, the time grows with the square of the rows.
    con.execute("set asof_loop_join_threshold = 0")
    con.execute("create schema frozen")
    return con


@contextmanager
def connection(limits: Limits | None = None) -> Iterator[duckdb.DuckDBPyConnection]:
    """As `connect`, closed at the end."""
    con = connect(limits)
    try:
        yield con
    finally:
        con.close()


def lock_down(con: duckdb.DuckDBPyConnection, folders: list[Path]) -> None:
    """Leaves the connection nothing of the outside but these folders, for good.

    The order matters: views over Parquet die when external access is closed first.
    """
    allowed = ", ".join(quote(f"{folder}/") for folder in folders)
    con.execute(f"set allowed_directories = [{allowed}]")
    con.execute("set enable_external_access = false")
    con.execute("set lock_configuration = true")


def expose(
    con: duckdb.DuckDBPyConnection,
    zone: ZoneInfo,
    holdings: Mapping[str, Holding],
    sources: Mapping[str, str] | None = None,
    identity: str = "",
    standing: dict[str, str] | None = None,
) -> Store:
    """Makes the views of every canonical table and the macros, and gives the store.

    Args:
        con: Connection that holds the present tables in schema `frozen`, or reaches `sources`.
        zone: The plant's zone.
        holdings: The tables that are present.
        sources: SQL from clause per present table (for Parquet); default its table in memory.
        identity: Freeze id.
        standing: What earlier calls made on this connection, by name; only what differs is made.
    """
    sources, standing = sources or {}, {} if standing is None else standing
    clocks = _clocks(con, holdings, sources)
    wanted = {"macros": _macros_sql(zone)}
    for name, table in TABLES.items():
        source = sources.get(name, f"frozen.{name}")
        rows = _view_sql(table, source, clocks) if name in holdings else _empty_sql(table)
        wanted[name] = f"create or replace view {name} as {rows}"
    for name, sql in wanted.items():
        if standing.get(name) != sql:
            con.execute(sql)
            standing[name] = sql
    return Store(con, zone, dict(holdings), identity)


def _macros_sql(zone: ZoneInfo) -> str:
    name = quote(zone.key)
    return (
        f"create or replace macro local_time(moment) as timezone({name}, timezone('UTC', moment));"
        "create or replace macro local_date(moment) as "
        f"cast(timezone({name}, timezone('UTC', moment)) as date);"
        f"create or replace macro utc_time(moment) as timezone('UTC', timezone({name}, moment));"
        "create or replace macro tolerance_s(a, b) as case "
        "when a.system = 'paper' or b.system = 'paper' then 900 "
        "when a.system is null or b.system is null or a.system = b.system then 120 "
        "else 300 + coalesce(a.residual_s, 0) + coalesce(b.residual_s, 0) end"
    )


@dataclass(frozen=True)
class _Fix:
    valid_from: object
    offset_s: int
    drift: float


@dataclass(frozen=True)
class _Clock:
    """What is known of the clock behind one extract."""

    system: str | None
    residual_s: int
    fixes: tuple[_Fix, ...]


def _clocks(
    con: duckdb.DuckDBPyConnection, holdings: Mapping[str, Holding], sources: Mapping[str, str]
) -> dict[str, _Clock]:
    """System and clock fixes per extract; the few rows decide the shape of every view."""
    if "extracts" not in holdings:
        return {}
    fixes: dict[str, list[_Fix]] = {}
    if "clocks" in holdings:
        source = sources.get("clocks", "frozen.clocks")
        for clock_id, since, offset, drift in con.execute(
            f"select clock_id, valid_from, offset_s, coalesce(drift_s_per_day, 0) from {source} "
            "order by clock_id, valid_from"
        ).fetchall():
            fixes.setdefault(clock_id, []).append(_Fix(since, offset, float(drift)))
    rows = con.execute(
        f"select extract_id, system, clock_id from {sources.get('extracts', 'frozen.extracts')}"
    ).fetchall()
    clocks = {}
    for extract_id, system, clock_id in rows:
        own = tuple(fixes.get(clock_id, ()))
        drift = max((abs(fix.drift) for fix in own), default=0.0)
        # A clock is a system of its own for tolerances, unless the extract names its system.
        clocks[extract_id] = _Clock(system or clock_id, round(drift), own)
    return clocks


def _view_sql(table: Table, source: str, clocks: Mapping[str, _Clock]) -> str:
    position = "file_row_number" if source.startswith("read_parquet") else "rowid"
    columns = []
    for name in table.stored_columns():
        if name in table.instants and any(clock.fixes for clock in clocks.values()):
            columns.append(f'{_true_time_sql(name, clocks)} as "{name}"')
        else:
            columns.append(f'"{name}"')
    return (
        f"select {position} as row_ix, {', '.join(columns)}, {_clock_sql(clocks)} as clock "
        f"from {source}"
    )


def _clock_sql(clocks: Mapping[str, _Clock]) -> str:
    known = {key: clock for key, clock in clocks.items() if clock.system is not None}
    if not known:
        return f"null::{CLOCK}"
    branches = " ".join(
        f"when {quote(key)} then {{'system': {quote(clock.system or '')}, "
        f"'residual_s': {clock.residual_s}}}::{CLOCK}"
        for key, clock in known.items()
    )
    return f"case extract_id {branches} end"


def _true_time_sql(name: str, clocks: Mapping[str, _Clock]) -> str:
    """True time = written time - the clock's offset at that time (TIMELINE.md)."""
    branches = []
    for key, clock in clocks.items():
        if not clock.fixes:
            continue
        steps = []
        for fix in reversed(clock.fixes):
            since = f"timestamp '{fix.valid_from}'"
            days = f"date_diff('second', {since}, \"{name}\") / {SECONDS_PER_DAY}.0"
            drift = f" + round({fix.drift} * ({days}))" if fix.drift else ""
            steps.append(f'when "{name}" >= {since} then {fix.offset_s}{drift}')
        offset = f"cast(case {' '.join(steps)} else 0 end as bigint)"
        branches.append(f'when {quote(key)} then "{name}" - to_seconds({offset})')
    return f'case extract_id {" ".join(branches)} else "{name}" end'


def _empty_sql(table: Table) -> str:
    columns = ", ".join(
        f'null::{kind} as "{name}"' for name, kind in table.stored_columns().items()
    )
    return f"select null::bigint as row_ix, {columns}, null::{CLOCK} as clock where false"
