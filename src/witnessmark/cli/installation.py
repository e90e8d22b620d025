"""The one place where a command opens an installation: its journals, key, records, attachments."""

from contextlib import suppress
from pathlib import Path
from uuid import UUID

from witnessmark.audit.act import now
from witnessmark.audit.seal import Installation
from witnessmark.errors import UnusableInputError, Where
from witnessmark.web.data_folder import data_folder
from witnessmark.web.start import migrate, set_up

MEND = "Name it with --data, or start the application there once."


def open_installation(data: Path | None) -> Installation:
    """The installation in a data folder; it is never made here.

    Args:
        data: The folder; by default as the environment says, else the one in the home folder.

    Raises:
        UnusableInputError: There is no installation.
    """
    folder = data_folder(data)
    if not folder.keys.is_dir():
        raise UnusableInputError.one(Where(str(folder.path)), "no installation is here.", mend=MEND)
    set_up(folder.path)
    migrate()
    # Models can be imported only once Django is set up.
    from witnessmark.web.store import blobs  # noqa: PLC0415 - Django must be set up first
    from witnessmark.web.store.desk import desk  # noqa: PLC0415 - Django must be set up first

    own = desk()

    def records(freeze: str) -> Path | None:
        place = folder.records / freeze
        return place if freeze.isalnum() and place.is_dir() else None

    return Installation(own.store, own.signer, records, blobs.get, now)


def audit_named(name: str) -> str:
    """The UUID of an audit, from its UUID or from its title where only one has it.

    Raises:
        UnusableInputError: None has it, or several have.
    """
    from witnessmark.web.store.models import Audit  # noqa: PLC0415 - Django must be set up first

    with suppress(ValueError):
        return str(UUID(name))
    found = list(Audit.objects.filter(title=name).values_list("id", flat=True))
    if len(found) != 1:
        what = "several audits have this title." if found else "no audit has this title."
        known = ", ".join(f"{audit.id} ({audit})" for audit in Audit.objects.all()[:5])
        raise UnusableInputError.one(Where(name), what, f"one of {known}" if known else "a UUID")
    return str(found[0])
