"""Rows that say the same twice, or say two things: repeats counted, contradictions refused.

Works on the typed rows of one canonical table, all files together, in the order in which they were
read. Where two rows contradict each other nobody here can know which is right, so both are refused
and each names the other. This module knows no file; `feeds` tells it how a row's place is named.

Two work tables are shared with intake: `feeds(table_name, feed, named, first_position,
last_position)` says which positions of a typed table came from which file, and
`removed(position, kind, column_name, value, reason)` takes what is found.
"""

import duckdb

from witnessmark.records.digest import BETWEEN, EMPTY, row_text_sql
from witnessmark.records.sql_text import quote
from witnessmark.records.table import Table

FEEDS = (
    "table_name varchar, feed integer, named varchar, first_position bigint, last_position bigint"
)
REMOVED = 'position bigint, kind varchar, column_name varchar, "value" varchar, reason varchar'
REPEAT = "duplicate"
REFUSED = "refused"


def find_contradictions(con: duckdb.DuckDBPyConnection, relation: str, table: Table) -> None:
    """Fills `removed` with the repeats and the contradictory rows of one typed table.

    Args:
        con: Connection that holds the relation, `feeds` and an empty `removed`.
        relation: Typed rows with `file_row`; a row's rowid is its position.
        table: The declaration.
    """
    con.execute(_twins_sql(relation, table))
    con.execute(
        f"insert into removed select position, '{REPEAT}', null, null, null from twins "
        "where copy_no > 1"
    )
    con.execute(_differing_sql(relation, table))
    con.execute("drop table twins")


def key_text_sql(names: tuple[str, ...]) -> str:
    """SQL for a key as one text, in which an empty part is a value of its own."""
    return f" || {BETWEEN} || ".join(
        f'coalesce(cast("{name}" as varchar), {EMPTY})' for name in names
    )


def _twins_sql(relation: str, table: Table) -> str:
    """Rows whose key stands more than once; a hash of the key finds the few worth a look."""
    key = key_text_sql(table.key)
    shown = ", ".join(f'cast("{name}" as varchar)' for name in table.key)
    return f"""
        create or replace table twins as
        with hashed as (select rowid as position, hash({key}) as h from {relation}),
        several as (select h from hashed group by h having count(*) > 1),
        judged as (
            select
                t.rowid as position, {key} as key_text, md5({row_text_sql(table)}) as content,
                concat_ws('/', {shown}) as shown_key
            from {relation} as t
            where t.rowid in (select position from hashed where h in (select h from several))
        )
        select
            *, row_number() over (partition by key_text, content order by position) as copy_no
        from judged
        """


def _differing_sql(relation: str, table: Table) -> str:
    return f"""
        insert into removed
        with firsts as (select * from twins where copy_no = 1),
        differing as (
            select key_text, min(position, 2) as two
            from firsts
            group by key_text
            having count(*) > 1
        ),
        pairs as (
            select
                f.position, f.shown_key,
                case when f.position = d.two[1] then d.two[2] else d.two[1] end as other
            from firsts as f
            inner join differing as d using (key_text)
        )
        select
            p.position, '{REFUSED}', {quote(", ".join(table.key))}, p.shown_key,
            'the same key as ' || n.named || ', row ' || o.file_row || ', with other content'
        from pairs as p
        inner join {relation} as o on o.rowid = p.other
        inner join feeds as n
            on n.table_name = {quote(table.name)}
            and p.other between n.first_position and n.last_position
        """
