"""The desk as a Django app, so that its tags are found."""

from django.apps import AppConfig


class DeskConfig(AppConfig):
    """Pages of an audit."""

    name = "witnessmark.web.desk"
    label = "desk"
