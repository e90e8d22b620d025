"""Kinds of background jobs that only tests ask for; also read by the processes of these jobs."""

import os
import signal
import time
from pathlib import Path

from witnessmark.errors import WitnessmarkError
from witnessmark.web.jobs.kinds import kind


@kind("add", "Add numbers")
def add(job, tell):
    tell("adding", 0.5)
    return {"says": f"The sum is {sum(job.arguments['numbers'])}.", "href": "/account/"}


@kind("dawdle", "Do nothing for a while")
def dawdle(job, tell):
    for number in range(600):
        tell(f"step {number}", number / 600)
        time.sleep(0.05)


@kind("count-together", "Note how many run at once")
def count_together(job, tell):
    folder = Path(job.arguments["folder"])
    mark = folder / str(job.pk)
    mark.touch()
    time.sleep(0.3)
    (folder / "seen.txt").open("a").write(f"{len(list(folder.glob('*-*')))}\n")
    mark.unlink()


@kind("refuse", "Refuse")
def refuse(job, tell):
    raise WitnessmarkError("setups.xlsx: this is no workbook.")


@kind("fail", "Fail")
def fail(job, tell):
    raise ValueError("secret words of a statement")


@kind("die", "Be killed outright")
def die(job, tell):
    tell("about to die")
    os.kill(os.getpid(), signal.SIGKILL)
