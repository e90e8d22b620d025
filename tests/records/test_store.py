"""The store shows true time, the clock behind each row, and empty tables for what was not given."""

from zoneinfo import ZoneInfo

import pytest

from witnessmark.errors import UnusableInputError
from witnessmark.records.memory import TextTable, load_memory
from witnessmark.records.tables import TABLES

BERLIN = ZoneInfo("Europe/Berlin")
EXTRACTS = TextTable(
    ("extract_id", "system", "clock_id"),
    (("a", "log", "fast"), ("b", "log", ""), ("c", "paper", ""), ("d", "lab", "fast")),
)
CLOCKS = TextTable(
    ("clock_id", "valid_from", "offset_s", "drift_s_per_day", "method"),
    (
        ("fast", "2026-01-01 00:00", "60", "2", "m"),
        ("fast", "2026-02-01 00:00", "600", "", "m"),
    ),
)


def states(*rows):
    return TextTable(("machine_id", "start_at", "state", "extract_id"), rows)


@pytest.fixture
def store():
    opened = load_memory(
        {
            "extracts": EXTRACTS,
            "clocks": CLOCKS,
            "machine_states": states(
                ("M1", "2025-12-31 12:00", "running", "a"),
                ("M1", "2026-01-11 00:00", "running", "a"),
                ("M1", "2026-02-11 00:00", "running", "d"),
                ("M2", "2026-02-11 00:00", "running", "b"),
                ("M3", "2026-02-11 00:00", "running", "c"),
                ("M4", "2026-02-11 00:00", "running", ""),
            ),
        },
        BERLIN,
    )
    yield opened
    opened.con.close()


def test_true_time_is_written_time_less_the_clock_s_offset(store):
    rows = store.con.execute(
        "select machine_id, strftime(local_time(start_at), '%m-%d %H:%M:%S') from machine_states "
        "order by row_ix"
    ).fetchall()
    assert rows == [
        ("M1", "12-31 12:00:00"),
        ("M1", "01-10 23:58:40"),
        ("M1", "02-10 23:50:00"),
        ("M2", "02-11 00:00:00"),
        ("M3", "02-11 00:00:00"),
        ("M4", "02-11 00:00:00"),
    ]


def test_the_tolerance_between_two_clocks(store):
    pairs = store.con.execute(
        "select a.machine_id || b.machine_id, tolerance_s(a.clock, b.clock) "
        "from machine_states as a, machine_states as b "
        "where a.row_ix >= 2 and b.row_ix >= 2 and a.row_ix < b.row_ix order by 1"
    ).fetchall()
    assert dict(pairs) == {
        "M1M2": 300 + 2,
        "M1M3": 900,
        "M1M4": 120,
        "M2M3": 900,
        "M2M4": 120,
        "M3M4": 900,
    }


def test_local_and_utc_time_follow_daylight_saving(store):
    row = store.con.execute(
        "select local_time(timestamp '2026-07-01 22:30:00')::varchar, "
        "local_date(timestamp '2026-07-01 22:30:00')::varchar, "
        "utc_time(timestamp '2026-01-02 00:30:00')::varchar"
    ).fetchone()
    assert row == ("2026-07-02 00:30:00", "2026-07-02", "2026-01-01 23:30:00")


def test_every_table_can_be_asked(store):
    for name in TABLES:
        columns = {row[0] for row in store.con.execute(f"describe {name}").fetchall()}
        assert columns == {"row_ix", "clock", *TABLES[name].stored_columns()}
    assert store.con.execute("select count(*) from checks").fetchone() == (0,)
    assert store.has("machine_states", "state")
    assert not store.has("machine_states", "reason")
    assert not store.has("checks")


def test_a_table_with_a_header_and_no_rows_is_there():
    store = load_memory({"runs": TextTable(("run_id",), ())}, BERLIN)
    assert store.has("runs")
    assert store.holdings["runs"].rows == 0


def test_typed_values():
    store = load_memory(
        {
            "machines": TextTable(
                ("machine_id", "auto_stop", "stations", "x_m"),
                (("1", "Yes", "+4", "-1.5"), ("2", "false", "", ".5"), ("3", " ", "0", "1.")),
            ),
            "unattended_permissions": TextTable(
                ("permission_id", "shifts"), (("1", "late; night;"), ("2", ";"), ("3", ""))
            ),
        },
        BERLIN,
    )
    assert store.con.execute(
        "select machine_id, auto_stop, stations, x_m::double from machines order by 1"
    ).fetchall() == [("1", True, 4, -1.5), ("2", False, None, 0.5), ("3", None, 0, 1.0)]
    assert store.con.execute(
        "select shifts from unattended_permissions order by permission_id"
    ).fetchall() == [(["late", "night"],), (None,), (None,)]


@pytest.mark.parametrize(
    ("written", "utc", "offset", "quality"),
    [
        ("2026-03-29 01:45", "2026-03-29 00:45:00", 60, "min"),
        ("2026-03-29 03:00", "2026-03-29 01:00:00", 120, "min"),
        ("2026-03-29T03:00:07", "2026-03-29 01:00:07", 120, "s"),
        ("2026-03-29 03:00:07.5", "2026-03-29 01:00:07.5", 120, "s"),
        ("2026-03-28 24:00", "2026-03-28 23:00:00", 60, "min"),
        ("2026-03-29 04", "2026-03-29 02:00:00", 120, "h"),
        ("2026-03-29", "2026-03-28 23:00:00", 60, "day"),
        ("2026-10-25T02:30+02:00", "2026-10-25 00:30:00", 120, "min"),
        ("2026-10-25 02:30 +0100", "2026-10-25 01:30:00", 60, "min"),
        ("2026-10-25T02:30Z", "2026-10-25 02:30:00", 0, "min"),
        ("2026-10-25T02:30:00-05:30", "2026-10-25 08:00:00", -330, "s"),
        ("2026-10-25 02:30", None, None, "ambiguous"),
    ],
)
def test_instants(written, utc, offset, quality):
    stoppages = TextTable(("stop_id", "start_at"), (("s", written),))
    store = load_memory({"stoppages": stoppages}, BERLIN)
    assert store.con.execute(
        "select start_at::varchar, start_at_offset_min, start_at_quality from stoppages"
    ).fetchone() == (utc, offset, quality)


@pytest.mark.parametrize(
    "written",
    [
        "2026-03-29 02:30",
        "2026-02-30",
        "29.03.2026",
        "2026-3-29",
        "2026-03-29 24:01",
        "now",
        "1969-12-31",
    ],
)
def test_what_is_no_instant(written):
    with pytest.raises(UnusableInputError, match="start_at"):
        load_memory({"machine_states": states(("M", written, "running", ""))}, BERLIN)


def test_all_faults_of_small_tables_at_once():
    with pytest.raises(UnusableInputError) as caught:
        load_memory(
            {
                "rnus": TextTable(("run_id",), ()),
                "runs": TextTable(("machine_id", "good", "god"), (("M1", "1"),), line=7),
            },
            BERLIN,
        )
    said = [str(fault) for fault in caught.value.faults]
    assert any('there is no table "rnus"' in line for line in said)
    assert any('column "god"' in line for line in said)
    assert any("the key column run_id is missing" in line for line in said)
    assert any("2 cells, not 3" in line for line in said)
