"""Rows of one machine that claim the same time, and plan lines that claim the same day.

A machine is in one state at a time and, unless a mapping says why not, in one run at a time: a row
that begins inside an earlier one is refused and names it. Two revisions of one plan line valid from
the same day cannot be told apart as of any day: both are refused. This module knows no file.
"""

from collections import Counter
from collections.abc import Iterator
from datetime import datetime, timedelta

import duckdb
import numpy as np

from witnessmark.records.contradictions import REFUSED
from witnessmark.records.sql_text import quote
from witnessmark.records.table import Table

SPANS = frozenset({"machine_states", "runs"})
REVISIONS = "control_plan_lines"
TOLERATED = timedelta(seconds=120)
"""Two times of one system may lie this far off each other (the tolerance of the timeline)."""
FETCHED = 100_000
Span = tuple[int, str, datetime, datetime]


def find_overlaps(
    con: duckdb.DuckDBPyConnection, relation: str, table: Table, kept_feeds: tuple[int, ...]
) -> Counter[int]:
    """Adds to `removed` every row that begins inside an earlier row of its machine.

    Rows without an end, or with a time known only to the day, overlap nothing that could be shown.

    Args:
        con: Connection that holds the relation, `feeds` and `removed`.
        relation: Typed rows with `file_row`; a row's rowid is its position.
        table: The declaration.
        kept_feeds: Feeds whose overlaps a mapping keeps, with its reason.

    Returns:
        How many rows of each kept feed overlap.
    """
    con.execute(_spans_sql(relation))
    machines = con.execute(
        """
        select distinct machine_id
        from (
            select
                machine_id, start_at,
                max(end_at) over (
                    partition by machine_id order by start_at, position
                    rows between unbounded preceding and 1 preceding
                ) as last_end_at
            from spans
        )
        where last_end_at > start_at + interval 120 second
        """
    ).fetchall()
    found: list[tuple[int, int]] = []
    if machines:
        con.execute("create or replace table crowded (machine_id varchar)")
        con.executemany("insert into crowded values (?)", machines)
        found = list(_inside(_spans(con)))
        con.execute("drop table crowded")
    con.execute("drop table spans")
    ranges = _kept_ranges(con, table, kept_feeds)
    feeds = [next((f for f, a, b in ranges if a <= one <= b), None) for one, _ in found]
    refused = [pair for pair, feed in zip(found, feeds, strict=True) if feed is None]
    _refuse(con, relation, table, refused)
    return Counter(feed for feed in feeds if feed is not None)


def _spans_sql(relation: str) -> str:
    exact = " and ".join(
        f"coalesce({name}_quality, 'day') <> 'day'" for name in ("start_at", "end_at")
    )
    return (
        "create or replace table spans as select rowid as position, machine_id, start_at, end_at "
        f"from {relation} where end_at > start_at and {exact} "
        "and rowid not in (select position from removed)"
    )


def _spans(con: duckdb.DuckDBPyConnection) -> Iterator[Span]:
    cursor = con.cursor()
    cursor.execute("use work")
    cursor.execute(
        "select position, machine_id, start_at, end_at from spans "
        "where machine_id in (select machine_id from crowded) "
        "order by machine_id, start_at, position"
    )
    while rows := cursor.fetchmany(FETCHED):
        yield from rows


def _inside(spans: Iterator[Span]) -> Iterator[tuple[int, int]]:
    """Every span that begins inside an earlier one that stands, with that one."""
    machine, holder, until = "", -1, datetime.min  # noqa: DTZ901  # naive UTC throughout
    for position, machine_id, start_at, end_at in spans:
        if machine_id == machine and start_at + TOLERATED < until:
            yield position, holder
            continue
        if machine_id != machine or end_at > until:
            machine, holder, until = machine_id, position, end_at


def _kept_ranges(
    con: duckdb.DuckDBPyConnection, table: Table, feeds: tuple[int, ...]
) -> list[tuple[int, int, int]]:
    if not feeds:
        return []
    numbers = ", ".join(str(feed) for feed in feeds)
    return con.execute(
        "select feed, first_position, last_position from feeds "
        f"where table_name = {quote(table.name)} and feed in ({numbers})"
    ).fetchall()


def _refuse(
    con: duckdb.DuckDBPyConnection, relation: str, table: Table, found: list[tuple[int, int]]
) -> None:
    if not found:
        return
    pairs = np.array(found, dtype=np.int64)
    con.register("inside", {"position": pairs[:, 0], "other": pairs[:, 1]})
    con.execute(
        f"""
        insert into removed
        select
            o.position, '{REFUSED}', 'start_at', strftime(t.start_at, '%Y-%m-%d %H:%M') || ' UTC',
            'begins before the end of ' || n.named || ', row ' || r.file_row
            || ' on the same machine'
        from inside as o
        inner join {relation} as t on t.rowid = o.position
        inner join {relation} as r on r.rowid = o.other
        inner join feeds as n
            on n.table_name = {quote(table.name)}
            and o.other between n.first_position and n.last_position
        """
    )
    con.unregister("inside")


def find_rival_revisions(con: duckdb.DuckDBPyConnection, relation: str) -> None:
    """Adds to `removed` the revisions of one plan line that are valid from the same day.

    Args:
        con: Connection that holds the relation, `feeds` and `removed`.
        relation: Typed control plan lines.
    """
    con.execute(
        f"""
        insert into removed
        with standing as (
            select rowid as position, *
            from {relation}
            where rowid not in (select position from removed)
        ),
        rivals as (
            select
                plan_no, line, part_no, op, valid_from, min(position, 2) as two
            from standing
            group by plan_no, line, part_no, op, valid_from
            having count(distinct rev) > 1
        ),
        pairs as (
            select
                s.position, s.valid_from, s.rev,
                case when s.position = r.two[1] then r.two[2] else r.two[1] end as other
            from standing as s
            inner join rivals as r
                on s.plan_no = r.plan_no and s.line = r.line and s.part_no = r.part_no
                and s.op is not distinct from r.op and s.valid_from = r.valid_from
        )
        select
            p.position, '{REFUSED}', 'valid_from', cast(p.valid_from as varchar),
            'revision ' || p.rev || ' is valid from the same day as revision ' || o.rev || ' ('
            || n.named || ', row ' || o.file_row || '), so that nobody can tell which counts'
        from pairs as p
        inner join {relation} as o on o.rowid = p.other
        inner join feeds as n
            on n.table_name = '{REVISIONS}'
            and p.other between n.first_position and n.last_position
        """
    )
