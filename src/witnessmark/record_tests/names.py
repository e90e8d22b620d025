"""Names that stand behind the numbers a query may give in their place.

Numbers are read, joined and counted in a fraction of the time that texts take; the names are looked
up for the few rows that are shown. This module knows no record test.
"""

from collections.abc import Iterable, Sequence

from witnessmark.records.sql_text import listed
from witnessmark.timeline.build import Timeline
from witnessmark.timeline.sql_file import SqlFile

INDEXED = {
    "run_ix": ("merged_runs", "run_ix", ("run_id",)),
    "check_ix": ("check_context", "check_ix", ("check_id",)),
    "machine_ix": ("known_machines", "machine_ix", ("machine_id",)),
    "shift_ix": ("shift_spans", "shift_ix", ("shift", "shift_ref")),
    "line_ix": ("control_plan_lines", "row_ix", ("line", "plan_no")),
}
"""The table that has a number and its names, the number there, the names."""
NAMED = {name: index for index, (_, _, names) in INDEXED.items() for name in names}


def columns_of(sql: SqlFile, timeline: Timeline) -> list[str]:
    """The columns that a query gives; the timeline is made to have the tables it reads."""
    timeline.require(sql.tables())
    values = timeline.parameters(sql.parameters())
    described = timeline.store.con.execute(f"from ({sql.query}) limit 0", values)
    return [entry[0] for entry in described.description or []]


def is_resolved(name: str, columns: Sequence[str]) -> bool:
    """Whether the columns of a query give a number for this name, and not the name itself."""
    return name not in columns and NAMED.get(name, "") in columns


def column_of(name: str, columns: Sequence[str]) -> str:
    """The column that gives a name: its own, or the number that stands for it."""
    return NAMED[name] if is_resolved(name, columns) else name


def joins_of(indices: Iterable[str], columns: Sequence[str], timeline: Timeline) -> str:
    """Joins that bring the names of those columns that are numbers, as SQL.

    Args:
        indices: Columns that are there; those that are no number are left alone.
        columns: All columns of the query.
        timeline: Is made to have the tables that are joined.
    """
    joins = ""
    for index in filter(INDEXED.__contains__, indices):
        table, number, names = INDEXED[index]
        given = [name for name in names if is_resolved(name, columns)]
        if given:
            timeline.require({table})
            joins += f" left join (select {number} as {index}, {listed(given)} from {table})"
            joins += f" using ({index})"
    return joins
