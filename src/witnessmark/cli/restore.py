"""`witnessmark restore`: a backup back into a new data folder."""

from pathlib import Path

from witnessmark.web.serving.restore import restore


def run(file: Path, data: Path, *, database: str = "") -> None:
    """Check every hash of a backup, then bring it back into a new folder.

    Args:
        file: The backup.
        data: The data folder to make; must be empty or not be there.
        database: Address of an empty PostgreSQL database, for a backup that came from one.
    """
    count = restore(file, data, database)
    print(f"{data}: {count} files, every hash as in the backup.")
    if database:
        print("Name the database in witnessmark.toml there, or in WITNESSMARK_DATABASE.")
