"""`witnessmark test`: the main job, from a folder of exports to its working paper."""

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from witnessmark.cli.progress import Steps
from witnessmark.record_tests.battery import Battery
from witnessmark.records.freeze import Freeze
from witnessmark.report.as_json import to_json
from witnessmark.report.html import render
from witnessmark.report.run import PAGE, run_folder
from witnessmark.report.summary import print_summary

OUT = "working-paper"


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
    with run_folder(folder, steps.step, only, sensitivity) as done:
        target = out or folder / OUT
        target.mkdir(parents=True, exist_ok=True)
        (target / PAGE).write_text(render(done.paper), encoding="utf-8")
        if json is not None:
            json.write_text(to_json(done.battery), encoding="utf-8")
        steps.stop()
        print_summary(done.paper)
    return Job(done.freeze, done.battery, target / PAGE)
