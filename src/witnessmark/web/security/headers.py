"""Headers that every answer carries.

The policy is a dict in the setting SECURE_CSP, as Django 6 will read it; this file goes when it
does.
"""

from collections.abc import Callable, Iterable, Mapping

from django.conf import settings
from django.http import HttpRequest, HttpResponseBase

PERMISSIONS = ", ".join(
    (
        "camera=(self)",  # photos in the notebook
        *(
            f"{feature}=()"
            for feature in (
                "accelerometer",
                "browsing-topics",
                "display-capture",
                "geolocation",
                "gyroscope",
                "magnetometer",
                "microphone",
                "midi",
                "payment",
                "usb",
            )
        ),
    )
)


class HeadersMiddleware:
    """Adds what Django 5.2 does not: Content-Security-Policy and Permissions-Policy."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self._get_response = get_response
        self._policy = policy(settings.SECURE_CSP)

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """The answer with its headers."""
        response = self._get_response(request)
        response.headers.setdefault("Content-Security-Policy", self._policy)
        response.headers.setdefault("Permissions-Policy", PERMISSIONS)
        return response


def policy(directives: Mapping[str, Iterable[str] | str | bool | None]) -> str:
    """The header's text; a directive that is False, None or empty is left out."""
    return "; ".join(
        name if sources is True else f"{name} {_joined(sources)}"
        for name, sources in directives.items()
        if sources
    )


def _joined(sources: Iterable[str] | str | bool | None) -> str:
    if isinstance(sources, str):
        return sources
    return " ".join(sources) if isinstance(sources, Iterable) else ""
