"""Scripts are no package: each is loaded from its folder, as `make` runs it."""

import importlib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def script(monkeypatch):
    """Gives a script of the project by name, as a module."""
    monkeypatch.syspath_prepend(str(ROOT / "scripts"))
    return importlib.import_module
