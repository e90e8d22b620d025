"""Proves that no key comes twice among any number of rows, in little memory.

Equal keys have equal hashes: where no hash comes twice, no key does. This module knows no table.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import duckdb
import numpy as np

from witnessmark.records.sql_text import listed

AT_ONCE = 16_000_000
"""Hashes that are sorted at a time."""


@dataclass(frozen=True)
class Keys:
    """What tells a set of keys from another.

    Args:
        rows: How many there are.
        hashes: Sum of their hashes modulo 2**64; other keys have the same once in 2**64 times.
    """

    rows: int
    hashes: int

    @staticmethod
    def counted(rows: int | None, total: int | None) -> "Keys":
        """From a count and a sum that SQL gave, which are empty where there are no rows."""
        return Keys(int(rows or 0), int(total or 0) % 2**64)


def key_hash(columns: Iterable[str]) -> str:
    """The hash of a key, as SQL."""
    return f"hash({listed(columns)})"


def prove_unique(
    con: duckdb.DuckDBPyConnection, hashes: str, values: Mapping[str, object] | None = None
) -> Keys | None:
    """Counts the keys, of which none comes twice.

    The hashes are sorted some millions at a time, each in the part that its value says, so that
    memory stays the same for any number of them.

    Args:
        con: Where the rows can be queried.
        hashes: A query of one column, `key_hash`.
        values: Its parameters.

    Returns:
        Their number and sum; None if a hash comes twice.
    """
    con.execute(f"create or replace temp table key_hashes as {hashes}", values or {})
    try:
        rows, total = con.execute("select count(*), sum(key_hash) from key_hashes").fetchall()[0]
        parts = rows // AT_ONCE + 1
        for part in range(parts):
            found = con.execute(
                f"select key_hash from key_hashes where key_hash % {parts} = {part}"
            ).fetchnumpy()
            ordered = np.sort(found["key_hash"])
            if bool((ordered[1:] == ordered[:-1]).any()):
                return None
        return Keys.counted(rows, total)
    finally:
        con.execute("drop table key_hashes")
