"""Small records as Markdown tables, and the derived tables that follow from them."""

import re
from decimal import Decimal
from functools import cache
from zoneinfo import ZoneInfo

from witnessmark.criteria.load import default_criteria
from witnessmark.records.memory import Shelf, TextTable
from witnessmark.timeline.build import Period, Timeline

RULE = re.compile(r"^\|[\s:|-]+\|?$")


def parse_tables(text):
    """Canonical name to table: a line with the name, then a Markdown table."""
    found = {}
    name, header, rows = "", (), []
    for line in [line.strip() for line in text.splitlines()] + [""]:
        if line.startswith("|"):
            cells = tuple(cell.strip() for cell in line.strip("|").split("|"))
            if RULE.match(line):
                continue
            if header:
                rows.append(cells)
            else:
                header = cells
            continue
        if header:
            found[name] = TextTable(header, tuple(rows))
            header, rows = (), []
        if line:
            name = line.strip("`")
    return found


@cache
def _shelf():
    """One for each process: what a test shares with the one before is not derived again."""
    return Shelf()


def timeline_of(tables, zone="UTC", period=None, **criteria):
    """The timeline over tables (or their text), with criteria by name; it ends with the next."""
    given = parse_tables(tables) if isinstance(tables, str) else tables
    in_force = default_criteria()
    for key, value in criteria.items():
        in_force = in_force.with_value(key, Decimal(str(value)))
    store = _shelf().store(given, ZoneInfo(zone))
    return Timeline(store, in_force, Period(*period) if period else None)


def derive(name, tables, zone="UTC", period=None, **criteria):
    """The rows of one derived table as dicts, in the order of the table."""
    timeline = timeline_of(tables, zone, period, **criteria)
    timeline.require({name})
    found = timeline.store.con.sql(f"from {name}")
    return [dict(zip(found.columns, row, strict=True)) for row in found.fetchall()]


def pick(rows, *columns):
    """Only these columns, as tuples; instants as text to the minute."""
    return [tuple(_shown(row[column]) for column in columns) for row in rows]


def _shown(value):
    return f"{value:%Y-%m-%d %H:%M}" if hasattr(value, "hour") else value
