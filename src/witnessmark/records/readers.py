"""One door to all readers: which one reads a file is told by the end of its name."""

from pathlib import Path

import duckdb

from witnessmark.errors import UnusableInputError, Where
from witnessmark.records.extract import Extract
from witnessmark.records.raw import RawTable
from witnessmark.records.read_csv import read_csv
from witnessmark.records.read_parquet import read_parquet
from witnessmark.records.read_workbook import read_workbook, workbook_sheets

TEXT_ENDS = (".csv", ".txt", ".tsv")
WORKBOOK_ENDS = (".xlsx", ".xlsm")
PARQUET_ENDS = (".parquet",)
ENDS = (*TEXT_ENDS, *WORKBOOK_ENDS, *PARQUET_ENDS)
KNOWN_OTHERS = (".xls", ".xlsb", ".ods", ".zip", ".gz", ".json", ".xml", ".pdf")
"""Files that look like exports and have no reader: said, and not passed over."""


def is_export(path: Path) -> bool:
    """Whether a file is, by its name, an export that a user may expect to be read."""
    return path.suffix.lower() in (*ENDS, *KNOWN_OTHERS)


def sheet_names(path: Path, name: str) -> list[str] | None:
    """The sheets of a workbook; nothing for a file of another kind.

    Raises:
        UnusableInputError: The file is called a workbook and is none.
    """
    return workbook_sheets(path, name) if path.suffix.lower() in WORKBOOK_ENDS else None


def read_extract(con: duckdb.DuckDBPyConnection, extract: Extract, relation: str) -> RawTable:
    """The raw rows of an extract.

    Raises:
        UnusableInputError: The file cannot be used as it is.
    """
    end = extract.path.suffix.lower()
    if end in TEXT_ENDS:
        return read_csv(con, extract.path, extract.name, relation, extract.form, extract.layout)
    if end in PARQUET_ENDS:
        return read_parquet(con, extract.path, extract.name, relation)
    if end in WORKBOOK_ENDS and extract.sheet is not None:
        return read_workbook(
            con,
            extract.path,
            extract.name,
            extract.sheet,
            relation,
            extract.layout,
            extract.merged_fill,
            extract.fill_colours,
        )
    raise UnusableInputError.one(
        Where(extract.name),
        f'there is no reader for files ending in "{end}".',
        ", ".join(ENDS),
        "Save it as .xlsx or .csv, or list it under ignore in mapping.toml.",
    )
