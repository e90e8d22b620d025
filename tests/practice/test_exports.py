"""A plant as canonical files says the same as the plant."""

import csv
import json
from datetime import datetime, timedelta

import pytest

from witnessmark.criteria.load import load_criteria
from witnessmark.practice.exports import KEY_FOLDER, write_canonical, written_instant
from witnessmark.practice.shift_calendar import ZONE
from witnessmark.records.plant import load_plant


@pytest.fixture(scope="module")
def folder(plant, tmp_path_factory):
    path = tmp_path_factory.mktemp("canonical")
    write_canonical(plant, path)
    return path


def test_every_table_is_a_file_with_its_rows(plant, folder):
    for name, rows in plant.tables.items():
        with (folder / f"{name}.csv").open(encoding="utf-8", newline="") as file:
            read = list(csv.reader(file))
        assert len(read) == len(rows) + 1, name
        assert "extract_id" in read[0]


def test_settings_are_read_back(folder):
    settings = load_plant(folder)
    assert settings.zone == "Europe/Berlin"
    assert settings.person_basis == "allocations"
    assert settings.period_to - settings.period_from == timedelta(days=90)
    assert not load_criteria(folder / "criteria.toml").in_force["late_entry_min"].is_default


def test_the_answer_key_lies_in_a_folder_of_its_own(plant, folder):
    said = json.loads((folder / KEY_FOLDER / "answer_key.json").read_text(encoding="utf-8"))
    assert {one["name"] for one in said["weaknesses"]} == {w.name for w in plant.key.weaknesses}


@pytest.mark.parametrize(
    ("hour", "fold", "written"),
    [
        (1, 0, "2026-10-25 01:30"),
        (2, 0, "2026-10-25T02:30+02:00"),
        (2, 1, "2026-10-25T02:30+01:00"),
        (3, 0, "2026-10-25 03:30"),
    ],
)
def test_times_are_local_with_their_offset_where_the_hour_comes_twice(hour, fold, written):
    assert written_instant(datetime(2026, 10, 25, hour, 30, tzinfo=ZONE, fold=fold)) == written
