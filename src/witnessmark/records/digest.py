"""The logical digest of a table: the same rows give the same digest, whatever wrote them.

Bytes of a Parquet file name the program that wrote them; a digest of the rows does not. Every row
is written out in one fixed way and hashed; the sum over rows does not depend on their order. This
module knows no file.
"""

import duckdb

from witnessmark.records.table import Table

EMPTY = "chr(30)"
BETWEEN = "chr(31)"
HALF = "18446744073709551615"
"""Two sums of 64 bits each fit a 128-bit integer for any number of rows that fits a disk."""


def row_text_sql(table: Table) -> str:
    """SQL for a row's own columns as one text (origin left out), empty told from every value."""
    parts = []
    for name, kind in table.stored_columns().items():
        if name in ("extract_id", "source_row"):
            continue
        match kind:
            case "varchar[]":
                text = f"array_to_string(\"{name}\", ';')"
            case "timestamp":
                text = f"strftime(\"{name}\", '%Y-%m-%d %H:%M:%S.%f')"
            case _:
                text = f'cast("{name}" as varchar)'
        parts.append(f"coalesce({text}, {EMPTY})")
    return f" || {BETWEEN} || ".join(parts)


def digest_of(con: duckdb.DuckDBPyConnection, relation: str, table: Table) -> str:
    """The digest of the rows of a relation.

    Args:
        con: Connection that reaches the relation.
        relation: What stands after `from`.
        table: Its declaration.

    Returns:
        Rows and two sums of halves of MD5, in hexadecimal.
    """
    row = con.execute(
        # Cast to hugeint: the sum of unsigned ones is a DOUBLE, and inexact.
        f"select count(*), sum(cast(hashed & {HALF}::uhugeint as hugeint)), "
        f"sum(cast(hashed >> 64 as hugeint)) "
        f"from (select md5_number({row_text_sql(table)}) as hashed from {relation})"
    ).fetchone()
    count, low, high = row or (0, 0, 0)
    return f"{count:x}-{int(low or 0):x}-{int(high or 0):x}"
