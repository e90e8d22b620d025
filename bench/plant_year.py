"""Writes an invented plant-year as a folder of canonical CSV files.

At scale 1: 100 machines, 8,000 runs, about ten million checks and forty million measurements.
A smaller scale has fewer machines, each with a whole year.
"""

from pathlib import Path

import duckdb

from bench.plant_tables import BASES, MACROS, TABLES

MACHINES = 100
PLANT = """zone = "UTC"
person_basis = "allocations"
period_from = 2025-01-01
period_to = 2025-12-31
"""


def write_plant_year(folder: Path, scale: float) -> None:
    """Writes the files, unless that scale stands there already.

    Args:
        folder: Where the files go.
        scale: Share of a hundred machines.
    """
    done = folder / "plant.toml"
    if done.exists():
        return
    folder.mkdir(parents=True, exist_ok=True)
    with duckdb.connect() as con:
        con.execute(MACROS)
        values = {"machines": max(1, round(MACHINES * scale))}
        for name, query in BASES.items():
            used = values if "$machines" in query else {}
            con.execute(f"create temp table {name} as {query}", used)
        for name, query in TABLES.items():
            con.execute(f"copy ({query}) to '{folder / name}.csv' (header)")
    done.write_text(PLANT, encoding="utf-8")


def count_rows(folder: Path) -> dict[str, int]:
    """Rows of each file of the folder, headings not counted."""
    with duckdb.connect() as con:
        found = {}
        for path in sorted(folder.glob("*.csv")):
            row = con.execute(f"select count(*) from read_csv('{path}', all_varchar = true)")
            found[path.stem] = int(str((row.fetchone() or (0,))[0]))
        return found
