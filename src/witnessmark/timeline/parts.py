"""Cuts runs and checks into parts, so that a large derived table is made a part at a time.

A query that reads millions of checks several times holds them in memory at once; made for so many
at a time it needs as much for a year as for a week. This module knows no tables but `checks` and
`check_runs`.
"""

import duckdb

RUNS = ("from_run_ix", "to_run_ix")
"""Parameters of a query that is made for so many runs: the first and the last of the part."""
CHECKS = ("from_check_ix", "to_check_ix")
"""The same for so many checks."""
LAST = 2**31 - 1
WHOLE = {RUNS[0]: 0, RUNS[1]: LAST, CHECKS[0]: 0, CHECKS[1]: LAST}
CHECKS_AT_ONCE = 1_500_000


def parts(con: duckdb.DuckDBPyConnection, names: frozenset[str]) -> list[dict[str, object]]:
    """Ranges of about as many checks each, in order, that cover all runs or all checks.

    Args:
        con: Where `check_runs`, or `checks`, can be queried.
        names: Parameters of the query.

    Returns:
        The two parameters for each part; one part without any where it is made at once.
    """
    if RUNS[0] in names:
        return _ranges(RUNS, _run_ends(con))
    if CHECKS[0] in names:
        (checks,) = con.execute("select count(*) from checks").fetchall()[0]
        return _ranges(CHECKS, list(range(CHECKS_AT_ONCE - 1, checks - 1, CHECKS_AT_ONCE)))
    return [{}]


def _run_ends(con: duckdb.DuckDBPyConnection) -> list[int]:
    """The last run of every part but the last."""
    counts = con.execute(
        "select run_ix, count(*) from check_runs where run_ix is not null "
        "group by run_ix order by run_ix"
    ).fetchall()
    ends, checks = [], 0
    for run_ix, count in counts:
        checks += count
        if checks >= CHECKS_AT_ONCE:
            ends.append(run_ix)
            checks = 0
    return ends


def _ranges(names: tuple[str, str], ends: list[int]) -> list[dict[str, object]]:
    first, last = names
    firsts = [0, *(end + 1 for end in ends)]
    return [{first: a, last: b} for a, b in zip(firsts, [*ends, LAST], strict=True)]
