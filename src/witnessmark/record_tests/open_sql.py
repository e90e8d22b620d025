"""`open.sql`: the same tables, rules and parameters in a plain DuckDB shell.

A colleague, or the plant's own analyst, runs `duckdb -init open.sql` beside the freeze and gets
the same rows from the same query. This module runs nothing.
"""

from decimal import Decimal

from witnessmark.record_tests.battery import Battery
from witnessmark.record_tests.names import columns_of, joins_of
from witnessmark.record_tests.record_test import RecordTest
from witnessmark.timeline.build import Timeline
from witnessmark.timeline.sql_file import PARAMETER

HEAD = """-- Witnessmark: the tables and record tests of freeze {identity}.
-- Run it in DuckDB 2 or newer in the folder where it lies: duckdb -init open.sql
-- Then: from record_test_gauge_overdue where exception;
-- Record tests that use a function of this tool's statistics, or lack tables, are named at the end.
set TimeZone = 'UTC';
"""


RAN = ("assessed", "nothing-to-test")


def open_sql(battery: Battery) -> str:
    """The text of open.sql for a run."""
    con = battery.timeline.store.con
    names = {
        test.slug: _names(test, battery.timeline)
        for test, outcome in zip(battery.tests, battery.outcomes, strict=True)
        if outcome.status in RAN
    }
    macros = con.execute(
        "select function_name, parameters, macro_definition from duckdb_functions() "
        "where function_type = 'macro' and not internal order by function_name"
    ).fetchall()
    views = con.execute(
        "select view_name, sql from duckdb_views() where not internal order by view_oid"
    ).fetchall()
    parts = [HEAD.format(identity=battery.timeline.store.identity or "in memory")]
    parts += [
        f"create macro {name}({', '.join(parameters)}) as {body};"
        for name, parameters, body in macros
    ]
    parts += [
        f"set variable {name} = {_literal(value)};"
        for name, value in sorted(battery.timeline.criteria.parameters().items())
    ]
    period = con.execute("select starts_at, ends_at from period").fetchall()
    parts += [
        f"create table period as select timestamp '{start}' as starts_at, "
        f"timestamp '{end}' as ends_at;"
        for start, end in period
        if start is not None
    ]
    parts += [f"{sql.rstrip(';')};" for _, sql in views]
    own: list[str] = []
    lacking: list[str] = []
    for test, outcome in zip(battery.tests, battery.outcomes, strict=True):
        if "fisher_p" in test.sql.query:
            own.append(test.slug)
        elif outcome.status not in RAN:
            lacking.append(test.slug)
        else:
            query = PARAMETER.sub(lambda match: f"getvariable('{match[1]}')", test.sql.query)
            view = f"create view record_test_{test.slug.replace('-', '_')} as"
            if names[test.slug]:
                query = f"select * from (\n{query}\n){names[test.slug]}"
            parts.append(f"{view}\n{query};")
    parts.append("-- Left out for a function: " + (", ".join(own) or "none"))
    parts.append("-- Left out because the folder lacks tables: " + (", ".join(lacking) or "none"))
    return "\n\n".join(parts) + "\n"


def _names(test: RecordTest, timeline: Timeline) -> str:
    """The joins that bring the names of the numbers that a query gives."""
    columns = columns_of(test.sql, timeline)
    return joins_of(columns, columns, timeline)


def _literal(value: int | Decimal) -> str:
    return f"{value}::decimal(18, 6)" if isinstance(value, Decimal) else str(value)
