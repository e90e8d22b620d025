"""Writing down what was seen: observations, photos, documents; and giving photos out."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from witnessmark.audit.actions.make_observation import MakeObservation
from witnessmark.audit.actions.take_photo import TakePhoto
from witnessmark.audit.actions.transcribe_document import TranscribeDocument
from witnessmark.audit.forms import FORMS
from witnessmark.audit.items import Observation
from witnessmark.web.desk.asking import Asked, Deed, ask, id_of
from witnessmark.web.desk.audit_page import TEAM, AuditPage, in_audit
from witnessmark.web.desk.working import attached
from witnessmark.web.desk.working.seen import item_of
from witnessmark.web.desk.working.seen_forms import (
    DocumentForm,
    ObservationForm,
    PhotoForm,
    initial_of,
)
from witnessmark.web.security.uploads import upload_limit

PHOTO_MB = 26
NO_PHOTOS = "not-allowed"


@require_http_methods(["GET", "POST"])
@in_audit(tab="seen", roles=TEAM)
def observe(request: HttpRequest, page: AuditPage, form: str) -> HttpResponse:
    """Writes an observation down, in one of the forms."""
    if form not in FORMS:
        raise Http404
    further = request.GET.get("machines", "")
    filled = ObservationForm(page, form, request.POST or None, further=further)
    asked = Asked(
        FORMS[form].title,
        "Keep the observation",
        ("Seen", reverse("desk:seen", args=(page.id,))),
        "Look, do not touch." if form != "free" else "What another would have seen too.",
    )
    return _observation(request, page, filled, asked, photos=())


@require_http_methods(["GET", "POST"])
@in_audit(tab="seen", roles=TEAM)
def correct(request: HttpRequest, page: AuditPage, item: UUID) -> HttpResponse:
    """Corrects an observation; what it said before stays in the journal."""
    found = item_of(page, item)
    if not isinstance(found, Observation) or found.form not in FORMS:
        raise Http404
    initial = initial_of(found, page.reveal(found.note_sealed) or "")
    filled = ObservationForm(page, found.form, request.POST or None, item=found, initial=initial)
    asked = Asked(
        "Correct the observation",
        "Keep it so",
        ("The observation", reverse("desk:seen-item", args=(page.id, found.id))),
        "What it said before stays in the journal.",
    )
    return _observation(request, page, filled, asked, found.photos, found.id)


def _observation(
    request: HttpRequest,
    page: AuditPage,
    form: ObservationForm,
    asked: Asked,
    photos: tuple[str, ...],
    supersedes: str = "",
) -> HttpResponse:
    def make(told: Mapping[str, Any]) -> Deed:
        action = MakeObservation(
            form=form.form.name,
            machine=told.get("machine", ""),
            place=told["place"],
            seen_at=told["seen_at"],
            values=form.values,
            photos=photos,
            agreed_by=told["agreed_by"],
        )
        return Deed(action, {"note": told["note"]}, supersedes)

    template = "desk/working/observe.html"
    return ask(
        request,
        page,
        form,
        asked,
        make,
        lambda got: reverse("desk:seen-item", args=(page.id, id_of(got))),
        template,
    )


@upload_limit(PHOTO_MB)
@require_http_methods(["GET", "POST"])
@in_audit(tab="seen", roles=TEAM)
def take_photo(request: HttpRequest, page: AuditPage) -> HttpResponse:
    """Takes in a photo, where the rules of the site allow any."""
    form = PhotoForm(request.POST or None, request.FILES or None)

    def make(told: Mapping[str, Any]) -> Deed:
        digest, kind, size = attached.take_picture(form.photo())
        names = ("permission", "caption")
        return Deed(
            TakePhoto(
                sha256=digest, media_type=kind, size=size, **{name: told[name] for name in names}
            )
        )

    asked = Asked(
        "Add a photo",
        "Keep the photo",
        ("Seen", reverse("desk:seen", args=(page.id,))),
        files=True,
    )
    return ask(
        request,
        page,
        form,
        asked,
        make,
        lambda got: reverse("desk:seen-item", args=(page.id, id_of(got))),
        "desk/working/photo.html",
        forbidden=page.state.site_rules.photos == NO_PHOTOS,
    )


@require_http_methods(["GET", "POST"])
@in_audit(tab="seen", roles=TEAM)
def transcribe(request: HttpRequest, page: AuditPage) -> HttpResponse:
    """Keeps what a document says, or the receipt under which the plant keeps it."""
    form = DocumentForm(request.POST or None)

    def make(told: Mapping[str, Any]) -> Deed:
        names = ("title", "revision", "page", "receipt", "place")
        action = TranscribeDocument(**{name: told[name] for name in names})
        return Deed(action, {"text": told["text"]})

    asked = Asked(
        "Write down what a document says",
        "Keep it",
        ("Seen", reverse("desk:seen", args=(page.id,))),
        "For where no photo is allowed: document, revision, page, word for word.",
    )
    return ask(
        request,
        page,
        form,
        asked,
        make,
        lambda got: reverse("desk:seen-item", args=(page.id, id_of(got))),
    )


@require_safe
@in_audit(tab="seen")
def photo_file(request: HttpRequest, page: AuditPage, photo: UUID) -> HttpResponse:
    """The picture itself."""
    item = page.state.photos.get(str(photo))
    if item is None or item.destroyed:
        raise Http404
    return attached.give(item.sha256, item.media_type, item.caption or "photo")
