"""The main job, for whoever asks for it: a folder of exports to a freeze, its outcomes, its paper.

What must be found again lies in the folder of the freeze: timeline, open.sql, and, where it is
asked for, outcomes, the paper's values and the page. This module prints nothing.
"""

import shutil
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import msgspec

from witnessmark.criteria.load import load_criteria
from witnessmark.errors import UnusableInputError, Where
from witnessmark.record_tests.battery import Battery, choose, run_battery
from witnessmark.record_tests.kept import keep
from witnessmark.record_tests.open_sql import open_sql
from witnessmark.records.freeze import Freeze, freeze_folder
from witnessmark.records.plant import load_plant
from witnessmark.records.reopen import open_freeze
from witnessmark.report.assemble import assemble
from witnessmark.report.gather.provenance import origin_of
from witnessmark.report.html import render
from witnessmark.report.model import Paper

PAGE = "working-paper.html"
VALUES = "paper.json"
TIMELINE = "timeline"
SETTINGS = ("plant.toml", "criteria.toml", "mapping.toml")
GIVEN = "settings"
"""Folder of a kept freeze with the settings that it was tested under."""

Step = Callable[[str], None]


@dataclass(frozen=True)
class Run:
    """A finished run: what was frozen, what was found, and what the paper says."""

    freeze: Freeze
    battery: Battery
    paper: Paper


@contextmanager
def run_folder(
    folder: Path,
    step: Step,
    only: Sequence[str] = (),
    sensitivity: bool = True,
    out: Path | None = None,
) -> Iterator[Run]:
    """Freezes a folder, runs the record tests on it and puts the paper together.

    The tables can be asked until the block ends.

    Args:
        folder: Exports with plant.toml, perhaps mapping.toml and criteria.toml.
        step: Told what is being done.
        only: Slugs or families to run; empty for all.
        sensitivity: Whether each default that was used is tried with its one other value.
        out: Where freezes are kept; default inside the folder.

    Raises:
        UnusableInputError: The folder, a name in `only`, or a setting cannot be used.
    """
    if not folder.is_dir():
        raise UnusableInputError.one(Where(str(folder)), "there is no such folder.")
    choose(only)
    plant = load_plant(folder)
    criteria = load_criteria(folder / "criteria.toml")
    freeze = freeze_folder(folder, out, step)
    cache = freeze.path / TIMELINE
    cache.mkdir(exist_ok=True)
    store = open_freeze(freeze.path, cache)
    try:
        battery = run_battery(store, plant, criteria, only, cache, sensitivity, step)
        step("the working paper")
        name = plant.name or folder.resolve().name
        paper = assemble(battery, origin_of(freeze, name, folder / "mapping.toml"))
        shared = open_sql(battery).replace(f"{freeze.path.resolve()}/", "")
        (freeze.path / "open.sql").write_text(shared, encoding="utf-8")
        yield Run(freeze, battery, paper)
    finally:
        store.con.close()


def keep_run(run: Run, folder: Path) -> None:
    """Keeps outcomes, the paper's values, its page and the settings beside the freeze.

    Args:
        run: The finished run.
        folder: The folder that was frozen; only its settings are copied, never its exports.
    """
    home = run.freeze.path
    keep(run.battery.outcomes, home)
    _write(home / VALUES, msgspec.json.encode(run.paper))
    _write(home / PAGE, render(run.paper).encode())
    (home / GIVEN).mkdir(exist_ok=True)
    for name in SETTINGS:
        if (folder / name).is_file():
            shutil.copyfile(folder / name, home / GIVEN / name)
        else:
            (home / GIVEN / name).unlink(missing_ok=True)


def load_paper(home: Path) -> Paper | None:
    """What the paper of a kept freeze says; None where none was kept.

    Raises:
        UnusableInputError: The file is not as it was written.
    """
    path = home / VALUES
    if not path.is_file():
        return None
    return _read(path, path.stat().st_mtime_ns)


@lru_cache(maxsize=8)
def _read(path: Path, changed: int) -> Paper:
    """A paper, read once for as long as its file does not change."""
    del changed
    try:
        return msgspec.json.decode(path.read_bytes(), type=Paper)
    except (msgspec.DecodeError, UnicodeError) as error:
        raise UnusableInputError.one(
            Where(VALUES), f"this is not as it was written: {error}.", mend="Run the tests again."
        ) from error


def _write(path: Path, content: bytes) -> None:
    draft = path.with_name(f".{path.name}")
    draft.write_bytes(content)
    draft.replace(path)
