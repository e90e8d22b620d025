"""Pages that say no: what was refused, and what to do next, in the look of all other pages."""

from collections.abc import Callable
from dataclasses import dataclass

from django.core.exceptions import PermissionDenied, RequestDataTooBig
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.template.loader import render_to_string
from django.views.decorators.csrf import requires_csrf_token

from witnessmark.errors import WitnessmarkError

UNUSABLE = 422


@dataclass(frozen=True)
class Refusal:
    """What a page of one status says."""

    title: str
    what: str
    mend: str


REFUSALS = {
    400: Refusal(
        "This request could not be read",
        "Something in it is not as this application sends it.",
        "Go back and try again. If it came from a link, the link may be incomplete.",
    ),
    403: Refusal(
        "This is not open to you",
        "Your account may not see this page or do this.",
        "If you need it for your audit, ask the lead auditor or the programme owner.",
    ),
    404: Refusal(
        "There is nothing here",
        "The address is wrong, or what stood here is not open to you.",
        "Go back, or start from the first page.",
    ),
    413: Refusal(
        "This is too large",
        "More was sent than this page takes.",
        "Send fewer files at once, or a smaller picture.",
    ),
    422: Refusal(
        "This cannot be used as it is",
        "The input does not hold together.",
        "Go back, mend what is named above, and send it again.",
    ),
    429: Refusal(
        "Too often",
        "This was tried too often in a short time.",
        "Wait as long as the page says, then try again.",
    ),
    500: Refusal(
        "Something went wrong here",
        "The fault is in the application, not in what you did. Nothing that was saved is lost.",
        "Try again. If it happens again, tell whoever runs this server the time; the log has the "
        "place of the fault.",
    ),
}
EXPIRED = (
    "The form was open for too long, or was sent twice, or cookies are switched off. "
    "Nothing was changed."
)


def refuse(request: HttpRequest, status: int, what: str = "") -> HttpResponse:
    """The page of a refusal.

    Args:
        request: What is refused.
        status: One of REFUSALS.
        what: What exactly is refused, instead of the general words.
    """
    refusal = REFUSALS[status]
    context = {"refusal": refusal, "what": what or refusal.what, "status": status}
    bare = request.headers.get("HX-Request") == "true"
    template = "refusals/fragment.html" if bare else "refusals/page.html"
    return HttpResponse(render_to_string(template, context, request), status=status)


class RefusalMiddleware:
    """Turns a refusal of the tool into a page with its words, never a traceback."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self._get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """The answer of the rest."""
        return self._get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """A page for bad input; everything else is left to Django."""
        if isinstance(error, WitnessmarkError):
            return refuse(request, UNUSABLE, str(error))
        return None


@requires_csrf_token
def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """400, or 413 where a form was larger than forms may be."""
    return refuse(request, 413 if isinstance(exception, RequestDataTooBig) else 400)


@requires_csrf_token
def permission_denied(request: HttpRequest, exception: Exception) -> HttpResponse:
    """403, with the reason where the refusing code gave one."""
    return refuse(request, 403, str(exception) if isinstance(exception, PermissionDenied) else "")


@requires_csrf_token
def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """404."""
    return refuse(request, 404)


def server_error(request: HttpRequest) -> HttpResponse:
    """500: without context processors, one of which may be what failed."""
    refusal = REFUSALS[500]
    context = {"refusal": refusal, "what": refusal.what, "status": 500}
    bare = request.headers.get("HX-Request") == "true"
    template = "refusals/fragment.html" if bare else "refusals/failed.html"
    return HttpResponse(render_to_string(template, context), status=500)


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """403 for a form whose token does not fit."""
    return refuse(request, 403, EXPIRED)
