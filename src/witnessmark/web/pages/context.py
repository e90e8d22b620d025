"""What every page knows."""

from django.conf import settings
from django.http import HttpRequest

from witnessmark import __version__


def shell(request: HttpRequest) -> dict[str, object]:
    """Version, mode, and whether the makers' pages are shown."""
    return {
        "version": __version__,
        "on_laptop": settings.CONFIG.mode == "laptop",
        "workshop": settings.CONFIG.workshop,
        "here": request.path,
    }
