"""Writes a practice plant as a folder of files: canonical CSV, plant.toml, criteria, answer key.

Times are written as the plant's clock shows them, with their offset where that hour came twice.
"""

import csv
import json
from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from functools import cache
from pathlib import Path

from witnessmark.practice.plant import PracticePlant
from witnessmark.practice.shift_calendar import ZONE
from witnessmark.records.tables import TABLES

EXTRACT_ID = "extract_id"
KEY_FOLDER = "answers"
CRITERIA = (
    ("late_entry_min", "30", "WI-021 rev 5, section 4"),
    ("hold_within_min", "60", "WI-017 rev 3, section 2"),
    ("restart_threshold_min", "30", "WI-009 rev 6, section 7"),
    ("red_action_working_days", "2", "WI-020 rev 3, section 5"),
)
"""The few thresholds that the plant's own documents state; the rest are defaults."""


def write_canonical(plant: PracticePlant, folder: Path) -> None:
    """Writes every table as `<table>.csv`, the settings, and the key in a folder of its own.

    Args:
        plant: The plant.
        folder: Made if it is not there; files of the same names are replaced.
    """
    folder.mkdir(parents=True, exist_ok=True)
    for name, rows in plant.tables.items():
        write_table(folder / f"{name}.csv", name, rows)
    write_settings(plant, folder)


def write_settings(plant: PracticePlant, folder: Path) -> None:
    """Writes plant.toml, criteria.toml and answer_key.json."""
    days = sorted(_days(plant.tables["shift_instances"], "production_date"))
    settings = (
        'name = "Practice plant"\n'
        'zone = "Europe/Berlin"\n'
        'production_day = "05:30"\n'
        'person_basis = "allocations"\n'
        "small_group = 5\n"
        f"period_from = {monday(days[0])}\n"
        f"period_to = {monday(days[-1]) + timedelta(days=6)}\n"
    )
    (folder / "plant.toml").write_text(settings, encoding="utf-8")
    criteria = "\n".join(
        f'[{name}]\nvalue = {value}\ndocument = "{document}"\n'
        for name, value, document in CRITERIA
    )
    (folder / "criteria.toml").write_text(criteria, encoding="utf-8")
    key = json.dumps(plant.key.as_json(), indent=1, ensure_ascii=False)
    # Beside the exports a file is read as one, or refused: the key lies in a folder of its own.
    (folder / KEY_FOLDER).mkdir(exist_ok=True)
    (folder / KEY_FOLDER / "answer_key.json").write_text(key + "\n", encoding="utf-8")


def monday(day: date) -> date:
    """The Monday of a day's week."""
    return day - timedelta(days=day.weekday())


def _days(rows: Sequence[Mapping[str, object]], column: str) -> set[date]:
    return {day for row in rows if isinstance(day := row[column], date)}


def write_table(path: Path, name: str, rows: Sequence[Mapping[str, object]]) -> None:
    """Writes rows as a canonical CSV file.

    Args:
        path: The file.
        name: Name of the table.
        rows: In canonical columns.
    """
    columns = [column.name for column in TABLES[name].columns]
    columns += [] if EXTRACT_ID in columns else [EXTRACT_ID]
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(columns)
        writer.writerows([written(row[column]) for column in columns] for row in rows)


def written(value: object) -> str:
    """A value as a canonical file shows it.

    Examples:
        >>> written(datetime(2026, 10, 25, 0, 30, tzinfo=ZONE)), written(None)
        ('2026-10-25 00:30', '')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, datetime):
        return written_instant(value)
    if isinstance(value, list):
        return ";".join(str(item) for item in value)
    if isinstance(value, Decimal):
        return format(value, "f")
    return str(value)


def written_instant(at: datetime) -> str:
    """An instant as the plant's clock shows it; with its offset in the hour that comes twice."""
    return _written_utc(at.astimezone(UTC))


@cache
def _written_utc(at: datetime) -> str:
    # Cached by the time in UTC: two times of the repeated hour are equal to Python in one zone.
    shown = at.astimezone(ZONE)
    twice = shown.replace(fold=0).utcoffset() != shown.replace(fold=1).utcoffset()
    if not twice:
        return f"{shown:%Y-%m-%d %H:%M}"
    return shown.isoformat(timespec="minutes")
