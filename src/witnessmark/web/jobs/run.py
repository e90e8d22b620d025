"""What the process of a job does: waits for its turn, works, tells how far it is, keeps the end."""

import logging
import os
import time
from uuid import UUID

from django.conf import settings
from django.utils import timezone

from witnessmark.errors import WitnessmarkError
from witnessmark.web.jobs.ask import end, open_jobs, settle
from witnessmark.web.jobs.kinds import KINDS
from witnessmark.web.jobs.models import Job, State
from witnessmark.web.locks import Lock, held, take

LOOK_S = 0.25
TELL_S = 0.25
FAULT = "There is a fault in the application; the log has its place. Nothing saved before is lost."

log = logging.getLogger(__name__)


class StoppedError(Exception):
    """The job was ended by somebody else while it worked."""


class Telling:
    """Keeps the step and the share of a running job, not more often than anybody looks."""

    def __init__(self, job: Job) -> None:
        self._job = job
        self._step, self._at = "", 0.0

    def __call__(self, step: str, share: float | None = None) -> None:
        """Keeps them; raises where the job was stopped meanwhile."""
        now = time.monotonic()
        if step == self._step and now - self._at < TELL_S:
            return
        self._step, self._at = step, now
        share = None if share is None else min(max(share, 0.0), 1.0)
        here = Job.objects.filter(pk=self._job.pk, state=State.RUNNING)
        if not here.update(step=step[:200], share_done=share):
            raise StoppedError


def run(job_id: UUID) -> bool:
    """Does the work of a job; whether it was done."""
    job = Job.objects.get(pk=job_id)
    with held(job.lock):
        Job.objects.filter(pk=job.pk).update(pid=os.getpid())
        slot = _wait_for_turn(job)
        if slot is None:
            return False
        try:
            done = _work(job)
        finally:
            slot.give_back()
    job.lock.unlink(missing_ok=True)
    return done


def _wait_for_turn(job: Job) -> Lock | None:
    """A place among the jobs that run at once, the oldest first; nothing when it was stopped."""
    while True:
        job.refresh_from_db()
        if not job.is_open:
            return None
        waiting = open_jobs().filter(state=State.WAITING)
        if next((one for one in waiting if settle(one).is_open), job) == job:
            slot = _free_slot()
            if slot is not None:
                return slot
        time.sleep(LOOK_S)


def _free_slot() -> Lock | None:
    for number in range(settings.CONFIG.jobs_at_once):
        slot = take(settings.CONFIG.data.jobs / f"slot-{number}.lock")
        if slot is not None:
            return slot
    return None


def _work(job: Job) -> bool:
    started = Job.objects.filter(pk=job.pk, state=State.WAITING).update(
        state=State.RUNNING, started_at=timezone.now()
    )
    if not started:
        return False
    job.refresh_from_db()
    try:
        result = KINDS[job.kind].work(job, Telling(job))
    except StoppedError:
        return False
    except WitnessmarkError as refusal:
        end(job, State.FAILED, str(refusal))
        return False
    except Exception:
        # A fault of the program: whoever watches must learn of it, whatever it is.
        log.exception("job %s of kind %s failed", job.pk, job.kind)
        end(job, State.FAILED, FAULT)
        return False
    return end(job, State.DONE, result=result or {})
