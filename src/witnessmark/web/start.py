"""Sets Django up for one data folder: for the server, for commands, for background jobs, for tests.

Whatever uses a model calls `set_up` first. A process serves one data folder.
"""

import os
from contextlib import AbstractContextManager
from pathlib import Path

import django
from django.apps import apps
from django.conf import settings
from django.core.management import call_command
from django.db import connections

from witnessmark.errors import UnusableInputError, Where
from witnessmark.web.data_folder import VARIABLE, DataFolder, data_folder
from witnessmark.web.locks import held

SETTINGS = "witnessmark.web.settings"
# What django_htmx ships besides the one file that base.html names.
NOT_SERVED = ["ext", "htmax*", "htmx-4*", "htmx-2.js"]


def set_up(data: Path | None = None) -> DataFolder:
    """Makes the data folder where it is missing and sets Django up for it, once.

    Args:
        data: The data folder; by default as the environment says, else one in the home folder.

    Raises:
        UnusableInputError: The folder cannot be used, or this process already serves another one.
    """
    folder = data_folder(data)
    if apps.ready:
        if settings.CONFIG.data != folder:
            raise UnusableInputError.one(
                Where(str(folder)), "this process already works on another data folder."
            )
        return folder
    folder.make()
    folder.secret()
    os.environ[VARIABLE] = str(folder.path)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", SETTINGS)
    django.setup()
    return folder


def prepare() -> None:
    """Brings the database up to date and collects the static files, for a server to come."""
    migrate()
    with _prepared_alone():
        # Not under a running server: it would miss its files for a moment.
        call_command(
            "collectstatic", verbosity=0, interactive=False, clear=True, ignore_patterns=NOT_SERVED
        )


def migrate() -> None:
    """Brings the database up to date; one process at a time."""
    with _prepared_alone():
        call_command("migrate", verbosity=0, interactive=False)
    connections.close_all()


def _prepared_alone() -> AbstractContextManager[None]:
    folder: DataFolder = settings.CONFIG.data
    return held(folder.path / "preparing.lock")
