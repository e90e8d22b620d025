"""A job's page, its progress, and stopping it."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from witnessmark.web.accounts.models import User
from witnessmark.web.accounts.signed_in import user_of
from witnessmark.web.jobs.ask import settle, stop
from witnessmark.web.jobs.kinds import KINDS
from witnessmark.web.jobs.models import Job


@require_safe
def show(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The page of a job."""
    return render(request, "jobs/job.html", _shown(_job(request, pk)))


@require_safe
def progress(request: HttpRequest, pk: UUID) -> HttpResponse:
    """How far a job is; asks for itself again each second until the job has ended."""
    return render(request, "jobs/progress.html", _shown(_job(request, pk)))


@require_POST
def stop_job(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Stops a job."""
    job = _job(request, pk)
    stop(job, str(user_of(request)))
    return redirect("jobs:job", pk=job.pk)


def may_see(user: User, job: Job) -> bool:
    """Whether a user may look at a job and stop it: who asked, and the programme owner."""
    return user.is_programme_owner or job.asked_by_id == user.pk


def _job(request: HttpRequest, pk: UUID) -> Job:
    job = Job.objects.filter(pk=pk).first()
    if job is None or not may_see(user_of(request), job):
        raise Http404
    return settle(job)


def _shown(job: Job) -> dict[str, object]:
    kind = KINDS.get(job.kind)
    return {"job": job, "label": kind.label if kind else job.kind}
