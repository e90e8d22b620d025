"""Functions of `stats` that record tests may call in SQL; undefined is NULL, never NaN."""

from contextlib import suppress

import duckdb
from duckdb.func import FunctionNullHandling

from witnessmark.stats.proportion import fisher_p


def _fisher_p(a: int | None, b: int | None, c: int | None, d: int | None) -> float | None:
    if a is None or b is None or c is None or d is None:
        return None
    return fisher_p(a, b, c, d)


def register(con: duckdb.DuckDBPyConnection) -> None:
    """Makes the functions known to a connection; once is enough, twice does no harm."""
    # To ask for the known functions first takes far longer: DuckDB then lists thousands.
    with suppress(duckdb.NotImplementedException):  # "a function by that name is already created"
        # By default DuckDB refuses a function that gives NULL for whole numbers.
        con.create_function(
            "fisher_p",
            _fisher_p,
            ["bigint"] * 4,
            "double",
            null_handling=FunctionNullHandling.SPECIAL,
        )
