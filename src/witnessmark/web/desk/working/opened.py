"""A freeze of this installation opened for questions, and the day ribbon of a row."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path

from markupsafe import Markup

from witnessmark.audit.items import Freeze
from witnessmark.criteria.load import load_criteria
from witnessmark.errors import UnusableInputError, Where
from witnessmark.record_tests.battery import stated_period
from witnessmark.record_tests.outcome import Row
from witnessmark.records.plant import Plant, load_plant
from witnessmark.records.reopen import open_freeze
from witnessmark.report.gather.reader import Reader
from witnessmark.report.gather.ribbon import ribbon_of
from witnessmark.report.html import picture
from witnessmark.report.run import GIVEN, TIMELINE
from witnessmark.timeline.build import Timeline
from witnessmark.web.desk.working.kept import home_of

MACHINE = "select machine_id from known_machines where machine_id = $wanted"
OF_CHECK = "select machine_id from checks where check_id = $wanted"
AT = ("from_at", "at", "start_at", "done_at", "due_at")
"""Columns in which the moment of a row is looked for first."""


@contextmanager
def timeline_of(freeze: Freeze) -> Iterator[Timeline]:
    """The derived tables of a freeze, under the settings that it was tested with.

    Raises:
        UnusableInputError: It is not on this installation, or not as it was written.
    """
    home = home_of(freeze)
    if not home.is_dir():
        raise UnusableInputError.one(
            Where(freeze.freeze), "these records are not on this installation.",
            mend="Take the same exports in again; they give the same freeze.",
        )  # fmt: skip
    with _timeline(home) as (timeline, _):
        yield timeline


def ribbon_for(freeze: Freeze, row: Row) -> Markup | None:
    """The day ribbon of a row's machine and day; None where the row names no such thing."""
    home, at = home_of(freeze), moment_in(row)
    machine = row.get("machine_id") or row.get("machine_or_group") or ""
    check = row.get("check_id") or ""
    if not home.is_dir() or at is None or not (machine or check):
        return None
    changed = (home / "manifest.json").stat().st_mtime_ns
    return _ribbon(home, changed, str(machine), str(check), at)


def moment_in(row: Mapping[str, object]) -> datetime | None:
    """The moment of a row, aware: its beginning, else the first instant that it has."""
    rest = [name for name in row if name.endswith("_at") and name not in AT]
    for name in (*AT, *rest):
        at = read_instant(row.get(name))
        if at is not None:
            return at
    return None


def read_instant(value: object) -> datetime | None:
    """An instant of a kept row (UTC, as printed); None for anything else."""
    try:
        return datetime.strptime(str(value), "%Y-%m-%d %H:%M:%S").replace(tzinfo=UTC)
    except ValueError:
        return None


@lru_cache(maxsize=64)
def _ribbon(home: Path, changed: int, machine: str, check: str, at: datetime) -> Markup | None:
    del changed
    with _timeline(home) as (timeline, plant):
        reader = Reader(timeline)
        query, wanted = (MACHINE, machine) if machine else (OF_CHECK, check)
        found = reader.one("The machine of a row", query, {"wanted": wanted})
        if found is None or found["machine_id"] is None:
            return None
        name = str(found["machine_id"])
        caption = f"Machine {name} on the production day of this row, as the records show it."
        return picture(ribbon_of(reader, name, at, plant.production_day, caption))


@contextmanager
def _timeline(home: Path) -> Iterator[tuple[Timeline, Plant]]:
    plant = load_plant(home / GIVEN)
    criteria = load_criteria(home / GIVEN / "criteria.toml")
    cache = home / TIMELINE
    store = open_freeze(home, cache)
    try:
        yield Timeline(store, criteria, stated_period(plant), cache), plant
    finally:
        store.con.close()
