"""The first page, the sign of life, and the page of looks."""

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from witnessmark.web.desk.around import audits


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """The first page after signing in: one's audits, one's findings."""
    return audits.home(request)


@require_safe
@login_not_required
def alive(request: HttpRequest) -> HttpResponse:
    """A sign of life, for whoever watches the server."""
    return HttpResponse("alive\n", content_type="text/plain")


@require_safe
def looks(request: HttpRequest) -> HttpResponse:
    """All parts of the design on one page, to copy from; shown in the workshop only."""
    if not settings.CONFIG.workshop:
        raise Http404
    return render(request, "pages/looks.html")
