"""Addresses of the notebook."""

from django.urls import path, register_converter

from witnessmark.web.floor import known, pairing, paper, photos, receiving, shell


class CaptureName:
    """A capture that is on paper, by its name."""

    regex = "|".join(capture.name for capture in paper.ON_PAPER)

    def to_python(self, value: str) -> str:
        """As it stands."""
        return value

    def to_url(self, value: str) -> str:
        """As it stands."""
        return value


register_converter(CaptureName, "capture")

app_name = "floor"
urlpatterns = [
    path("", shell.start, name="start"),
    path("shell/", shell.shell, name="shell"),
    path("worker.js", shell.worker, name="worker"),
    path("notebook.webmanifest", shell.manifest, name="manifest"),
    path("pair/", pairing.show, name="pair"),
    path("enter/<str:token>/", pairing.enter, name="enter"),
    path("<uuid:audit>/", shell.notebook, name="notebook"),
    path("<uuid:audit>/known", known.known, name="known"),
    path("<uuid:audit>/token", receiving.token, name="token"),
    path("<uuid:audit>/sync", receiving.sync, name="sync"),
    path("<uuid:audit>/plain/", receiving.plain, name="plain"),
    path("<uuid:audit>/photo/<str:digest>", photos.photo, name="photo"),
    path("<uuid:audit>/print/", paper.printed, name="print"),
    path("<uuid:audit>/key-in/", paper.key_in, name="key-in"),
    path("<uuid:audit>/key-in/<capture:name>/", paper.key_in, name="key-in-line"),
]
