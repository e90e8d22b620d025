"""Rows with a repeated autumn hour, set aside while typing: neighbours asked, choices written back.

The SQL half of autumn.py.
"""

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

import duckdb

from witnessmark.records.autumn import (
    Twice,
    both_readings,
    choose_by_neighbours,
    choose_by_range,
)
from witnessmark.records.table import Table
from witnessmark.records.zones import Transition, transitions

SET_ASIDE = "set_aside"
Choices = dict[str, dict[int, datetime]]


def settle_repeated_hours(
    con: duckdb.DuckDBPyConnection,
    into: str,
    first: int,
    order: str,
    table: Table,
    instants: Sequence[str],
    zone: ZoneInfo,
) -> None:
    """Fills the ambiguous times in `set_aside` that the other rows of the file decide.

    Args:
        con: Connection that holds `set_aside` (rows with their local times `l:x` and precisions
            `g:x`) and `into`.
        into: Typed rows of the same file that are certain, with `file_row`.
        order: Column with the rows' order in the file, in both tables.
        first: Position from which on the rows of `into` are of this file.
        table: The declaration.
        instants: Its instants that were given.
        zone: Zone in which the file writes.
    """
    twice = {name: _ambiguous(con, name) for name in instants}
    twice = {name: rows for name, rows in twice.items() if rows}
    if not twice:
        return
    locals_ = [local for rows in twice.values() for _, local in rows]
    changes = transitions(zone, min(locals_), max(locals_))
    chosen: Choices = {
        name: _by_neighbours(con, into, first, order, table, name, changes) for name in twice
    }
    for start, end in table.ranges:
        if start in instants and end in instants:
            _by_range(con, start, end, chosen, changes)
    for name, choices in chosen.items():
        _write_back(con, name, choices)


def _ambiguous(con: duckdb.DuckDBPyConnection, name: str) -> list[tuple[int, datetime]]:
    return con.execute(
        f'select rowid, "l:{name}" from {SET_ASIDE} '
        f"where faults is null and \"{name}_quality\" = 'ambiguous' order by rowid"
    ).fetchall()


def _by_neighbours(
    con: duckdb.DuckDBPyConnection,
    into: str,
    first: int,
    order: str,
    table: Table,
    name: str,
    changes: Sequence[Transition],
) -> dict[int, datetime]:
    groups = ["''"]
    if any(column.name == "machine_id" for column in table.columns):
        groups.append("coalesce(machine_id, '')")
    for group in groups:
        certain = (
            f'select {group} as grouped, {order} as file_row, "{name}" as moment from {into} '
            f'where rowid >= {first} and "{name}" is not null '
            f'union all select {group}, {order}, "{name}" from {SET_ASIDE} '
            f'where faults is null and "{name}" is not null'
        )
        backwards = con.execute(
            "select 1 from (select moment, lag(moment) over (partition by grouped order by "
            f"file_row, moment) as earlier from ({certain})) where moment < earlier limit 1"
        ).fetchone()
        if backwards is None:
            return choose_by_neighbours(_twice(con, certain, group, order, name), changes)
    return {}


def _twice(
    con: duckdb.DuckDBPyConnection, certain: str, group: str, order: str, name: str
) -> list[Twice]:
    rows = con.execute(
        f"""
        with certain as ({certain}),
        open as (
            select rowid as position, {group} as grouped, {order} as file_row, "l:{name}" as written
            from {SET_ASIDE}
            where faults is null and "{name}_quality" = 'ambiguous'
        ),
        preceded as (
            select open.*, certain.moment as before
            from open
            asof left join certain
                on open.grouped = certain.grouped and open.file_row > certain.file_row
        )
        select p.position, p.written, p.before, certain.moment as after, p.grouped
        from preceded as p
        asof left join certain on p.grouped = certain.grouped and p.file_row < certain.file_row
        order by p.grouped, p.file_row, p.position
        """
    ).fetchall()
    return [Twice(*row) for row in rows]


def _by_range(
    con: duckdb.DuckDBPyConnection,
    start: str,
    end: str,
    chosen: Choices,
    changes: Sequence[Transition],
) -> None:
    """Lets the two ends of a row decide each other, where neighbours have not."""
    rows = con.execute(
        f'select rowid, "{start}", "{start}_quality", "l:{start}", '
        f'"{end}", "{end}_quality", "l:{end}" from {SET_ASIDE} where faults is null '
        f'and "l:{start}" is not null and "l:{end}" is not null and '
        f'(\'ambiguous\' in ("{start}_quality", "{end}_quality"))'
    ).fetchall()
    for position, start_at, start_quality, start_local, end_at, end_quality, end_local in rows:
        sides: list[tuple[datetime, ...]] = []
        for name, moment, quality, local in (
            (start, start_at, start_quality, start_local),
            (end, end_at, end_quality, end_local),
        ):
            if quality != "ambiguous":
                sides.append((moment,))
            elif position in chosen.get(name, {}):
                sides.append((chosen[name][position],))
            else:
                sides.append(both_readings(local, changes))
        for name, decided, quality in zip(
            (start, end), choose_by_range(*sides), (start_quality, end_quality), strict=True
        ):
            if decided is not None and quality == "ambiguous":
                chosen.setdefault(name, {})[position] = decided


def _write_back(con: duckdb.DuckDBPyConnection, name: str, choices: dict[int, datetime]) -> None:
    if not choices:
        return
    con.execute("create or replace temp table choices (position bigint, moment timestamp)")
    con.executemany("insert into choices values (?, ?)", list(choices.items()))
    con.execute(
        f'update {SET_ASIDE} set "{name}" = c.moment, '
        f'"{name}_offset_min" = date_diff(\'minute\', c.moment, "l:{name}"), '
        f'"{name}_quality" = "g:{name}" from choices as c where {SET_ASIDE}.rowid = c.position'
    )
    con.execute("drop table choices")
