"""Canonical rows that intake itself writes: one extract per file, and the plant's neighbours.

Both go through the same typing as every other row. This module reads no file.
"""

from collections.abc import Mapping, Sequence
from zoneinfo import ZoneInfo

import duckdb

from witnessmark.records.extract import Extract
from witnessmark.records.folder import Stock
from witnessmark.records.manifest import FrozenExtract
from witnessmark.records.plant import Plant
from witnessmark.records.reconcile import typed_name
from witnessmark.records.tables import TABLES
from witnessmark.records.typing import type_rows

Row = Mapping[str, str]


def add_extracts(
    con: duckdb.DuckDBPyConnection,
    stock: Stock,
    counted: Sequence[FrozenExtract],
    sha256: Mapping[str, str],
    columns: Mapping[str, frozenset[str]],
) -> dict[str, frozenset[str]]:
    """One row of `extracts` per file or sheet, unless the plant's own note gives it.

    Returns:
        The columns of `extracts` that are filled now.
    """
    known = _given_extracts(con) if "extracts" in columns else set()
    rows = [
        _extract_row(extract, count, sha256[extract.name], stock.plant)
        for extract, count in zip(stock.extracts, counted, strict=True)
        if extract.extract_id not in known
    ]
    return _add(con, "extracts", rows, stock.plant.zone_info, columns)


def _given_extracts(con: duckdb.DuckDBPyConnection) -> set[str]:
    rows = con.execute(f"select extract_id from {typed_name('extracts')}").fetchall()
    return {row[0] for row in rows}


def _extract_row(extract: Extract, count: FrozenExtract, sha256: str, plant: Plant) -> Row:
    start, end = extract.period
    row = {
        "extract_id": extract.extract_id,
        "file_name": extract.name,
        "sha256": sha256,
        "zone": extract.zone.key,
        "period_from": str(start or plant.period_from or ""),
        "period_to": str(end or plant.period_to or ""),
        "rows_read": str(count.rows_read),
        "rows_loaded": str(count.rows_loaded),
        "rows_refused": str(count.rows_refused),
        "rows_duplicate": str(count.rows_duplicate),
        **extract.about,
    }
    if count.controls:
        row["control_total"] = count.controls[0].stated
        row["control_source"] = count.controls[0].source
    return {name: value for name, value in row.items() if value}


def add_neighbours(
    con: duckdb.DuckDBPyConnection, plant: Plant, columns: Mapping[str, frozenset[str]]
) -> dict[str, frozenset[str]]:
    """The neighbouring areas that plant.toml names, unless the folder gives the table itself."""
    if not plant.neighbours or "area_neighbours" in columns:
        return {}
    rows = [{"area": one, "neighbour": other} for one, other in plant.neighbours]
    return _add(con, "area_neighbours", rows, plant.zone_info, columns)


def _add(
    con: duckdb.DuckDBPyConnection,
    name: str,
    rows: Sequence[Row],
    zone: ZoneInfo,
    columns: Mapping[str, frozenset[str]],
) -> dict[str, frozenset[str]]:
    given = columns.get(name, frozenset())
    if not rows:
        return {name: given} if given else {}
    names = sorted({key for row in rows for key in row})
    definition = ", ".join(f'"{key}" varchar' for key in names)
    con.execute(f"create or replace table own_rows ({definition})")
    marks = ", ".join("?" for _ in names)
    con.executemany(
        f"insert into own_rows values ({marks})", [[row.get(key) for key in names] for row in rows]
    )
    type_rows(con, "own_rows", TABLES[name], zone, typed_name(name), keep_file_row=True)
    return {name: given | set(names)}
