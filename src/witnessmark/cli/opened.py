"""A frozen population opened for questions: from a folder of exports, or from its freeze.

This module asks nothing of it.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import get_args

from witnessmark.cli.progress import Steps
from witnessmark.criteria.load import load_criteria
from witnessmark.errors import UnusableInputError, Where
from witnessmark.record_tests.battery import stated_period
from witnessmark.records.freeze import HOME, freeze_folder
from witnessmark.records.manifest import NAME, Manifest, read_manifest
from witnessmark.records.plant import PersonBasis, Plant, load_plant
from witnessmark.records.reopen import open_freeze
from witnessmark.timeline.build import Timeline

CRITERIA = "criteria.toml"
TIMELINE = "timeline"


@dataclass(frozen=True)
class Opened:
    """A frozen population.

    Args:
        timeline: Its tables, and the derived ones.
        basis: How far persons may be recorded.
        identity: The freeze.
    """

    timeline: Timeline
    basis: PersonBasis
    identity: str


@contextmanager
def opened(path: Path, criteria: Path | None = None) -> Iterator[Opened]:
    """Opens a freeze, or the freeze of a folder of exports.

    Args:
        path: Folder of exports, or of a freeze.
        criteria: The plant's own limits; default criteria.toml of the folder of exports.

    Raises:
        UnusableInputError: Neither of the two, or something in it that cannot be used.
    """
    if not path.is_dir():
        raise UnusableInputError.one(Where(str(path)), "there is no such folder.")
    if criteria is not None and not criteria.is_file():
        raise UnusableInputError.one(Where(str(criteria)), "there is no such file.")
    with Steps() as steps:
        if (path / NAME).is_file():
            frozen, exports = path, path.resolve().parent.parent
            plant = _plant_of(read_manifest(path), path)
            home = exports if path.resolve().parent.name == HOME else None
        else:
            home, plant = path, load_plant(path)
            frozen = freeze_folder(path, None, steps.step).path
        stated = criteria or (home / CRITERIA if home is not None else path / CRITERIA)
        limits = load_criteria(stated)
        cache = frozen / TIMELINE
        store = open_freeze(frozen, cache)
        try:
            timeline = Timeline(store, limits, stated_period(plant), cache)
            steps.stop()
            yield Opened(timeline, plant.person_basis, store.identity)
        finally:
            store.con.close()


def _plant_of(manifest: Manifest | None, path: Path) -> Plant:
    """The settings that a freeze remembers."""
    basis = next(
        (known for known in get_args(PersonBasis) if manifest and known == manifest.person_basis),
        None,
    )
    if manifest is None or basis is None:
        raise UnusableInputError.one(Where(str(path)), f"its {NAME} cannot be read.")
    days = (manifest.period_from, manifest.period_to)
    first, last = (date.fromisoformat(day) if day else None for day in days)
    return Plant(zone=manifest.zone, person_basis=basis, period_from=first, period_to=last)
