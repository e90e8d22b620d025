"""Reports and sealed files: asking for them, taking them away, issuing them with their hash."""

from typing import get_args

from django import forms
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.views.decorators.http import require_POST, require_safe

from witnessmark.audit.actions.issue_report import IssueReport
from witnessmark.audit.parts import SAYS, Width
from witnessmark.audit.people import Role
from witnessmark.audit.seal import SUFFIX
from witnessmark.web.desk.around.findings import LEAD
from witnessmark.web.desk.around.job_kinds import PAPERS, SEAL
from witnessmark.web.desk.around.papers import File, Set, issued_as, set_of, sets_of
from witnessmark.web.desk.around.sealing import sealed_files
from witnessmark.web.desk.audit_page import READERS, TEAM, AuditPage, in_audit
from witnessmark.web.jobs.ask import ask, settle
from witnessmark.web.jobs.models import OPEN, Job

TYPES = {
    ".pdf": "application/pdf",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    ".json": "application/json",
}
WIDTH_WORDS = {
    "outcomes": "Journal and counts",
    "cited": "And the rows that are cited",
    "everything": "Everything",
}
ENDED = 3
"""Ended jobs that the page still names."""


class SealForm(forms.Form):
    """How much a sealed file carries."""

    width = forms.ChoiceField(
        label="How much it carries",
        choices=[(width, f"{WIDTH_WORDS[width]}: {SAYS[width]}") for width in get_args(Width)],
        widget=forms.RadioSelect,
        initial="cited",
    )


@require_safe
@in_audit(tab="closing", roles=READERS)
def listed(request: HttpRequest, page: AuditPage) -> HttpResponseBase:
    """Papers that lie ready, what of them was issued, sealed files, and what is being made."""
    sets = [
        (one, [(file, issued_as(page.state, file)) for file in one.made.files if _may(page, file)])
        for one in sets_of(page.id)
    ]
    context = {
        "sets": [(one, files) for one, files in sets if files],
        "jobs": _jobs(page),
        "sealed": sealed_files(page.id) if page.actor.role in LEAD else [],
        "seal_form": SealForm(),
        "says": SAYS,
        "may_make": page.is_team,
        "may_issue": page.actor.role in LEAD,
        "issued": list(page.state.reports.values()),
    }
    return render(request, "desk/around/reports.html", context)


def _may(page: AuditPage, file: File) -> bool:
    """Whether the viewer may have a file: the team every one, readers what was issued."""
    return page.is_team or issued_as(page.state, file) is not None


def _jobs(page: AuditPage) -> list[Job]:
    """Work of these pages that is going on, and the last that ended."""
    if not page.is_team:
        return []
    every = Job.objects.filter(audit_id=page.id, kind__in=(PAPERS, SEAL)).order_by("-asked_at")
    going = [settle(job) for job in every.filter(state__in=OPEN)]
    ended = list(every.exclude(state__in=OPEN)[:ENDED])
    own = page.user.is_programme_owner
    return [job for job in going + ended if own or job.asked_by_id == page.user.pk]


@require_POST
@in_audit(tab="closing", roles=TEAM)
def make(request: HttpRequest, page: AuditPage) -> HttpResponseBase:
    """Asks for a set of papers; final ones by the lead."""
    is_final = request.POST.get("final") == "1"
    if is_final and page.actor.role != Role.LEAD:
        raise PermissionDenied("The lead auditor makes the final papers.")
    job = ask(PAPERS, page.user, page.id, is_final=is_final)
    return redirect("jobs:job", job.pk)


@require_safe
@in_audit(tab="closing", roles=READERS)
def download(request: HttpRequest, page: AuditPage, key: str, name: str) -> HttpResponseBase:
    """One file, as it was made."""
    one, file = _file(page, key, name)
    answer = HttpResponse(one.read(file), content_type=TYPES[f".{file.name.rsplit('.', 1)[-1]}"])
    title = slugify(page.state.opening.title) or "audit"
    answer.headers["Content-Disposition"] = f'attachment; filename="{title}-{file.name}"'
    return answer


@require_POST
@in_audit(tab="closing", roles=LEAD)
def issue(request: HttpRequest, page: AuditPage, key: str, name: str) -> HttpResponseBase:
    """Issues one file of a final set; the journal keeps its hash."""
    one, file = _file(page, key, name)
    one.read(file)  # what is issued is what was made
    if not one.made.is_final:
        messages.error(request, "A draft says on every page that it is one; make final papers.")
    elif issued_as(page.state, file):
        messages.info(request, "It is issued already.")
    else:
        action = IssueReport(sha256=file.sha256, form=file.form, head=one.made.head)  # type: ignore[arg-type]  # one of the words of IssueReport
        page.try_do(request, None, action, done=f"{file.title} is issued with its hash.")
    return redirect("desk:reports", page.id)


def _file(page: AuditPage, key: str, name: str) -> tuple[Set, File]:
    one = set_of(page.id, key)
    file = one.file(name) if one else None
    if one is None or file is None or not _may(page, file):
        raise Http404
    return one, file


@require_POST
@in_audit(tab="closing", roles=LEAD)
def seal(request: HttpRequest, page: AuditPage) -> HttpResponseBase:
    """Asks for a sealed file."""
    form = SealForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Say how much the sealed file is to carry.")
        return redirect("desk:reports", page.id)
    job = ask(SEAL, page.user, page.id, width=form.cleaned_data["width"])
    return redirect("jobs:job", job.pk)


@require_safe
@in_audit(tab="closing", roles=LEAD)
def download_sealed(request: HttpRequest, page: AuditPage, name: str) -> HttpResponseBase:
    """One sealed file; its name is compared with what is there, never made into a path."""
    found = next((one for one in sealed_files(page.id) if one.name == name), None)
    if found is None:
        raise Http404
    title = slugify(page.state.opening.title) or "audit"
    return FileResponse(
        found.path.open("rb"),
        as_attachment=True,
        filename=f"{title}-{found.path.stem}{SUFFIX}",
        content_type="application/octet-stream",
    )
