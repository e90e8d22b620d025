"""`witnessmark demo`: the whole job on an invented plant."""

import os
import sys
import webbrowser
from pathlib import Path

from witnessmark.cli.progress import Steps
from witnessmark.cli.test import do_job
from witnessmark.practice.exports import write_canonical
from witnessmark.practice.plant import build


def run(folder: Path = Path("out/demo-plant"), *, seed: int = 7, show: bool | None = None) -> None:
    """Build the demo plant's exports, run the job on them and say where its paper is.

    Args:
        folder: Where the exports and the working paper are written.
        seed: Seed of the plant; the same seed gives the same plant.
        show: Whether the paper is opened in the browser; by default where there is a desktop.
    """
    with Steps() as steps:
        steps.step("thirteen weeks of an invented plant")
        write_canonical(build(seed), folder)
        job = do_job(folder, [], None, None, sensitivity=True, steps=steps)
    print(job.paper)
    if has_desktop() if show is None else show:
        webbrowser.open(job.paper.resolve().as_uri())


def has_desktop() -> bool:
    """Whether a browser window could be seen here; a terminal browser would only be in the way."""
    return sys.platform in {"darwin", "win32"} or bool(
        os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    )
