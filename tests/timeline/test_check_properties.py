"""What holds of the derived tables whatever the records: no rows, any order, full tiling."""

import random
from datetime import datetime, timedelta
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st
from tables import timeline_of

from witnessmark.records.memory import TextTable
from witnessmark.timeline.build import derived_tables

OWN = (
    "gauge_gaps",
    "due_lines",
    "starts",
    "clock_steps",
    "check_runs",
    "placed_checks",
    "check_gaps",
    "run_ends",
    "restarts",
    "suspect_triggers",
    "suspect_windows",
    "suspect_lots",
    "shift_changes",
    "vacant_places",
    "open_matters",
    "stop_answers",
)
DAY = datetime(2026, 3, 2, 6)  # noqa: DTZ001  # wall-clock time of the records
MINUTES = st.integers(0, 16 * 60)


def at(minute):
    return f"{DAY + timedelta(minutes=minute):%Y-%m-%d %H:%M}"


def contents(tables, names):
    timeline = timeline_of(tables)
    timeline.require(names)
    con = timeline.store.con
    return {name: sorted(map(repr, con.sql(f"from {name}").fetchall())) for name in names}


def test_empty_tables_give_empty_tables():
    assert set(OWN) <= set(derived_tables())
    assert contents({}, set(OWN)) == {name: [] for name in OWN}


def table(header, rows):
    return TextTable(tuple(header.split()), tuple(tuple(map(str, row)) for row in rows))


@st.composite
def machines(draw, name):
    """Rows per table of one machine: runs, stops, set-ups, checks, lots and holds."""
    edges = sorted(draw(st.sets(MINUTES, min_size=2, max_size=6)))
    spans = list(pairwise(edges))[::2]
    stops = draw(st.lists(st.tuples(MINUTES, st.integers(1, 90)), max_size=4))
    checks = draw(st.lists(st.tuples(MINUTES, st.sampled_from(["pass", "fail"])), max_size=8))
    lots = draw(st.lists(st.tuples(MINUTES, st.integers(1, 200)), max_size=4))
    releases = draw(st.lists(st.tuples(MINUTES, st.integers(0, 60)), max_size=2))
    return {
        "runs": [
            (f"R{name}{no}", name, draw(st.sampled_from("PQ")), at(start), at(end), 100)
            for no, (start, end) in enumerate(spans)
        ],
        "stoppages": [
            (f"S{name}{no}", name, at(start), at(start + length), "jam" if no % 2 else "")
            for no, (start, length) in enumerate(stops)
        ],
        "setups": [
            (f"U{name}{no}", name, "P", at(start), at(start + 10), at(start + 10 + wait))
            for no, (start, wait) in enumerate(releases)
        ],
        "checks": [
            (f"K{name}{no}", name, "PQ"[no % 2], "patrol", at(minute), result)
            for no, (minute, result) in enumerate(checks)
        ],
        "measurements": [
            (f"K{name}{no}", 1 + (no % 3 == 0), 1, "good") for no in range(len(checks))
        ],
        "lots": [
            (f"L{name}{no}", "P", name, 50, at(start), at(start + length))
            for no, (start, length) in enumerate(lots)
        ],
        "holds": [
            (f"H{name}{no}", name, 70, at(start + 30)) for no, (start, _) in enumerate(lots[:2])
        ],
    }


HEADERS = {
    "runs": "run_id machine_id part_no start_at end_at good",
    "stoppages": "stop_id machine_id start_at end_at reason",
    "setups": "setup_id machine_id to_part start_at end_at released_at",
    "checks": "check_id machine_id part_no kind done_at result",
    "measurements": "check_id line piece_no attribute",
    "lots": "lot_no part_no machine_id qty opened_at closed_at",
    "holds": "hold_id machine_id qty placed_at",
}
PLAN = table(
    "plan_no rev line part_no sample_n basis interval_min check_kinds valid_from",
    [
        ("C", "A", 1, "P", 1, "running-time", 60, "patrol;last-off", "2026-01-01"),
        ("C", "A", 2, "P", 1, "running-time", 120, "patrol", "2026-01-01"),
        ("D", "A", 1, "Q", 1, "running-time", 60, "patrol", "2026-01-01"),
    ],
)


@st.composite
def plants(draw):
    """Several machines at once: deriving is what takes the time."""
    drawn = [draw(machines(name)) for name in "ABCDEF"]
    return {"control_plan_lines": PLAN} | {
        name: table(header, [row for machine in drawn for row in machine[name]])
        for name, header in HEADERS.items()
    }


@settings(max_examples=3, deadline=None)
@given(plants())
def test_the_gaps_of_a_line_tile_its_run_and_sum_to_the_running_seconds(tables):
    timeline = timeline_of(tables)
    timeline.require({"check_gaps", "due_lines", "starts", "running_states", "merged_runs"})
    con = timeline.store.con
    # Each line's gaps: the last end is the run's, the sum of walls is the whole, and so is the
    # running time, counted anew from the states.
    rows = con.sql("""
        with gaps as (select *, unnest(line_ixs) as line_ix from check_gaps),
        lines as (
            select d.run_ix, d.line_ix, d.to_at,
                case when s.released_at > d.from_at then s.released_at else d.from_at end as from_at
            from due_lines as d left join starts as s using (run_ix)
        ),
        expected as (
            select l.run_ix, l.line_ix, date_diff('second', l.from_at, l.to_at) as wall,
                coalesce(sum(greatest(0, date_diff(
                    'second', greatest(l.from_at, r.from_at), least(l.to_at, r.to_at)
                ))), 0) as running
            from lines as l join merged_runs as m using (run_ix)
            left join running_states as r on r.machine_ix = m.machine_ix and r.state = 'running'
            where l.from_at < l.to_at
            group by all
        )
        select e.wall, e.running, sum(g.wall_s), sum(g.running_s), max(g.to_at) = max(m.end_at)
        from expected as e join merged_runs as m using (run_ix)
        left join gaps as g on g.run_ix = e.run_ix and g.line_ix = e.line_ix
        group by e.run_ix, e.line_ix, e.wall, e.running
    """).fetchall()
    for wall, running, gap_wall, gap_running, reaches_end in rows:
        assert (gap_wall, gap_running, reaches_end) == (wall, running, True)


@settings(max_examples=2, deadline=None)
@given(plants(), st.integers(0, 2**16))
def test_the_order_of_the_rows_changes_nothing(tables, seed):
    shuffler = random.Random(seed)
    # Numbers of rows follow their order, so the tables that show none of these are compared.
    names = {"check_gaps", "run_ends", "restarts", "suspect_windows", "suspect_lots"}
    shuffled = {
        name: TextTable(text.header, tuple(shuffler.sample(text.rows, len(text.rows))))
        for name, text in tables.items()
    }
    assert without_numbers(tables, names) == without_numbers(shuffled, names)


def without_numbers(tables, names):
    timeline = timeline_of(tables)
    timeline.require(names)
    con = timeline.store.con
    hidden = {"line_ix", "line_ixs", "check_ix", "closing_check_ix", "last_off_check_ix"}
    found = {}
    for name in names:
        shown = [column for column in con.sql(f"from {name}").columns if column not in hidden]
        picked = ", ".join(f'"{column}"' for column in shown)
        found[name] = sorted(map(repr, con.sql(f"select {picked} from {name}").fetchall()))
    return found
