"""`witnessmark backup`: one file with everything, taken while the server runs."""

import os
from pathlib import Path

from witnessmark.web.config import read_config
from witnessmark.web.data_folder import VARIABLE, data_folder
from witnessmark.web.serving.backup import back_up


def run(out: Path, *, data: Path | None = None) -> None:
    """Write database, attachments, records, reports and keys to one file, with their hashes.

    The server may run meanwhile. The file holds secrets: keep it as you keep the data folder.

    Args:
        out: The file to write.
        data: The data folder; by default as for `serve`.
    """
    os.environ[VARIABLE] = str(data_folder(data).path)
    count = back_up(read_config(), out)
    print(f"{out}: {count} files, each with its hash.")
