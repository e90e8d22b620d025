"""The store as a Django app."""

from django.apps import AppConfig


class StoreConfig(AppConfig):
    """Journals, texts, attachments."""

    name = "witnessmark.web.store"
    label = "store"
