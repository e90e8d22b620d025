"""One door to all readers: which one reads a file is told by the end of its name."""

from pathlib import Path

import duckdb

from witnessmark.errors import UnusableInputError, Where
from witnessmark.records.extract import Extract
from witnessmark.records.raw import RawTable
from witnessmark.records.read_csv import read_csv

TEXT_ENDS = {".csv", ".txt", ".tsv"}
ENDS = TEXT_ENDS


def read_extract(con: duckdb.DuckDBPyConnection, extract: Extract, relation: str) -> RawTable:
    """The raw rows of an extract.

    Raises:
        UnusableInputError: The file cannot be used as it is.
    """
    end = extract.path.suffix.lower()
    if end in TEXT_ENDS:
        return read_csv(con, extract.path, extract.name, relation, extract.form, extract.layout)
    raise UnusableInputError.one(
        Where(extract.name), f'no reader for files ending in "{end}".', ", ".join(sorted(ENDS))
    )


def is_readable(path: Path) -> bool:
    """Whether there is a reader for files of this name."""
    return path.suffix.lower() in ENDS
