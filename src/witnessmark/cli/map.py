"""`witnessmark map`: proposes a draft mapping for a file of the plant."""

from pathlib import Path

from witnessmark.records.propose import propose


def run(file: Path) -> None:
    """Print a draft mapping.toml for one export, with the reasons for each line.

    Args:
        file: CSV, XLSX or Parquet file as the plant wrote it.
    """
    print(propose(file), end="")
