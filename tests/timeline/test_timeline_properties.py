"""What holds of the timeline whatever the records say."""

import random
from datetime import datetime, timedelta
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st
from tables import timeline_of

from witnessmark.records.memory import TextTable

DAY = datetime(2026, 3, 2)  # noqa: DTZ001  # naive UTC, as the store has it
MACHINES = ("M1", "M2", "M3")
PERIOD = (str(DAY), str(DAY + timedelta(days=1)))
QUARTERS = st.integers(0, 96)
SPAN = st.tuples(QUARTERS, QUARTERS).map(sorted).filter(lambda span: span[0] < span[1])


def at(quarter):
    return f"{DAY + timedelta(minutes=15 * quarter):%Y-%m-%d %H:%M}"


def spans_of(*more):
    return st.lists(st.tuples(st.sampled_from(MACHINES), SPAN, *more), max_size=8)


RECORDS = st.fixed_dictionaries(
    {
        "states": spans_of(st.sampled_from(["running", "stopped", "setup", "unknown"])),
        "runs": spans_of(st.sampled_from(["P1", "P2"]), st.integers(0, 500)),
        "stops": spans_of(),
        "counts": st.lists(st.tuples(QUARTERS, st.integers(0, 300)), max_size=6),
        "board": st.lists(
            st.tuples(
                st.sampled_from(["p1", "p2", "p3"]),
                st.sampled_from([*MACHINES, "G1", "A"]),
                SPAN,
                st.sampled_from(["operator", "watcher", "relief", "trainee"]),
                st.sampled_from(["planned", "actual"]),
            ),
            max_size=10,
        ),
        "longest": st.sampled_from(["", "30", "240"]),
    }
)


def unique(rows, *key):
    """Rows with one of each key, as every canonical table has."""
    return list({tuple(row[i] for i in key): row for row in rows}.values())


def tables_of(records):
    """Canonical tables of these records; M3 never has a state, so its runs decide."""
    states = [(m, at(s), at(e), what) for m, (s, e), what in records["states"] if m != "M3"]
    runs = [
        (f"r{i}", m, part, at(s), at(e), str(good))
        for i, (m, (s, e), part, good) in enumerate(records["runs"])
    ]
    stops = [(f"s{i}", m, at(s), at(e)) for i, (m, (s, e)) in enumerate(records["stops"])]
    counts = [("M2", at(quarter), str(shown)) for quarter, shown in records["counts"]]
    board = [
        (p, where, at(s), at(e), role, basis) for p, where, (s, e), role, basis in records["board"]
    ]
    found = {
        "machines": (
            "machine_id area group_id process",
            [
                ("M1", "A", "G1", "turning"),
                ("M2", "A", "G1", "turning"),
                ("M3", "A", "", "milling"),
            ],
        ),
        "shift_instances": (
            "area production_date shift start_at end_at overtime",
            [
                ("A", "2026-03-02", "day", at(24), at(60), "no"),
                ("A", "2026-03-02", "late", at(60), at(96), "no"),
            ],
        ),
        "machine_states": ("machine_id start_at end_at state", unique(states, 0, 1)),
        "runs": ("run_id machine_id part_no start_at end_at good", runs),
        "stoppages": ("stop_id machine_id start_at end_at", stops),
        "piece_counts": ("machine_id counted_at cumulative", unique(counts, 0, 1)),
        "allocations": (
            "person_key machine_or_group start_at end_at role basis",
            unique(board, 0, 1, 2),
        ),
        "staffing_rules": (
            "rule_id area max_machines_per_person watching_allowed valid_from",
            [("s1", "A", "1", "yes", "2026-01-01")],
        ),
        "unattended_permissions": (
            "permission_id machine_id max_duration_min valid_from",
            [("u1", "M1", records["longest"], "2026-01-01")],
        ),
    }
    return {
        name: TextTable(tuple(header.split()), tuple(rows))
        for name, (header, rows) in found.items()
    }


def derived(tables):
    """The three large tables, each as rows in order."""
    timeline = timeline_of(tables, period=PERIOD)
    names = ("running_states", "attendance_spans", "running_clock")
    timeline.require(names)
    con = timeline.store.con
    return {name: con.execute(f"select * from {name} order by all").fetchall() for name in names}


def by_machine(rows):
    found = {}
    for row in rows:
        found.setdefault(row[0], []).append(row)
    return found


@settings(max_examples=12, deadline=None)
@given(RECORDS, st.integers(0, 2**32))
def test_the_timeline_of_any_records(records, seed):
    tables = tables_of(records)
    found = derived(tables)
    for name in ("running_states", "attendance_spans"):
        machines = by_machine(found[name])
        assert len(machines) == len(MACHINES)
        for rows in machines.values():
            assert (rows[0][1], rows[-1][2]) == (DAY, DAY + timedelta(days=1))
            assert all(row[1] < row[2] for row in rows)
            assert all(row[2] == later[1] for row, later in pairwise(rows))
            assert all(row[3:] != later[3:] for row, later in pairwise(rows))
    for rows in by_machine(found["running_clock"]).values():
        check_clock(rows)
    order = random.Random(seed)
    shuffled = {
        name: TextTable(table.header, tuple(order.sample(table.rows, len(table.rows))))
        for name, table in tables.items()
    }
    assert derived(shuffled) == found


def check_clock(rows):
    """Only forward, never faster than time, and every running second in exactly one class."""
    for row in rows:
        assert row[4] == sum(row[7:])
        assert not (row[2] and row[3])
    for row, later in pairwise(rows):
        passed = (later[1] - row[1]).total_seconds()
        assert later[4] - row[4] == (passed if row[2] else 0)
        assert later[5] - row[5] == (passed if row[3] else 0)
        assert all(after >= before for before, after in zip(row[7:], later[7:], strict=True))
    known = [row[6] for row in rows if row[6] is not None]
    assert known == sorted(known)
