"""The app of background jobs."""

from importlib import import_module

from django.apps import AppConfig
from django.conf import settings
from django.utils.module_loading import autodiscover_modules


class JobsConfig(AppConfig):
    """Background jobs; reads the modules in which kinds are declared."""

    name = "witnessmark.web.jobs"
    label = "jobs"

    def ready(self) -> None:
        """Reads `job_kinds` of every app, and the modules that the setting names."""
        autodiscover_modules("job_kinds")
        for name in settings.CONFIG.job_kinds:
            import_module(name)
