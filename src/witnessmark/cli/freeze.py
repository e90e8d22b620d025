"""`witnessmark freeze`: takes a folder of exports in and freezes it under its content hash."""

from pathlib import Path

from witnessmark.cli.progress import Steps
from witnessmark.records.freeze import freeze_folder


def run(folder: Path, *, out: Path | None = None) -> None:
    """Read a folder of exports, refuse what cannot be read, and freeze the rest.

    Args:
        folder: Exports in canonical names, or with their mapping.toml; and a plant.toml.
        out: Where the freeze is kept; default a folder .witnessmark inside.
    """
    with Steps() as steps:
        freeze = freeze_folder(folder, out, steps.step)
    print(freeze.path)
