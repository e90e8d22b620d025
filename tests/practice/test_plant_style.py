"""Exports in the plant's own shape lead back, through their mapping, to the same tables."""

import pytest

from witnessmark.practice.exports import write_canonical
from witnessmark.practice.plant_style import MEASUREMENTS, OWN_SHAPE, write_plant_style
from witnessmark.records.freeze import freeze_folder
from witnessmark.records.manifest import read_manifest
from witnessmark.records.tables import TABLES

RETOLD = (*OWN_SHAPE, MEASUREMENTS)


@pytest.fixture(scope="module")
def folders(healthy, tmp_path_factory):
    """The canonical folder and the plant's own, each with the tables that are retold only."""
    canonical, own = (tmp_path_factory.mktemp(name) for name in ("canonical", "own"))
    write_canonical(healthy, canonical)
    write_plant_style(healthy, own)
    for folder in (canonical, own):
        for name in set(TABLES) - set(RETOLD):
            (folder / f"{name}.csv").unlink(missing_ok=True)
    return canonical, own


def _manifest(folder, out):
    manifest = read_manifest(freeze_folder(folder, out).path)
    assert manifest is not None
    return manifest


@pytest.fixture(scope="module")
def manifests(folders, tmp_path_factory):
    return [_manifest(folder, tmp_path_factory.mktemp("out")) for folder in folders]


@pytest.mark.parametrize("table", RETOLD)
def test_a_table_comes_back_as_it_was(manifests, table):
    canonical, own = (manifest.tables[table] for manifest in manifests)
    assert own.rows == canonical.rows > 0
    assert own.digest == canonical.digest


def test_only_the_rest_of_the_measurements_is_canonical(folders):
    _, own = folders
    csv_names = {path.stem for path in own.glob("*.csv")} & set(TABLES)
    assert csv_names == {MEASUREMENTS}
    assert {path.suffix for path in own.iterdir()} >= {".csv", ".xlsx", ".toml"}


def test_the_machine_log_is_hard_to_read(folders):
    _, own = folders
    text = (own / "Maschinenprotokoll.csv").read_bytes().decode("cp1252")
    lines = text.split("\r\n")
    assert lines[0] == "Maschinenprotokoll Werk 1"
    assert any(line.startswith("Seite 2 ") for line in lines)
    assert ";24:00;" in text
    assert "Rüsten" in text
    assert lines[-2].startswith("Summe: ")
