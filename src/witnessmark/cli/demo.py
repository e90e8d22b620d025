"""`witnessmark demo`: the whole job on an invented plant."""

import webbrowser
from pathlib import Path

from witnessmark.cli.progress import Steps
from witnessmark.cli.test import do_job
from witnessmark.practice.exports import write_canonical
from witnessmark.practice.plant import build


def run(folder: Path = Path("out/demo-plant"), *, seed: int = 7, show: bool = False) -> None:
    """Build the demo plant's exports, run the job on them and say where its paper is.

    Args:
        folder: Where the exports and the working paper are written.
        seed: Seed of the plant; the same seed gives the same plant.
        show: Whether the paper is opened in the browser.
    """
    with Steps() as steps:
        steps.step("thirteen weeks of an invented plant")
        write_canonical(build(seed), folder)
        job = do_job(folder, [], None, None, sensitivity=True, steps=steps)
    print(job.paper)
    if show:
        webbrowser.open(job.paper.resolve().as_uri())
