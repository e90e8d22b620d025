"""Wide to long: one row per cell of an hour column, a day column, one of several entries.

The rows keep their number, so that every one of them still leads to its cell. This module knows no
canonical table.
"""

import re

from witnessmark.errors import Fault, Where
from witnessmark.records.mapping import Unpivot
from witnessmark.records.sql_text import name_sql, quote

FILL_SUFFIX = " (fill)"


def wide_columns(unpivot: Unpivot, headings: tuple[str, ...]) -> tuple[str, ...]:
    """The columns that are turned, in the order of the file."""
    named = set(unpivot.columns)
    compiled = re.compile(unpivot.columns_match) if unpivot.columns_match is not None else None
    return tuple(
        heading
        for heading in headings
        if heading in named
        or (compiled is not None and compiled.match(heading) and not heading.endswith(FILL_SUFFIX))
    )


def unpivot_faults(unpivot: Unpivot, headings: tuple[str, ...], where: Where) -> list[Fault]:
    """Columns that the mapping names and the file lacks, or no column at all."""
    missing = [name for name in unpivot.columns if name not in headings]
    faults = [Fault(where, f'unpivot: there is no column "{name}".') for name in missing]
    if not faults and not wide_columns(unpivot, headings):
        faults.append(Fault(where, "unpivot: no heading matches.", ", ".join(headings)))
    return faults


def unpivot_sql(relation: str, unpivot: Unpivot, headings: tuple[str, ...]) -> str:
    """SQL for the long rows: all other columns, `<heading>`, `<cell>`, `<entry>`, `<fill>`.

    Args:
        relation: The wide rows.
        unpivot: What the mapping says.
        headings: All headings of the wide rows.
    """
    wide = wide_columns(unpivot, headings)
    cells = ", ".join(
        f"{{'h': {quote(heading)}, 'c': {name_sql(heading)}, 'f': {_fill_sql(heading, headings)}}}"
        for heading in wide
    )
    dropped = {*wide, *(f"{heading}{FILL_SUFFIX}" for heading in wide)}
    kept = "".join(f", {name_sql(name)}" for name in headings if name not in dropped)
    entries = "[cell.c]"
    if unpivot.split is not None:
        entries = f"string_split_regex(cell.c, {quote(unpivot.split)})"
    blank = (
        ""
        if unpivot.blank_cells == "keep"
        else (" where nullif(trim(\"<cell>\"), '') is not null or \"<fill>\" <> ''")
    )
    return (
        f'select * from (select "#row"{kept}, cell.h as "<heading>", cell.f as "<fill>", '
        f'unnest(coalesce({entries}, [null])) as "<cell>", '
        f'cast(generate_subscripts(coalesce({entries}, [null]), 1) as varchar) as "<entry>" '
        f'from (select "#row"{kept}, unnest([{cells}]) as cell from {relation})){blank}'
    )


def _fill_sql(heading: str, headings: tuple[str, ...]) -> str:
    name = f"{heading}{FILL_SUFFIX}"
    return f"coalesce({name_sql(name)}, '')" if name in headings else "''"
