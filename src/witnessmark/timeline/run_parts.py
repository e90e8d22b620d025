"""Cuts the merged runs into parts, so that a large derived table is made a part at a time.

A query that reads millions of checks several times holds them in memory at once; made for so many
runs at a time it needs as much for a year as for a week. This module knows no table but
`check_runs`.
"""

import duckdb

FIRST, LAST = "from_run_ix", "to_run_ix"
"""Parameters of a query that is made in parts: the first and the last run of the part."""
WHOLE = {FIRST: 0, LAST: 2**31 - 1}
CHECKS_AT_ONCE = 2_500_000


def run_parts(con: duckdb.DuckDBPyConnection) -> list[dict[str, object]]:
    """Ranges of runs with about as many checks each, in order, that cover all runs.

    Args:
        con: Where `check_runs` can be queried.

    Returns:
        The two parameters for each part; one part where there are few checks or none.
    """
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
    firsts = [WHOLE[FIRST], *(end + 1 for end in ends)]
    return [
        {FIRST: first, LAST: last} for first, last in zip(firsts, [*ends, WHOLE[LAST]], strict=True)
    ]
