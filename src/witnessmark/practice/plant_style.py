"""Writes a practice plant the way plants write their exports, with the mapping that leads back.

The files that are hardest to read are written in the plant's own shape; the others stay canonical,
as when a plant has them pulled for the purpose. Intake through the mapping gives the same tables
as the canonical folder.
"""

from pathlib import Path

from witnessmark.practice.exports import write_settings, write_table
from witnessmark.practice.plant import PracticePlant
from witnessmark.practice.plant_books import (
    GRID_AREA,
    SHEET_MACHINE,
    in_grid,
    write_board,
    write_check_sheet,
    write_gauge_list,
    write_staffing_grid,
)
from witnessmark.practice.plant_files import (
    Row,
    write_machine_log,
    write_order_report,
    write_output_list,
    write_setup_log,
    write_stays,
)

OWN_SHAPE = ("machine_states", "runs", "setups", "outputs", "allocations", "calibrations",
             "board_statuses")  # fmt: skip
MEASUREMENTS = "measurements"


def write_plant_style(plant: PracticePlant, folder: Path) -> None:
    """Writes the plant's own files, the canonical rest, mapping.toml, settings and answer key.

    Args:
        plant: The plant.
        folder: Made if it is not there; files of the same names are replaced.
    """
    folder.mkdir(parents=True, exist_ok=True)
    tables = plant.tables
    in_sheet, others = _sheet_rows(plant)
    mapping = [
        write_machine_log(tables["machine_states"], folder),
        write_order_report(tables["runs"], folder),
        write_setup_log(tables["setups"], folder),
        write_output_list(tables["outputs"], folder),
        *_write_staffing(plant, folder),
        write_gauge_list(tables["calibrations"], folder),
        write_board(tables["board_statuses"], folder),
        _write_sheet(plant, in_sheet, folder),
    ]
    (folder / "mapping.toml").write_text("".join(mapping).lstrip(), encoding="utf-8")
    for name, rows in tables.items():
        if name not in OWN_SHAPE:
            kept = others if name == MEASUREMENTS else rows
            write_table(folder / f"{name}.csv", name, kept)
    write_settings(plant, folder)


def _sheet_rows(
    plant: PracticePlant,
) -> tuple[list[dict[str, object]], list[dict[str, object]]]:
    """Measurements on the check sheet, and all others."""
    own = {r["check_id"] for r in plant.tables["checks"] if r["machine_id"] == SHEET_MACHINE}
    rows = plant.tables[MEASUREMENTS]
    return [r for r in rows if r["check_id"] in own], [r for r in rows if r["check_id"] not in own]


def _write_sheet(plant: PracticePlant, rows: list[dict[str, object]], folder: Path) -> str:
    checks: dict[object, Row] = {row["check_id"]: row for row in plant.tables["checks"]}
    names = {
        str(row["line"]): str(row["characteristic"])
        for row in plant.tables["control_plan_lines"]
        if row["op"] == "20"
    }
    return write_check_sheet(rows, checks, names, folder)


def _write_staffing(plant: PracticePlant, folder: Path) -> list[str]:
    shifts = {
        (row["start_at"], row["end_at"])
        for row in plant.tables["shift_instances"]
        if row["area"] == GRID_AREA
    }
    rows = plant.tables["allocations"]
    return [
        write_staffing_grid([row for row in rows if in_grid(row, shifts)], folder),
        write_stays([row for row in rows if not in_grid(row, shifts)], folder),
    ]
