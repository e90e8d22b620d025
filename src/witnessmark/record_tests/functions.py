"""Functions of `stats` that record tests may call in SQL; undefined is NULL, never NaN."""

import duckdb
from duckdb.func import FunctionNullHandling

from witnessmark.stats.proportion import fisher_p


def _fisher_p(a: int | None, b: int | None, c: int | None, d: int | None) -> float | None:
    if a is None or b is None or c is None or d is None:
        return None
    return fisher_p(a, b, c, d)


def register(con: duckdb.DuckDBPyConnection) -> None:
    """Makes the functions known to a connection; once is enough, twice does no harm."""
    known = con.execute(
        "select 1 from duckdb_functions() where function_name = 'fisher_p' limit 1"
    ).fetchall()
    if not known:
        # By default DuckDB refuses a function that gives NULL for whole numbers.
        con.create_function(
            "fisher_p",
            _fisher_p,
            ["bigint"] * 4,
            "double",
            null_handling=FunctionNullHandling.SPECIAL,
        )
