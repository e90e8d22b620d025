"""Small records for the audit's tests: a timeline of their own, closed by who asked for it."""

from contextlib import contextmanager
from zoneinfo import ZoneInfo

from tests.timeline.tables import parse_tables

from witnessmark.criteria.load import default_criteria
from witnessmark.records.memory import load_memory
from witnessmark.timeline.build import Timeline


@contextmanager
def timeline_over(tables, zone="UTC"):
    given = parse_tables(tables) if isinstance(tables, str) else tables
    store = load_memory(given, ZoneInfo(zone))
    try:
        yield Timeline(store, default_criteria())
    finally:
        store.con.close()
