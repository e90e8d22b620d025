"""How much one request may bring, decided before anything of it is kept."""

from collections.abc import Callable
from contextlib import suppress
from typing import Any, TypeVar

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseBase, UnreadablePostError

from witnessmark.web.config import MEGABYTE
from witnessmark.web.pages.refusals import refuse

View = TypeVar("View", bound=Callable[..., HttpResponseBase])

TOO_LARGE = 413
DRAINED = 20 * MEGABYTE
CHUNK = 64 * 1024


def upload_limit(megabytes: int) -> Callable[[View], View]:
    """Lets a view take more, or less, than the setting UPLOAD_LIMIT; the outermost decorator."""

    def mark(view: View) -> View:
        view.upload_limit = megabytes * MEGABYTE  # type: ignore[attr-defined]  # read by the middleware
        return view

    return mark


class UploadLimitMiddleware:
    """Answers 413 where a request announces more than its view takes."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self._get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """The answer of the rest."""
        return self._get_response(request)

    def process_view(
        self, request: HttpRequest, view: Callable[..., Any], *_: object
    ) -> HttpResponse | None:
        """Refuses what is too large; without an announced length nothing is ever read."""
        limit: int = getattr(view, "upload_limit", settings.UPLOAD_LIMIT)
        try:
            length = int(request.META.get("CONTENT_LENGTH") or 0)
        except ValueError:
            length = 0
        if length <= limit:
            return None
        _drain(request, length)
        said = f"{length / MEGABYTE:.1f} MB were sent; this page takes {limit / MEGABYTE:.0f} MB."
        return refuse(request, TOO_LARGE, said)


def _drain(request: HttpRequest, length: int) -> None:
    """Lets a body that is somewhat too large run out, as a browser reads no answer before.

    Of one that is far too large nothing is read, and the connection breaks.
    """
    if length <= settings.UPLOAD_LIMIT + DRAINED:
        with suppress(UnreadablePostError):  # the sender has gone: nobody waits for an answer
            while request.read(CHUNK):
                pass
