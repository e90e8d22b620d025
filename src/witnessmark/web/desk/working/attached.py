"""Photos and other files: taken in by their content, given out so that no browser runs them."""

from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.http import Http404, HttpResponse

from witnessmark.audit.people import RefusedError
from witnessmark.web.floor.photos import picture_type
from witnessmark.web.security.file_names import safe_file_name
from witnessmark.web.store import blobs

SHOWN = frozenset({"image/jpeg", "image/png", "image/webp"})
"""What a page shows; everything else is only offered for saving."""
ANY = "application/octet-stream"
SHUT = "default-src 'none'; sandbox; frame-ancestors 'none'"
"""Policy of a file that comes from outside: it may do nothing, even when opened alone."""


def take_picture(file: "UploadedFile[Any]") -> tuple[str, str, int]:
    """Keeps a picture; its hash, media type and size.

    Raises:
        RefusedError: The content is no picture.
    """
    data = file.read()
    kind = picture_type(data)
    if not kind:
        raise RefusedError("This is no picture in JPEG, PNG, WebP or HEIC.")
    return blobs.put(data, kind), kind, len(data)


def take_file(file: "UploadedFile[Any]") -> str:
    """Keeps a file of any kind; its hash."""
    return blobs.put(file.read(), ANY)


def give(digest: str, media_type: str, name: str) -> HttpResponse:
    """A kept file: pictures to be shown, all else to be saved; never to be run.

    Raises:
        Http404: It was destroyed, or never came.
    """
    data = blobs.get(digest)
    if data is None:
        raise Http404
    is_shown = media_type in SHOWN
    response = HttpResponse(data, content_type=media_type if is_shown else ANY)
    response.headers["Content-Security-Policy"] = SHUT
    if not is_shown:
        safe = safe_file_name(name).replace('"', "")
        ascii_name = safe.encode("ascii", "replace").decode().replace("?", "_")
        response.headers["Content-Disposition"] = f'attachment; filename="{ascii_name}"'
    return response
