"""The app of background jobs."""

from django.apps import AppConfig


class JobsConfig(AppConfig):
    """Background jobs."""

    name = "witnessmark.web.jobs"
    label = "jobs"
