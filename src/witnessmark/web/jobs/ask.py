"""Asking for long work, stopping it, and noticing that its process is gone."""

import os
import signal
import subprocess
import sys
import threading
from datetime import timedelta
from typing import Any

from django.db import connections, transaction
from django.db.models import QuerySet
from django.utils import timezone

from witnessmark.web.accounts.models import User
from witnessmark.web.jobs.kinds import KINDS
from witnessmark.web.jobs.models import OPEN, Job, State
from witnessmark.web.locks import is_held

PROGRAM = "witnessmark.web.jobs.work"
START_WITHIN = timedelta(seconds=60)
GONE = "It was interrupted: its process ended before it was done. It can be asked for again."


def ask(kind: str, user: User | None, audit_id: str | None = None, **arguments: Any) -> Job:
    """A new job; its process starts as soon as the row is kept.

    Args:
        kind: Name of a declared kind.
        user: Who asks.
        audit_id: The audit that it belongs to.
        arguments: What the work needs, as JSON holds it.
    """
    if kind not in KINDS:
        raise ValueError(f"There is no kind of job called {kind}.")
    job = Job.objects.create(kind=kind, asked_by=user, audit_id=audit_id, arguments=arguments)
    transaction.on_commit(lambda: _start(job))
    return job


def stop(job: Job, who: str) -> None:
    """Stops a job that waits or runs; what it had half made is left out of the way by its work."""
    settle(job)
    if not end(job, State.INTERRUPTED, f"Stopped by {who}."):
        return
    job.refresh_from_db()
    if job.pid is not None and is_held(job.lock):
        _terminate(job.pid)


def settle(job: Job) -> Job:
    """The job as it really stands: interrupted, where its process is gone."""
    if job.is_open and not is_held(job.lock):
        is_young = timezone.now() - job.asked_at < START_WITHIN
        if job.state == State.RUNNING or not is_young:
            end(job, State.INTERRUPTED, GONE)
        job.refresh_from_db()
    return job


def settle_all() -> None:
    """Looks after every open job; for the start of a server."""
    for job in open_jobs():
        settle(job)


def open_jobs() -> QuerySet[Job]:
    """All jobs that wait or run, the oldest first."""
    return Job.objects.filter(state__in=OPEN).order_by("asked_at", "pk")


def end(job: Job, state: State, message: str = "", result: dict[str, Any] | None = None) -> bool:
    """Ends an open job; False where it had already ended otherwise."""
    changed = Job.objects.filter(pk=job.pk, state__in=OPEN).update(
        state=state, message=message, result=result, ended_at=timezone.now()
    )
    return changed == 1


def _start(job: Job) -> None:
    # A session of its own: a key pressed in the server's terminal is not meant for the work.
    process = subprocess.Popen(  # noqa: S603 - our own program, and an id
        [sys.executable, "-m", PROGRAM, str(job.pk)],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        start_new_session=True,
    )
    threading.Thread(target=_attend, args=(process, job), daemon=True).start()


def _attend(process: "subprocess.Popen[bytes]", job: Job) -> None:
    """Waits for the process, so that it leaves no zombie and its end is noticed at once."""
    process.wait()
    try:
        end(job, State.INTERRUPTED, GONE)
    finally:
        connections.close_all()


def _terminate(pid: int) -> None:
    try:
        if sys.platform == "win32":
            os.kill(pid, signal.SIGTERM)
        else:
            os.killpg(pid, signal.SIGTERM)
    except ProcessLookupError:
        return
