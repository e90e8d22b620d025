"""Small tables in memory: typed alike however many they are, and shared without mixing stores."""

from contextlib import closing
from zoneinfo import ZoneInfo

import duckdb
import pytest

from witnessmark.criteria.load import default_criteria
from witnessmark.errors import UnusableInputError
from witnessmark.records import typing
from witnessmark.records.memory import Shelf, TextTable, load_memory
from witnessmark.timeline.build import Period, Timeline

BERLIN, UTC = ZoneInfo("Europe/Berlin"), ZoneInfo("UTC")
STATES = TextTable(
    ("machine_id", "start_at", "end_at", "state"),
    (
        ("M1", "2026-10-25 01:50", "2026-10-25 02:10", "running"),
        ("M1", "2026-10-25 02:10", "2026-10-25 02:40", "stopped"),
        ("M1", "2026-10-25 02:40", "2026-10-25 02:20+01:00", "running"),
        ("M1", "2026-10-25 02:20+01:00", "2026-10-25T04:00:30+01:00", "setup"),
        ("M2", "2026-10-25 02:30", "", "running"),
    ),
)
MACHINES = TextTable(("machine_id", "area", "process"), (("M1", "A", "turning"),))


@pytest.fixture
def shelf():
    with closing(Shelf()) as opened:
        yield opened


def shown(store, name="machine_states"):
    return store.con.execute(f"from {name} order by row_ix").fetchall()


def test_rows_are_typed_alike_in_one_pass_and_in_two(monkeypatch):
    open_hour = TextTable(
        ("stop_id", "machine_id", "start_at"), (("s1", "M1", "2026-10-25 02:30"),)
    )
    tables = {"machine_states": STATES, "stoppages": open_hour}
    assert len(STATES.rows) < typing.SMALL
    found = []
    for small in (typing.SMALL, -1):
        monkeypatch.setattr(typing, "SMALL", small)
        store = load_memory(tables, BERLIN)
        with closing(store.con):
            found.append((shown(store), shown(store, "stoppages")))
    states, stops = found[0]
    assert found[1] == found[0]
    assert len(states) == len(STATES.rows)
    assert "ambiguous" in stops[0]


@pytest.mark.parametrize("small", [typing.SMALL, -1])
def test_cells_are_refused_alike_in_one_pass_and_in_two(monkeypatch, small):
    monkeypatch.setattr(typing, "SMALL", small)
    rows = (*STATES.rows, ("M3", "2026-02-30 10:00", "", "flying"), ("", "", "", ""))
    with pytest.raises(UnusableInputError) as refusal:
        load_memory({"machine_states": TextTable(STATES.header, rows)}, BERLIN)
    said = [(fault.where.row, fault.where.column) for fault in refusal.value.faults]
    assert said == [(6, "start_at"), (6, "state"), (7, "machine_id"), (7, "start_at")]


def test_a_store_holds_its_own_tables_and_nothing_of_the_one_before(shelf):
    first = shown(shelf.store({"machine_states": STATES, "machines": MACHINES}, BERLIN))
    other = shelf.store({"machine_states": TextTable(STATES.header, STATES.rows[:1])}, BERLIN)
    assert len(shown(other)) == 1
    assert shown(other, "machines") == []
    assert not other.has("machines")
    again = shelf.store({"machine_states": STATES, "machines": MACHINES}, BERLIN)
    assert shown(again) == first
    assert len(shown(again, "machines")) == 1


def test_the_zone_and_the_clocks_count_though_the_rows_are_the_same(shelf):
    header = ("machine_id", "start_at", "state", "extract_id")
    states = TextTable(header, (("M1", "2026-03-02 06:00", "running", "a"),))
    extracts = TextTable(("extract_id", "system", "clock_id"), (("a", "log", "fast"),))
    clocks = TextTable(
        ("clock_id", "valid_from", "offset_s", "method"), (("fast", "2026-01-01 00:00", "60", "m"),)
    )
    tables = {"machine_states": states}

    def start(tables, zone):
        store = shelf.store(tables, zone)
        ((at, local),) = store.con.execute(
            "select strftime(start_at, '%H:%M'), strftime(local_time(start_at), '%H:%M') "
            "from machine_states"
        ).fetchall()
        return at, local

    assert start(tables, UTC) == ("06:00", "06:00")
    assert start(tables, BERLIN) == ("05:00", "06:00")
    with_clocks = tables | {"extracts": extracts, "clocks": clocks}
    assert start(with_clocks, UTC) == ("05:59", "05:59")
    assert start(tables, UTC) == ("06:00", "06:00")


def test_a_table_with_a_fault_leaves_nothing_behind(shelf):
    wrong = TextTable(STATES.header, (("M1", "2026-03-02 06:00", "", "flying"),))
    for _ in range(2):
        with pytest.raises(UnusableInputError) as refusal:
            shelf.store({"machine_states": wrong}, UTC)
        assert len(refusal.value.faults) == 1
    assert len(shown(shelf.store({"machine_states": STATES}, BERLIN))) == len(STATES.rows)


def test_what_is_derived_follows_its_tables_and_the_period_and_is_asked_for_anew(shelf):
    def covered(tables, period=None):
        timeline = Timeline(shelf.store(tables, UTC), default_criteria(), period)
        with pytest.raises(duckdb.CatalogException):
            timeline.store.con.execute("from running_states")
        timeline.require({"running_states"})
        ((seconds,),) = timeline.store.con.execute(
            "select sum(date_diff('second', from_at, to_at)) from running_states"
        ).fetchall()
        return seconds / 3600

    row = ("M1", "2026-03-02 06:00", "2026-03-02 08:00", "running")
    tables = {"machine_states": TextTable(STATES.header, (row,))}
    assert covered(tables) == 2
    assert covered(tables, Period("2026-03-02 06:00", "2026-03-02 16:00")) == 10
    # Another table decides when the records end.
    machine_setup = ("u1", "M1", "P1", "2026-03-02 06:00", "2026-03-02 11:00")
    header = ("setup_id", "machine_id", "to_part", "start_at", "end_at")
    assert covered(tables | {"setups": TextTable(header, (machine_setup,))}) == 5
    assert covered(tables) == 2
