"""Derives the timeline: each table of this folder's SQL files, once, in order of dependence.

The key of a derived table is a digest of its SQL, of the criteria it uses, and of everything it
reads, so that varying one criterion derives anew only what depends on it. This module knows no
record test.
"""

import hashlib
import json
import shutil
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from uuid import uuid4

import msgspec

from witnessmark.criteria.load import Criteria
from witnessmark.records.store import Store
from witnessmark.records.tables import TABLES
from witnessmark.records.typing import quote
from witnessmark.records.unique import Keys, key_hash, prove_unique
from witnessmark.timeline.parts import WHOLE, parts
from witnessmark.timeline.sql_file import SqlFile, parse

Progress = Callable[[str], None]
CLOCK_TABLES = ("clocks", "extracts")
PROOF = "keys.json"
"""The keys of a derived table that states one, null where a key comes twice."""


@dataclass(frozen=True)
class Period:
    """The stated period of the data in UTC; None where the data themselves decide."""

    starts_at: str | None = None
    ends_at: str | None = None


@cache
def derived_tables() -> dict[str, SqlFile]:
    """All derived tables by name."""
    found = {}
    for file in sorted(files("witnessmark.timeline").iterdir(), key=lambda entry: entry.name):
        if file.name.endswith(".sql"):
            found[file.name.removesuffix(".sql")] = parse(file.read_text("utf-8"), file.name)
    return found


def reads_of(query_tables: frozenset[str]) -> list[str]:
    """The derived tables among the names that a query reads."""
    return sorted(name for name in query_tables if name in derived_tables())


def needed_for(query_tables: Iterable[str]) -> list[str]:
    """Derived tables that a query needs, directly or not, each after those it reads.

    Raises:
        ValueError: Two tables read each other.
    """
    order: list[str] = []
    open_names: list[str] = []

    def visit(name: str) -> None:
        if name in order:
            return
        if name in open_names:
            raise ValueError(f"derived tables in a circle: {' -> '.join([*open_names, name])}")
        open_names.append(name)
        for other in reads_of(derived_tables()[name].tables() - {name}):
            visit(other)
        open_names.pop()
        order.append(name)

    for name in reads_of(frozenset(query_tables)):
        visit(name)
    return order


def build_order() -> list[str]:
    """All derived tables, each after those it reads."""
    return needed_for(derived_tables())


def canonical_reads(query_tables: Iterable[str]) -> frozenset[str]:
    """Canonical tables that a query reads, directly or through derived tables."""
    names = set(query_tables)
    for derived in needed_for(names):
        names |= derived_tables()[derived].tables()
    return frozenset(name for name in names if name in TABLES)


class Timeline:
    """The derived tables of one store under given criteria.

    Args:
        store: Canonical tables in true time.
        criteria: Thresholds in force.
        period: Stated period of the data.
        cache_folder: Where derived tables are kept as Parquet; None keeps them in memory.
    """

    def __init__(
        self,
        store: Store,
        criteria: Criteria,
        period: Period | None = None,
        cache_folder: Path | None = None,
    ) -> None:
        self.store = store
        self.criteria = criteria
        self.cache_folder = cache_folder
        self._keys: dict[str, str] = {}
        self._shown: dict[str, str] = {}
        self._kept = {
            name
            for (name,) in store.con.execute("select table_name from duckdb_tables()").fetchall()
        }
        self._bounds = self._show_period(period or Period())

    def require(self, query_tables: Iterable[str], progress: Progress | None = None) -> None:
        """Makes sure that every derived table behind these names can be queried."""
        for name in needed_for(query_tables):
            key = self.key_of(name)
            if self._shown.get(name) != key:
                if progress is not None:
                    progress(name)
                self._derive(name, key)
                self._shown[name] = key

    def vary(self, criteria: Criteria) -> None:
        """Changes the thresholds; what depends on a changed one is derived anew when required."""
        self.criteria = criteria
        self._keys.clear()

    def parameters(self, names: Iterable[str]) -> dict[str, object]:
        """Values for the parameters of a query; one made in parts is made whole.

        Raises:
            KeyError: A name that is no parameter of any criterion, nor of a part.
        """
        values = {**self.criteria.parameters(), **WHOLE}
        return {name: values[name] for name in names}

    def key_of(self, name: str) -> str:
        """The digest that identifies a derived table's content."""
        if name not in self._keys:
            file = derived_tables()[name]
            tables = file.tables() - {name}
            # Clocks are in every canonical view, and the period of the data is that of all tables.
            canonical = {
                table: self.store.holdings[table].digest
                for table in sorted({*tables, *CLOCK_TABLES})
                if table in self.store.holdings
            }
            parts = [
                file.query,
                [file.front.get("sorted"), file.front.get("key")],
                {
                    key: str(value)
                    for key, value in self.parameters(sorted(file.parameters())).items()
                },
                canonical,
                [self.key_of(other) for other in reads_of(tables)],
                [self.store.identity, self.store.zone.key],
                self._bounds if "period" in tables else "",
            ]
            self._keys[name] = hashlib.sha256(json.dumps(parts).encode()).hexdigest()[:32]
        return self._keys[name]

    def proved(self, query_tables: Iterable[str], key: Sequence[str]) -> list[Keys]:
        """The keys of those tables that have this key, where none comes twice."""
        folders = [
            self._folder(name)
            for name in reads_of(frozenset(query_tables))
            if self.cache_folder is not None
            and derived_tables()[name].front.get("key") == list(key)
        ]
        found = [
            msgspec.json.decode((folder / PROOF).read_bytes(), type=Keys | None)
            for folder in folders
        ]
        return [keys for keys in found if keys is not None]

    def _derive(self, name: str, key: str) -> None:
        file = derived_tables()[name]
        con = self.store.con
        values = self.parameters(file.parameters())
        order = ", ".join(str(column) for column in _list(file.front.get("sorted")))
        query = f"{file.query}\norder by {order}" if order else file.query
        if self.cache_folder is None:
            kept = f"timeline_{key}"
            if kept not in self._kept:
                con.execute(f"create table {kept} as {query}", values)
                self._kept.add(kept)
            con.execute(f"create or replace view {name} as from {kept}")
            return
        folder = self._folder(name)
        if not folder.exists():
            self._write(folder, query, values, _list(file.front.get("key")))
        con.execute(f"create or replace view {name} as from {_files(folder)}")

    def _folder(self, name: str) -> Path:
        return (self.cache_folder or Path()) / f"{name}-{self.key_of(name)}"

    def _write(
        self, folder: Path, query: str, values: dict[str, object], key: list[object]
    ) -> None:
        """Writes the rows as files of a folder, which is there as a whole or not at all."""
        con = self.store.con
        waiting = folder.with_name(f"{folder.name}.{uuid4().hex}")
        waiting.mkdir()
        try:
            for number, part in enumerate(parts(con, frozenset(values))):
                path = quote(str(waiting / f"{number:04}.parquet"))
                con.execute(f"copy ({query}) to {path} (format parquet)", values | part)
            if key:
                hashes = f"select {key_hash(map(str, key))} as key_hash from {_files(waiting)}"
                proved = prove_unique(con, hashes)
                (waiting / PROOF).write_bytes(msgspec.json.encode(proved))
            waiting.rename(folder)
        except OSError:
            if not folder.exists():  # else another process was quicker
                raise
        finally:
            shutil.rmtree(waiting, ignore_errors=True)

    def _show_period(self, period: Period) -> str:
        """`period` is no file: which instants there are depends on the tables that were given."""
        instants = [
            f'select min("{column}") as low, max("{column}") as high from {name}'
            for name in self.store.holdings
            if name not in CLOCK_TABLES
            for column in TABLES[name].instants
        ]
        found = " union all ".join(instants) or "select null::timestamp as low, null as high"
        start, end = (
            f"timestamp {quote(stated)}" if stated else "null::timestamp"
            for stated in (period.starts_at, period.ends_at)
        )
        con = self.store.con
        con.execute(
            f"create or replace table period as select coalesce({start}, min(low)) as starts_at, "
            f"coalesce({end}, max(high)) as ends_at from ({found})"
        )
        return str(con.execute("from period").fetchall())


def _files(folder: Path) -> str:
    paths = ", ".join(quote(str(path)) for path in sorted(folder.glob("*.parquet")))
    return f"read_parquet([{paths}])"


def _list(value: object) -> list[object]:
    return list(value) if isinstance(value, list) else []
