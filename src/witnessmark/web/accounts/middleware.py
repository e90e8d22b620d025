"""Nobody sees anything without signing in, unless a view says so."""

from collections.abc import Callable
from typing import Any

from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import resolve_url
from django.utils.cache import add_never_cache_headers

UNAUTHORISED = 401


class SignedInMiddleware(LoginRequiredMiddleware):
    """Asks for signing in, in the way that the asker understands.

    A page is redirected; htmx is told to load the sign-in page; a script that asks for JSON gets
    the status 401. Pages of a signed-in user are not kept by the browser.
    """

    def process_view(
        self,
        request: HttpRequest,
        view_func: Callable[..., Any],
        view_args: tuple[Any, ...],
        view_kwargs: dict[str, Any],
    ) -> HttpResponseBase | None:
        """What somebody gets who has not signed in; nothing for all others."""
        answer: HttpResponseBase | None = super().process_view(
            request, view_func, view_args, view_kwargs
        )
        if answer is None:
            return None
        if "application/json" in request.headers.get("Accept", ""):
            return JsonResponse({"error": "Sign in first."}, status=UNAUTHORISED)
        if request.headers.get("HX-Request") == "true":
            sign_in = resolve_url(self.get_login_url(view_func))
            return HttpResponse(status=UNAUTHORISED, headers={"HX-Redirect": sign_in})
        return answer

    def process_response(
        self, request: HttpRequest, response: HttpResponseBase
    ) -> HttpResponseBase:
        """The answer, marked not to be kept where it is somebody's own."""
        if request.user.is_authenticated and "Cache-Control" not in response.headers:
            add_never_cache_headers(response)
        return response
