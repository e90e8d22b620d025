"""`witnessmark test`: the main job, from a folder of exports to its working paper."""

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from witnessmark.cli.progress import Steps
from witnessmark.criteria.load import load_criteria
from witnessmark.errors import UnusableInputError, Where
from witnessmark.record_tests.battery import Battery, choose, run_battery
from witnessmark.record_tests.open_sql import open_sql
from witnessmark.records.freeze import Freeze, freeze_folder
from witnessmark.records.plant import load_plant
from witnessmark.records.reopen import open_freeze
from witnessmark.report.as_json import to_json
from witnessmark.report.assemble import assemble
from witnessmark.report.gather.provenance import origin_of
from witnessmark.report.html import render
from witnessmark.report.summary import print_summary

PAPER = "working-paper.html"
OUT = "working-paper"
TIMELINE = "timeline"


@dataclass(frozen=True)
class Job:
    """A finished run: what was frozen, what was found, and where the paper is."""

    freeze: Freeze
    battery: Battery
    paper: Path


def run(
    folder: Path,
    *,
    only: Annotated[list[str] | None, Parameter(consume_multiple=True, negative="")] = None,
    json: Path | None = None,
    out: Path | None = None,
    sensitivity: bool = True,
) -> None:
    """Run the job on a folder of exports and write its working paper.

    Exit code 0 when it ran, whatever it found; 2 when the input cannot be used.

    Args:
        folder: Exports in canonical names, or with their mapping.toml; plant.toml with the zone;
            optional criteria.toml with the plant's own rules.
        only: Record tests by slug, or families, to run; all where none is named.
        json: File for the outcomes as JSON.
        out: Folder for the working paper; default a folder working-paper inside.
        sensitivity: Whether each default that was used is tried with its one other value.
    """
    with Steps() as steps:
        job = do_job(folder, only or [], json, out, sensitivity, steps)
    print(job.paper)


def do_job(
    folder: Path,
    only: list[str],
    json: Path | None,
    out: Path | None,
    sensitivity: bool,
    steps: Steps,
) -> Job:
    """The whole job; see `run`.

    Raises:
        UnusableInputError: The folder, a name in `only`, or a setting cannot be used.
    """
    if not folder.is_dir():
        raise UnusableInputError.one(Where(str(folder)), "there is no such folder.")
    choose(only)
    plant = load_plant(folder)
    criteria = load_criteria(folder / "criteria.toml")
    freeze = freeze_folder(folder, None, steps.step)
    cache = freeze.path / TIMELINE
    cache.mkdir(exist_ok=True)
    store = open_freeze(freeze.path, cache)
    try:
        battery = run_battery(store, plant, criteria, only, cache, sensitivity, steps.step)
        steps.step("the working paper")
        name = plant.name or folder.resolve().name
        paper = assemble(battery, origin_of(freeze, name, folder / "mapping.toml"))
        target = out or folder / OUT
        target.mkdir(parents=True, exist_ok=True)
        (target / PAPER).write_text(render(paper), encoding="utf-8")
        shared = open_sql(battery).replace(f"{freeze.path.resolve()}/", "")
        (freeze.path / "open.sql").write_text(shared, encoding="utf-8")
        if json is not None:
            json.write_text(to_json(battery), encoding="utf-8")
        steps.stop()
        print_summary(paper)
    finally:
        store.con.close()
    return Job(freeze, battery, target / PAPER)
