"""Parquet to raw rows: typed columns written out as the text that intake reads.

A row's number is its position in the file, from 1. This module knows neither mappings nor
canonical tables.
"""

from pathlib import Path

import duckdb

from witnessmark.errors import UnusableInputError, Where
from witnessmark.records.raw import FAULT, ROW, RawTable, tell_apart
from witnessmark.records.sql_text import name_sql, quote

WHOLE = "^-?[0-9]+\\.0$"


def read_parquet(con: duckdb.DuckDBPyConnection, path: Path, name: str, relation: str) -> RawTable:
    """The rows of a Parquet file, in a DuckDB table of text.

    Args:
        con: Where the table is made.
        path: The file.
        name: Its name in messages.
        relation: Name of the table to make.

    Raises:
        UnusableInputError: It is no Parquet file.
    """
    source = f"read_parquet({quote(str(path))}, file_row_number => true)"
    try:
        described = con.execute(f"describe select * from {source}").fetchall()
        columns = [(str(row[0]), str(row[1])) for row in described][:-1]
        headings = tell_apart([column for column, _ in columns])
        texts = "".join(
            f", {_text_sql(column, kind)} as {name_sql(heading)}"
            for (column, kind), heading in zip(columns, headings, strict=True)
        )
        con.execute(
            f"create or replace table {relation} as select file_row_number + 1 as {name_sql(ROW)}"
            f"{texts}, null::varchar as {name_sql(FAULT)} from {source}"
        )
    except duckdb.Error as error:
        reason = str(error).splitlines()[0]
        raise UnusableInputError.one(
            Where(name), f"this cannot be read as Parquet: {reason}", "a Parquet file"
        ) from error
    row = con.execute(f"select count(*) from {relation}").fetchone()
    count = int(row[0]) if row else 0
    return RawTable(relation, headings, count, count)


def _text_sql(column: str, kind: str) -> str:
    """A typed column as text: instants in UTC say so, whole numbers carry no fraction."""
    name = name_sql(column)
    if kind == "TIMESTAMP WITH TIME ZONE":
        return f"strftime(timezone('UTC', {name}), '%Y-%m-%d %H:%M:%S') || 'Z'"
    if kind.startswith("TIMESTAMP"):
        return f"strftime({name}::timestamp, '%Y-%m-%d %H:%M:%S')"
    if kind in ("DOUBLE", "FLOAT"):
        text = f"cast({name} as varchar)"
        short = f"cast(try_cast({name} as decimal(38, 9)) as varchar)"
        return (
            f"case when regexp_matches({text}, '{WHOLE}') then {text}[:-3] "
            f"when contains({text}, 'e') then coalesce(rtrim(rtrim({short}, '0'), '.'), {text}) "
            f"else {text} end"
        )
    if kind.endswith("[]"):
        return f"array_to_string({name}, ';')"
    if kind.startswith("DECIMAL"):
        text = f"cast({name} as varchar)"
        return (
            f"case when contains({text}, '.') then rtrim(rtrim({text}, '0'), '.') else {text} end"
        )
    return f"cast({name} as varchar)"
