"""`witnessmark demo`: the whole job on an invented plant, and its audits in the application."""

import json
import multiprocessing
import shutil
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from witnessmark import __version__
from witnessmark.cli import serve
from witnessmark.cli.demo_audits import DemoRecords, demo_records, write_audits
from witnessmark.cli.looked_at import look_at
from witnessmark.cli.progress import Steps
from witnessmark.cli.test import do_job
from witnessmark.practice.audits.day import plant_day
from witnessmark.practice.exports import write_canonical
from witnessmark.practice.plant import build

EXPORTS, DATA, STAMP = "exports", "data", "made.json"


def run(
    folder: Path = Path("out/demo"),
    *,
    seed: int = 7,
    show: bool | None = None,
    stay: bool | None = None,
    fresh: bool = False,
) -> None:
    """Build the demo plant, run the job on it, and open its audits in the application.

    The second time on the same day nothing is made again.

    Args:
        folder: Where exports, working paper and the demo's own data folder are written.
        seed: Seed of the plant; the same seed gives the same plant.
        show: Whether the application is opened in the browser; by default where there is a desktop.
        stay: Whether it goes on serving until Ctrl-C; by default in a terminal only. Else the page
            of the audit is asked for once, to see that it stands.
        fresh: Whether everything is made anew.
    """
    made = {"version": __version__, "seed": seed, "day": plant_day()}
    if fresh or _stamp(folder) != made:
        _make(folder, seed)
        (folder / STAMP).write_text(json.dumps(made), encoding="utf-8")
    data = folder / DATA
    print(f"Working paper: {_paper(folder)}")
    if sys.stdout.isatty() if stay is None else stay:
        serve.run(data=data, show=show)
    else:
        print(look_at(data))
        print(f"Open it with: .venv/bin/witnessmark serve --data {data}")


def _make(folder: Path, seed: int) -> None:
    with Steps() as steps:
        steps.step("thirteen weeks of an invented plant")
        exports, data = folder / EXPORTS, folder / DATA
        for part in (exports, data):
            shutil.rmtree(part, ignore_errors=True)
        with _other_process() as other:
            asked = other.submit(demo_records, folder / "extracts", data / "records", seed)
            write_canonical(build(seed), exports)
            do_job(exports, [], None, None, sensitivity=True, steps=steps)
            records: DemoRecords = asked.result()
        write_audits(data, records)


def _other_process() -> ProcessPoolExecutor:
    """One worker, spawned: a fork of a process that has opened DuckDB hangs."""
    return ProcessPoolExecutor(1, mp_context=multiprocessing.get_context("spawn"))


def _paper(folder: Path) -> Path:
    return folder / EXPORTS / "working-paper" / "working-paper.html"


def _stamp(folder: Path) -> dict[str, object] | None:
    path = folder / STAMP
    if not path.exists() or not _paper(folder).exists():
        return None
    read = json.loads(path.read_text(encoding="utf-8"))
    return read if isinstance(read, dict) else None
