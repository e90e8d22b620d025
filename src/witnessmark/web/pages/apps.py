"""The app of the shared frame."""

from django.apps import AppConfig


class PagesConfig(AppConfig):
    """Shell, refusals, looks."""

    name = "witnessmark.web.pages"
    label = "pages"
