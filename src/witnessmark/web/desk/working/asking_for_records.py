"""Asking for records to be taken in, and for what was seen to be held against them."""

from pathlib import Path
from typing import Any

from django import forms
from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from witnessmark.errors import UnusableInputError
from witnessmark.web.config import MEGABYTE
from witnessmark.web.desk.audit_page import TEAM, AuditPage, in_audit
from witnessmark.web.desk.job_kinds import HOLD_AGAINST, TAKE_IN
from witnessmark.web.desk.working import kept, uploads
from witnessmark.web.desk.working.fields import choice, line
from witnessmark.web.jobs.ask import ask as ask_job
from witnessmark.web.jobs.models import Job
from witnessmark.web.security.uploads import upload_limit

UNUSABLE = 422
PURPOSES = (
    ("audit", "For this audit"),
    ("same day", "An extract of the same day"),
    ("verification", "The period after an action, to verify its effect"),
)


class ManyFiles(forms.ClearableFileInput):
    """An input that takes several files."""

    allow_multiple_selected = True

    def value_from_datadict(
        self,
        data: Any,  # noqa: ARG002 - as every widget is asked
        files: Any,
        name: str,
    ) -> Any:
        """All files of the name."""
        return files.getlist(name) if hasattr(files, "getlist") else files.get(name)


class FilesField(forms.FileField):
    """Several files."""

    widget = ManyFiles

    def clean(self, data: Any, initial: Any = None) -> list["UploadedFile[Any]"]:
        """All files that were sent."""
        given = data if isinstance(data, list | tuple) else [data] if data else []
        return [super(FilesField, self).clean(one, initial) for one in given]


class TakeInForm(forms.Form):
    """Exports to take in."""

    exports = FilesField(
        label="Files",
        required=False,
        help_text="All exports of one extract, up to fifty files or one zip, with plant.toml, and "
        "where the plant has them mapping.toml and criteria.toml.",
    )
    purpose = choice("What for", PURPOSES, initial="audit")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        roots: tuple[Path, ...] = settings.CONFIG.record_folders
        self.reads_folders = bool(roots)
        if roots:
            listed = ", ".join(str(root) for root in roots)
            self.fields["folder"] = line(
                "Or a folder of this machine",
                f"It is only read. Below {listed}.",
                widget=forms.TextInput({"autocomplete": "off", "spellcheck": "false"}),
            )
            self.order_fields(["exports", "folder", "purpose"])

    def clean(self) -> dict[str, Any]:
        """Files or a folder, not both, not neither."""
        cleaned: dict[str, Any] = super().clean() or {}
        folder = cleaned.get("folder", "").strip()
        if bool(folder) == bool(cleaned.get("exports")) and not self.errors:
            raise forms.ValidationError("Choose files, or name a folder." if not folder else
                "Choose files or name a folder, not both.")  # fmt: skip
        cleaned["path"] = self._allowed(folder) if folder else None
        return cleaned

    def _allowed(self, given: str) -> Path | None:
        """The folder, where it lies below one that the installation lists."""
        path = Path(given).expanduser().resolve()
        data = settings.CONFIG.data.path.resolve()
        roots = [root.resolve() for root in settings.CONFIG.record_folders]
        inside = any(path.is_relative_to(root) for root in roots)
        if not inside or path.is_relative_to(data) or data.is_relative_to(path):
            self.add_error("folder", "This folder is not below one that may be read.")
        elif not path.is_dir():
            self.add_error("folder", "There is no such folder.")
        return path


@upload_limit(settings.CONFIG.records_limit // MEGABYTE)
@require_http_methods(["GET", "POST"])
@in_audit(tab="records", roles=TEAM)
def take_in(request: HttpRequest, page: AuditPage) -> HttpResponse:
    """Takes exports in; the work itself is done in the background."""
    form = TakeInForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        path = form.cleaned_data["path"]
        try:
            folder = path or uploads.keep_upload(form.cleaned_data["exports"])
        except UnusableInputError as error:
            form.add_error(None, str(error))
        else:
            job = ask_job(
                TAKE_IN,
                page.user,
                page.id,
                folder=str(folder),
                sent=path is None,
                purpose=form.cleaned_data["purpose"],
            )
            return redirect("desk:records-job", page.id, job.pk)
    status = UNUSABLE if form.errors else 200
    return render(request, "desk/working/take_in.html", {"form": form}, status=status)


@require_safe
@in_audit(tab="records", roles=TEAM)
def job(request: HttpRequest, page: AuditPage, job: Any) -> HttpResponse:
    """How far the work of this audit is; asked for by whoever asked for it."""
    found = Job.objects.filter(pk=job, audit_id=page.id).first()
    if found is None or (found.asked_by_id != page.user.pk and not page.user.is_programme_owner):
        raise Http404
    return render(request, "desk/working/records_job.html", {"job": found, "label": "Records"})


@require_POST
@in_audit(tab="seen", roles=TEAM)
def hold_against(request: HttpRequest, page: AuditPage, freeze: str) -> HttpResponse:
    """Holds what was seen against these records, in the background."""
    item = kept.freeze_in(page.state, freeze)
    asked = ask_job(HOLD_AGAINST, page.user, page.id, freeze=item.freeze)
    return redirect("desk:records-job", page.id, asked.pk)
