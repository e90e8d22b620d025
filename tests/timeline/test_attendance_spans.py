"""Who attended a machine: the board, actual before planned, present and qualified."""

from staffing_board import at, board, pause, permission, put, spans, table, whole
from tables import derive, pick

# Step 0: nothing on the board.


def test_a_shift_without_any_row_for_the_area_is_not_assessable():
    text = board(put("p1", "M1", "14:00", "22:00"))
    assert spans(text) == whole("not-assessable")
    assert spans(text, "M1", period=("2026-03-02 14:00", "2026-03-02 22:00")) == [
        ("14:00", "22:00", "attended")
    ]


def test_one_row_for_any_machine_of_the_area_makes_the_whole_shift_assessable():
    text = board(put("p1", "M3", "06:00", "06:10"))
    assert spans(text) == whole("uncovered")
    assert spans(text, column="deciding_step") == whole("5 uncovered: nobody allocated")


def test_a_missing_row_on_the_board_comes_before_a_permission():
    assert spans(board() + permission()) == whole("not-assessable")


def test_an_area_without_shifts_goes_by_the_local_day():
    plant = """
machines
| machine_id | area | process |
|------------|------|---------|
| M1         | A    | turning |
"""
    rows = derive(
        "attendance_spans",
        plant + board(put("p1", "M1", "23:00", "23:30")),
        zone="Europe/Berlin",
        period=("2026-03-01 20:00", "2026-03-03 12:00"),
    )
    assert pick(rows, "from_at", "to_at", "class") == [
        ("2026-03-01 20:00", "2026-03-01 23:00", "not-assessable"),
        ("2026-03-01 23:00", "2026-03-02 22:00", "uncovered"),
        ("2026-03-02 22:00", "2026-03-02 22:30", "attended"),
        ("2026-03-02 22:30", "2026-03-02 23:00", "uncovered"),
        ("2026-03-02 23:00", "2026-03-03 12:00", "not-assessable"),
    ]


def test_a_machine_of_no_known_area_goes_by_any_row_of_that_day():
    text = """
machine_states
| machine_id | start_at         | end_at           | state   |
|------------|------------------|------------------|---------|
| M7         | 2026-03-02 06:00 | 2026-03-02 14:00 | running |
"""
    assert spans(text + board(put("p1", "elsewhere"))) == whole("not-assessable")
    assert spans(text + board(put("p1", "elsewhere")), "M7") == whole("uncovered")
    assert spans(text + board(), "M7") == whole("not-assessable")


# Step 1: actual before planned.


def test_a_planned_row_is_void_while_the_person_is_elsewhere():
    text = board(put("p1", "M1", basis="planned"), put("p1", "M3", "08:00", "10:00"))
    assert spans(text) == [
        ("06:00", "08:00", "attended"),
        ("08:00", "10:00", "uncovered"),
        ("10:00", "14:00", "attended"),
    ]
    assert spans(text, column="class_planned_only") == whole("attended")


def test_a_void_row_does_not_make_a_shift_assessable():
    text = board(
        put("p1", "M1", "14:00", "15:00", basis="planned"), put("p1", "elsewhere", "13:00", "22:00")
    )
    late = ("2026-03-02 14:00", "2026-03-02 22:00")
    assert spans(text, period=late) == [("14:00", "22:00", "not-assessable")]


def test_a_planned_row_stands_where_the_person_has_no_actual_one():
    text = board(put("p1", "M1", basis="planned"), put("p2", "M3"))
    assert spans(text) == whole("attended")


def test_had_only_the_plan_existed_what_was_done_does_not_count():
    text = board(put("p1", "M1"), put("p2", "M3", basis="planned"))
    assert spans(text) == whole("attended")
    assert spans(text, column="class_planned_only") == whole("uncovered")


def test_a_plan_that_names_nobody_in_the_shift_is_not_assessable():
    assert spans(board(put("p1", "M1")), column="class_planned_only") == whole("not-assessable")


# Step 2: present, not on a break, qualified.

STAY = "| person_key | in_at | out_at |"


def stay(start, end, person="p1"):
    return table("attendances", STAY, [f"| {person} | {at(start)} | {at(end)} |"])


def test_who_is_clocked_out_does_not_attend():
    assert spans(board(put("p1", "M1")) + stay("05:50", "12:00")) == [
        ("06:00", "12:00", "attended"),
        ("12:00", "14:00", "uncovered"),
    ]


def test_who_never_clocks_counts_as_present():
    assert spans(board(put("p1", "M1")) + stay("05:50", "12:00", "p2")) == whole("attended")


def test_a_stay_without_an_end_lasts_to_the_end_of_the_data():
    assert spans(board(put("p1", "M1")) + stay("08:00", "")) == [
        ("06:00", "08:00", "uncovered"),
        ("08:00", "14:00", "attended"),
    ]


WITH_PAUSE = [
    ("06:00", "09:00", "attended"),
    ("09:00", "09:30", "uncovered"),
    ("09:30", "14:00", "attended"),
]


def test_nobody_attends_in_a_break():
    text = board(put("p1", "M1")) + pause()
    assert spans(text) == WITH_PAUSE
    assert ("09:00", "09:30", "5 uncovered: allocated, not present or on a break") in spans(
        text, column="deciding_step"
    )


def test_a_relief_rule_or_somebody_who_relieves_attends_in_a_break():
    assert spans(board(put("p1", "M1")) + pause("by turns")) == whole("attended")
    relief = put("p2", "M1", "09:00", "09:30", "relief")
    assert spans(board(put("p1", "M1"), relief) + pause()) == whole("attended")


def skills(*rows, level=2):
    required = table(
        "required_qualifications",
        "| process | role | valid_from | level |",
        [f"| turning | operator | 2026-01-01 | {level} |"],
    )
    held = table("qualifications", "| person_key | process | valid_from | valid_to | level |", rows)
    return required + held


def test_the_level_counts_as_of_the_day_and_its_last_day_included():
    one = board(put("p1", "M1"))
    assert spans(one + skills("| p1 | turning | 2026-01-01 | 2026-03-02 | 2 |")) == whole(
        "attended"
    )
    lapsed = one + skills("| p1 | turning | 2026-01-01 | 2026-03-01 | 2 |")
    assert spans(lapsed) == whole("uncovered")
    assert spans(lapsed, column="deciding_step") == whole("5 uncovered: present, not qualified")
    assert spans(lapsed, column="class_without_qualification") == whole("attended")


def test_a_level_below_the_required_one_is_not_enough():
    assert spans(board(put("p1", "M1")) + skills("| p1 | turning | 2026-01-01 | | 1 |")) == whole(
        "uncovered"
    )


def test_the_latest_version_of_a_level_wins():
    rows = ("| p1 | turning | 2026-01-01 | | 3 |", "| p1 | turning | 2026-02-01 | | 1 |")
    assert spans(board(put("p1", "M1")) + skills(*rows)) == whole("uncovered")


def test_nothing_required_or_no_level_on_record_at_all_asks_for_none():
    other_role = board(put("p1", "M1", role="setter"))
    assert spans(other_role + skills("| p9 | turning | 2026-01-01 | | 3 |")) == whole("attended")
    assert spans(board(put("p1", "M1")) + skills()) == whole("attended")
    other_process = board(put("p1", "M3"))
    assert spans(other_process + skills("| p9 | turning | 2026-01-01 | | 3 |"), "M3") == whole(
        "attended"
    )


def test_a_lapse_at_midnight_cuts_a_night_in_two():
    text = board(("p1", "M1", "14:00", "", "operator", "actual")).replace(
        "| 2026-03-02 14:00 |  |", "| 2026-03-02 20:00 | 2026-03-03 04:00 |"
    ) + skills("| p1 | turning | 2026-01-01 | 2026-03-02 | 2 |")
    night = ("2026-03-02 20:00", "2026-03-03 04:00")
    assert spans(text, period=night) == [
        ("20:00", "00:00", "attended"),
        ("00:00", "04:00", "uncovered"),
    ]


def test_a_trainee_never_attends_and_a_trainer_beside_them_does():
    trainee = put("p2", "M1", role="trainee")
    assert spans(board(trainee)) == whole("uncovered")
    assert spans(board(trainee, put("p1", "M1", "08:00", "10:00"))) == [
        ("06:00", "08:00", "uncovered"),
        ("08:00", "10:00", "attended"),
        ("10:00", "14:00", "uncovered"),
    ]


def test_setters_and_leaders_attend():
    text = board(put("p1", "M1", role="setter"), put("p2", "M2", role="leader"))
    assert (spans(text), spans(text, "M2")) == (whole("attended"), whole("attended"))
