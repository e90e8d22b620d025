"""The notebook as a Django app."""

from django.apps import AppConfig


class FloorConfig(AppConfig):
    """The floor notebook."""

    name = "witnessmark.web.floor"
    label = "floor"
