"""A small folder of exports that a test fills, freezes and looks into."""

import csv
from dataclasses import dataclass
from pathlib import Path

import pytest

from witnessmark.records.freeze import Freeze, freeze_folder
from witnessmark.records.reopen import open_freeze


@dataclass
class Exports:
    folder: Path

    def plant(self, text='zone = "Europe/Berlin"\n'):
        (self.folder / "plant.toml").write_text(text, encoding="utf-8")
        return self

    def file(self, name, text, encoding="utf-8"):
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text if isinstance(text, bytes) else text.encode(encoding))
        return path

    def mapping(self, text):
        return self.file("mapping.toml", text)

    def freeze(self, out=None) -> Freeze:
        return freeze_folder(self.folder, out)

    def query(self, sql, freeze=None):
        store = open_freeze((freeze or self.freeze()).path)
        try:
            return store.con.execute(sql).fetchall()
        finally:
            store.con.close()

    def refused(self, freeze=None):
        path = (freeze or self.freeze()).path / "refused.csv"
        if not path.exists():
            return []
        with path.open(encoding="utf-8", newline="") as file:
            return list(csv.DictReader(file))

    def counts(self, freeze=None, number=0):
        extract = (freeze or self.freeze()).manifest.extracts[number]
        return (
            extract.rows_read,
            extract.rows_loaded,
            extract.rows_refused,
            extract.rows_duplicate,
        )


@pytest.fixture
def exports(tmp_path, monkeypatch):
    """An empty folder with a plant in Berlin; the user's keys lie elsewhere."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    folder = tmp_path / "exports"
    folder.mkdir()
    return Exports(folder).plant()
