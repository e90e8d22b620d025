"""Photos of a notebook: asked for by their hash, taken only when an event has named them."""

from django.http import HttpRequest, HttpResponseBase, JsonResponse
from django.views.decorators.http import require_http_methods

from witnessmark.audit.canonical import sha256
from witnessmark.web.config import MEGABYTE
from witnessmark.web.desk.audit_page import TEAM, AuditPage, in_audit
from witnessmark.web.floor.messages import refusal
from witnessmark.web.security.uploads import upload_limit
from witnessmark.web.store import blobs

MEGABYTES = 25
BAD_REQUEST, NOT_NAMED, GONE, TOO_LARGE, NOT_A_PICTURE = 400, 409, 410, 413, 415
_BRANDS = {b"heic", b"heix", b"heif", b"mif1", b"msf1"}


@upload_limit(MEGABYTES)
@require_http_methods(["GET", "PUT"])
@in_audit(roles=TEAM)
def photo(request: HttpRequest, page: AuditPage, digest: str) -> HttpResponseBase:
    """Whether a photo is kept here (GET), or the photo itself (PUT)."""
    named = [item for item in page.state.photos.values() if item.sha256 == digest]
    gone = bool(named) and (digest in page.state.destroyed or all(p.destroyed for p in named))
    if request.method == "PUT":
        return _take(request, digest, is_named=bool(named), is_gone=gone)
    # What was destroyed here is answered as kept, so that the phone lets go of it too.
    kept = bool(named) and (gone or blobs.has(digest))
    return JsonResponse({"named": bool(named), "kept": kept})


def _take(request: HttpRequest, digest: str, *, is_named: bool, is_gone: bool) -> JsonResponse:
    if not is_named:
        return refusal(NOT_NAMED, "No event of this audit names this photo yet.")
    if is_gone:
        return refusal(GONE, "This photo was destroyed; it is not taken again.")
    limit = MEGABYTES * MEGABYTE
    data = request.read(limit + 1)
    if len(data) > limit:
        return refusal(TOO_LARGE, f"The photo is larger than {MEGABYTES} MB.")
    if sha256(data) != digest:
        return refusal(BAD_REQUEST, "The photo did not come whole; it is sent again.")
    media_type = picture_type(data)
    if not media_type:
        return refusal(NOT_A_PICTURE, "This is no picture in JPEG, PNG, WebP or HEIC.")
    blobs.put(data, media_type)
    return JsonResponse({"named": True, "kept": True})


def picture_type(data: bytes) -> str:
    """The media type by the content alone; empty for anything but a picture."""
    if data.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png"
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "image/webp"
    if data[4:8] == b"ftyp" and data[8:12] in _BRANDS:
        return "image/heic"
    return ""
