"""Set-ups, tool changes, material changes and restarts, one for each stop."""

from tables import derive, pick

HALL = """
machines
| machine_id | area | process |
|------------|------|---------|
| M1         | A    | turning |
| M2         | A    | turning |

runs
| run_id | machine_id | part_no | start_at         | end_at           |
|--------|------------|---------|------------------|------------------|
| R1     | M1         | P1      | 2026-03-02 06:00 | 2026-03-02 14:00 |
"""


def table(name, header, *rows):
    line = "|" + "---|" * (header.count("|") + 1)
    return "\n".join(["", name, f"| {header} |", line, *(f"| {row} |" for row in rows), ""])


def setups(*rows):
    return table("setups", "setup_id | machine_id | to_part | start_at | end_at", *rows)


def stoppages(*rows):
    return table("stoppages", "stop_id | machine_id | start_at | end_at | reason", *rows)


def process_events(*rows):
    return table("process_events", "event_id | machine_id | happened_at | kind", *rows)


def material_uses(*rows):
    return table("material_uses", "machine_id | lot_no | start_at | booked_how", *rows)


def rules(*rows):
    return table(
        "staffing_rules", "rule_id | area | attended_events | valid_from | valid_to", *rows
    )


def events(*text, columns=("kind", "event_ref"), **criteria):
    return pick(derive("hands_on_events", HALL + "".join(text), **criteria), *columns)


STOP = stoppages("s1 | M1 | 2026-03-02 08:00 | 2026-03-02 09:00 | bar loading")


def test_the_first_kind_in_the_order_stands_for_the_stop():
    inside = process_events(
        "e1 | M1 | 2026-03-02 08:10 | material-change", "e2 | M1 | 2026-03-02 08:20 | tool-change"
    )
    assert events(STOP) == [("restart", "s1")]
    assert events(STOP, inside) == [("tool-change", "e2")]
    set_up = setups("S1 | M1 | P1 | 2026-03-02 08:30 | 2026-03-02 08:50")
    assert events(STOP, inside, set_up) == [("set-up", "S1")]


def test_of_one_kind_in_one_stop_the_earlier_is_left():
    twice = process_events(
        "e1 | M1 | 2026-03-02 08:40 | tool-change", "e2 | M1 | 2026-03-02 08:20 | tool-change"
    )
    assert events(STOP, twice) == [("tool-change", "e2")]


def test_what_lies_in_another_stop_or_at_another_machine_stays():
    others = process_events(
        "e1 | M1 | 2026-03-02 10:00 | tool-change", "e2 | M2 | 2026-03-02 08:20 | tool-change"
    )
    assert events(STOP, others) == [
        ("restart", "s1"),
        ("tool-change", "e1"),
        ("tool-change", "e2"),
    ]


def test_a_kind_that_the_rule_lists_goes_before_one_that_it_does_not():
    set_up = setups("S1 | M1 | P1 | 2026-03-02 08:30 | 2026-03-02 08:50")
    listed = rules("r1 | A | restart | 2026-01-01 | ")
    found = events(STOP, set_up, listed, columns=("kind", "is_asked"))
    assert found == [("restart", True)]
    found = events(set_up, listed, columns=("kind", "is_asked"))
    assert found == [("set-up", False)]


def test_a_rule_that_was_over_asks_for_nothing_and_all_four_count():
    over = rules("r1 | A | restart | 2026-01-01 | 2026-03-01")
    last_day = rules("r1 | A | restart | 2026-01-01 | 2026-03-02")
    set_up = setups("S1 | M1 | P1 | 2026-03-02 08:30 | 2026-03-02 08:50")
    assert events(set_up, over, columns=("is_asked",)) == [(True,)]
    assert events(set_up, last_day, columns=("is_asked",)) == [(False,)]


def test_a_machine_without_runs_restarts_after_its_own_stops():
    stops = stoppages(
        "s1 | M2 | 2026-03-02 08:00 | 2026-03-02 08:29 | bar loading",
        "s2 | M2 | 2026-03-02 09:00 | 2026-03-02 09:30 | bar loading",
        "s3 | M2 | 2026-03-02 10:00 | 2026-03-02 10:01 | tool",
    )
    assert events(stops) == [("restart", "s2"), ("restart", "s3")]
    assert events(stops, restart_threshold_min=60) == [("restart", "s3")]


def test_the_first_lot_and_the_same_lot_again_are_no_change():
    uses = material_uses(
        "M1 | L1 | 2026-03-02 06:00 | scan",
        "M1 | L1 | 2026-03-02 08:00 | scan",
        "M1 | L2 | 2026-03-02 10:00 | scan",
    )
    assert events(uses) == [("material-change", "L2/2026-03-02T10:00Z")]


def test_recorded_changes_of_material_go_before_bookings_of_lots():
    uses = material_uses("M1 | L1 | 2026-03-02 06:00 | scan", "M1 | L2 | 2026-03-02 10:00 | scan")
    recorded = process_events("e1 | M1 | 2026-03-02 09:58 | material-change")
    assert events(uses, recorded) == [("material-change", "e1")]


BOOKED_LATE = material_uses(
    "M1 | L1 | 2026-03-02 06:00 | back-flush", "M1 | L2 | 2026-03-02 13:00 | back-flush"
)


def test_two_stops_for_material_locate_nothing():
    where = ("is_located", "from_at", "to_at")
    one = "s1 | M1 | 2026-03-02 08:00 | 2026-03-02 08:10 | material-out"
    other = "s2 | M1 | 2026-03-02 11:00 | 2026-03-02 11:10 | material-out"
    assert events(BOOKED_LATE, stoppages(one), columns=where) == [
        (True, "2026-03-02 08:00", "2026-03-02 08:10")
    ]
    assert events(BOOKED_LATE, stoppages(one, other), columns=where) == [
        (False, "2026-03-02 13:00", "2026-03-02 13:00")
    ]


def test_a_stop_for_material_goes_before_other_standstills():
    stops = stoppages(
        "s1 | M1 | 2026-03-02 08:00 | 2026-03-02 08:10 | jam",
        "s2 | M1 | 2026-03-02 11:00 | 2026-03-02 11:10 | material-change",
    )
    assert events(BOOKED_LATE, stops, columns=("from_at",)) == [("2026-03-02 11:00",)]
