"""Where the rows say they come from: extracts, their systems, and the one clock that is off.

This module also turns the working rows into canonical ones, because that is where written time
(what an export shows) and true time (what happened) part.
"""

from collections.abc import Mapping
from datetime import timedelta
from decimal import Decimal
from functools import cache
from hashlib import sha256
from types import MappingProxyType

from witnessmark.practice.shift_calendar import FIRST_DAY, instant
from witnessmark.practice.shop import Row, Shop
from witnessmark.records.table import Table
from witnessmark.records.tables import TABLES

LAB_CLOCK, LAB_OFFSET_MIN = "lab terminal", 11
SYSTEMS = MappingProxyType(
    {
        "mes": "machine log",
        "terminal": "check terminal",
        "lab": "lab terminal",
        "paper": "paper",
        "staffing": "staffing terminal",
        "store": "store system",
        "planning": "planning system",
        "board": "daily board",
        "files": "quality files",
    }
)
TABLES_OF = MappingProxyType(
    {
        "mes": ("runs", "machine_states", "piece_counts", "outputs", "stoppages",
                "process_events", "scrap_entries", "material_uses"),
        "terminal": ("setups", "checks", "measurements"),
        "staffing": ("people", "attendances", "allocations", "qualifications",
                     "required_qualifications", "authorities", "unattended_permissions",
                     "staffing_rules", "shift_instances", "planned_breaks", "area_neighbours",
                     "overtime_entries"),
        "store": ("lots", "lot_links", "holds", "shipment_lines"),
        "planning": ("schedule_lines", "demand_lines", "machines", "parts", "routings"),
        "board": ("board_rules", "board_measures", "board_meetings", "board_statuses", "concerns",
                  "actions", "handovers", "handover_items"),
        "files": ("control_plan_lines", "gauges", "calibrations"),
    }
)  # fmt: skip
EXTRACT_OF = {table: extract for extract, tables in TABLES_OF.items() for table in tables}


def write_extracts(shop: Shop) -> None:
    """Writes one extract per system, and the clock of the laboratory."""
    counts = dict.fromkeys(SYSTEMS, 0)
    for table, rows in shop.tables.items():
        for row in rows:
            counts[row.get("extract_id") or EXTRACT_OF[table]] += 1
    for name, system in SYSTEMS.items():
        file_name = f"{name}-export.csv"
        shop.add(
            "extracts",
            extract_id=name,
            file_name=file_name,
            sha256=sha256(f"{shop.seed}/{name}".encode()).hexdigest(),
            system=system,
            owner_role="planner" if name == "planning" else "production engineer",
            pulled_at=shop.calendar.end,
            filter_text=None,
            period_from=FIRST_DAY,
            period_to=shop.calendar.end_day - timedelta(days=1),
            zone="Europe/Berlin",
            clock_id=LAB_CLOCK if name == "lab" else None,
            rows_read=counts[name],
            rows_loaded=counts[name],
            rows_refused=0,
            rows_duplicate=0,
        )
    shop.add(
        "clocks",
        clock_id=LAB_CLOCK,
        valid_from=shop.calendar.start - 24 * 60,
        offset_s=60 * LAB_OFFSET_MIN,
        drift_s_per_day=None,
        method="paired with the release of the same set-up",
        n_pairs=38,
    )


def canonical_tables(shop: Shop) -> dict[str, list[dict[str, object]]]:
    """All rows with canonical columns and types, in the order of time and key."""
    return {
        name: [_canonical(TABLES[name], row) for row in _in_order(TABLES[name], rows)]
        for name, rows in sorted(shop.tables.items())
    }


def _in_order(table: Table, rows: list[Row]) -> list[Row]:
    first = next((c.name for c in table.columns if c.type == "instant"), table.key[0])
    names = (first, *table.key)
    return sorted(rows, key=lambda row: [str(row.get(name)) for name in names])


def _canonical(table: Table, row: Row) -> dict[str, object]:
    extract = row.get("extract_id") or EXTRACT_OF.get(table.name)
    typed = {name: row.get(name) for name in _names(table.name)}
    ahead = LAB_OFFSET_MIN if extract == "lab" else 0
    for name in table.instants:
        if (at := typed[name]) is not None:
            typed[name] = instant(at + ahead)
    for name in _decimals(table.name):
        value = typed[name]
        if value is not None and not isinstance(value, Decimal):
            typed[name] = Decimal(str(value))
    return typed if table.name == "extracts" else typed | {"extract_id": extract}


@cache
def _names(table: str) -> tuple[str, ...]:
    return tuple(column.name for column in TABLES[table].columns)


@cache
def _decimals(table: str) -> tuple[str, ...]:
    return tuple(column.name for column in TABLES[table].columns if column.type == "decimal")


def key_values(table: str, row: Mapping[str, object]) -> tuple[object, ...]:
    """The values of a row's key, empty ones left out."""
    return tuple(row[name] for name in TABLES[table].key if row.get(name) is not None)
