"""Groups, watchers and permissions: who answers for a machine that has nobody of its own."""

from staffing_board import (
    EARLY,
    PLANT,
    at,
    board,
    pause,
    permission,
    put,
    rule,
    spans,
    table,
    whole,
)
from tables import derive

# Step 2 for groups and areas.


def test_a_group_without_a_number_is_attended_and_the_step_says_so():
    text = board(put("p1", "G1"))
    assert spans(text) == whole("attended")
    assert spans(text, column="deciding_step") == whole("2 attended: group, no number documented")
    assert spans(text, "M3") == whole("uncovered")


def test_an_area_is_a_group_of_its_machines():
    assert spans(board(put("p1", "A")), "M3") == whole("attended")


def test_more_running_machines_than_the_people_may_have_leave_the_group_uncovered():
    one = board(put("p1", "G1"))
    assert spans(one + rule(number=2)) == whole("attended")
    assert spans(one + rule(number=1)) == whole("uncovered")
    assert spans(one + rule(number=1), column="deciding_step") == whole(
        "5 uncovered: more machines running than the group may have"
    )


def test_another_person_or_a_machine_that_stops_is_enough_again():
    text = rule(number=1)
    two = board(put("p1", "G1"), put("p2", "G1", "08:00", "10:00"))
    assert spans(two + text) == [
        ("06:00", "08:00", "uncovered"),
        ("08:00", "10:00", "attended"),
        ("10:00", "14:00", "uncovered"),
    ]
    stop = table(
        "stoppages",
        "| stop_id | machine_id | start_at | end_at |",
        [f"| x | M2 | {at('11:00')} | {at('12:00')} |"],
    )
    assert spans(board(put("p1", "G1")) + text + stop) == [
        ("06:00", "11:00", "uncovered"),
        ("11:00", "12:00", "attended"),
        ("12:00", "14:00", "uncovered"),
    ]


def test_a_person_who_stands_twice_on_the_board_is_one_person():
    twice = board(
        put("p1", "G1"), put("p1", "G1", "05:55", basis="planned"), put("p1", "G1", "07:00")
    )
    assert spans(twice + rule(number=1)) == whole("uncovered")


def test_a_machine_of_ones_own_is_attended_though_the_group_is_short():
    text = board(put("p1", "G1"), put("p2", "M1")) + rule(number=1)
    assert spans(text, "M2") == whole("uncovered")
    assert spans(text) == whole("attended")


# Step 3: watchers.


def test_golden_8_a_watcher_without_a_rule_covers_nothing():
    text = board(put("p1", "M1"), put("p1", "M2"), put("p1", "M3", role="watcher"))
    assert spans(text) == whole("attended")
    assert spans(text, "M3") == whole("uncovered")
    assert spans(text, "M3", "deciding_step") == whole("5 uncovered: no rule allows watching")


def test_a_watcher_covers_up_to_the_number_of_machines():
    text = board(
        put("p1", "M1"), put("p1", "M2", "06:00", "10:00"), put("p1", "M3", role="watcher")
    )
    assert spans(text + rule(watching="yes"), "M3") == whole("covered")
    assert spans(text + rule(3, "yes"), "M3") == whole("covered")
    assert spans(text + rule(2, "yes"), "M3") == [
        ("06:00", "10:00", "uncovered"),
        ("10:00", "14:00", "covered"),
    ]
    assert spans(text + rule(2, "yes"), "M3", "deciding_step")[0][2] == (
        "5 uncovered: watcher beyond the number of machines"
    )
    assert spans(text + rule(2, "no"), "M3") == whole("uncovered")
    assert spans(text + rule(3, "yes", since="2026-03-03"), "M3") == whole("uncovered")


def test_a_machine_owned_and_watched_counts_once():
    both = (put("p1", "M1"), put("p1", "M1", "05:55", role="watcher"))
    text = board(*both, put("p1", "M3", role="watcher"))
    assert spans(text + rule(2, "yes"), "M3") == whole("covered")


def test_of_a_group_a_watcher_owns_a_share():
    group = (put("p1", "G1"), put("p1", "M3", role="watcher"))
    assert spans(board(*group) + rule(2, "yes"), "M3") == whole("uncovered")
    assert spans(board(*group, put("p2", "G1")) + rule(2, "yes"), "M3") == whole("covered")


def test_a_watcher_on_a_break_covers_nothing():
    text = board(put("p1", "M1", role="watcher")) + rule(watching="yes") + pause()
    assert spans(text)[1] == ("09:00", "09:30", "uncovered")


# Step 4: permissions.

NOBODY = board(put("p1", "M3"))


def test_a_permission_authorises_what_is_not_attended():
    text = board(put("p1", "M1", "06:00", "10:00")) + permission()
    assert spans(text) == [("06:00", "10:00", "attended"), ("10:00", "14:00", "authorised")]
    assert spans(text, "M2") == whole("uncovered")


def test_a_permission_is_read_as_of_its_days_the_last_one_included():
    assert spans(NOBODY + permission(until="2026-03-02")) == whole("authorised")
    assert spans(NOBODY + permission(until="2026-03-01")) == whole("uncovered")
    assert spans(NOBODY + permission(since="2026-03-03")) == whole("uncovered")


def test_a_permission_holds_for_its_part_and_its_shifts():
    assert spans(NOBODY + permission(part="P1")) == whole("authorised")
    assert spans(NOBODY + permission(part="P2")) == whole("uncovered")
    assert spans(NOBODY + permission(shifts="night; early")) == whole("authorised")
    assert spans(NOBODY + permission(shifts="late")) == whole("uncovered")


def test_auto_stop_is_what_the_register_says():
    assert spans(NOBODY + permission(conditions="auto-stop")) == whole("authorised")
    without = PLANT.replace("| turning | yes", "| turning | no ")
    rows = derive(
        "attendance_spans", without + NOBODY + permission(conditions="auto-stop"), period=EARLY
    )
    assert rows[0]["class"] == "uncovered"
    assert rows[0]["deciding_step"] == "5 uncovered: a condition of the permission is not met"


def test_a_part_with_a_special_characteristic_is_not_for_such_a_permission():
    plan = table(
        "control_plan_lines",
        "| plan_no | rev | line | part_no | special_class | check_kinds | valid_from |",
        ["| C1 | 1 | 10 | P1 | S | patrol | 2026-01-01 |"],
    )
    bound = permission(conditions="no-special-characteristics")
    assert spans(NOBODY + bound) == whole("authorised")
    assert spans(NOBODY + bound + plan) == whole("uncovered")
    assert spans(NOBODY + bound + plan.replace("| S |", "|  |")) == whole("authorised")


def test_a_named_watcher_must_be_there_even_if_no_rule_lets_them_cover():
    text = board(put("p1", "M1", "06:00", "10:00", "watcher")) + permission(
        conditions="named-watcher"
    )
    assert spans(text) == [("06:00", "10:00", "authorised"), ("10:00", "14:00", "uncovered")]


def test_the_longest_permitted_time_counts_from_where_nobody_attended_any_more():
    text = board(put("p1", "M1", "07:00", "08:00"), put("p1", "M1", "11:00", "11:30"))
    assert spans(text + permission(longest=120)) == [
        ("06:00", "07:00", "authorised"),
        ("07:00", "08:00", "attended"),
        ("08:00", "10:00", "authorised"),
        ("10:00", "11:00", "uncovered"),
        ("11:00", "11:30", "attended"),
        ("11:30", "13:30", "authorised"),
        ("13:30", "14:00", "uncovered"),
    ]
    assert ("13:30", "14:00", "5 uncovered: longer than permitted") in spans(
        text + permission(longest=120), column="deciding_step"
    )


def test_a_stop_does_not_start_the_permitted_time_anew_and_another_run_does():
    stop = table(
        "stoppages",
        "| stop_id | machine_id | start_at | end_at |",
        [f"| x | M1 | {at('07:00')} | {at('07:05')} |"],
    )
    text = NOBODY + permission(longest=240) + stop
    assert spans(text) == [("06:00", "10:00", "authorised"), ("10:00", "14:00", "uncovered")]
    two_runs = table(
        "runs",
        "| run_id | machine_id | part_no | start_at | end_at |",
        [
            f"| a | M1 | P1 | {at('06:00')} | {at('11:00')} |",
            f"| b | M1 | P2 | {at('11:00')} | {at('14:00')} |",
        ],
    )
    assert spans(text + two_runs) == [
        ("06:00", "10:00", "authorised"),
        ("10:00", "11:00", "uncovered"),
        ("11:00", "14:00", "authorised"),
    ]


def test_of_several_permissions_the_most_generous_serves():
    text = NOBODY + permission(longest=60).rstrip("\n") + "\n"
    text += "| u2 | M1 | | | 120 | | 2026-01-01 | |\n| u3 | M1 | P2 | | 600 | | 2026-01-01 | |\n"
    assert spans(text) == [("06:00", "08:00", "authorised"), ("08:00", "14:00", "uncovered")]
