"""Conditions of a written permission against what the records show of an unattended interval."""

import pytest
from tables import derive

NIGHT = """
machines
| machine_id | area | process | auto_stop |
|------------|------|---------|-----------|
| M1         | A    | turning | no        |
| M2         | A    | turning | yes       |

shift_instances
| area | production_date | shift | start_at         | end_at           | overtime |
|------|-----------------|-------|------------------|------------------|----------|
| A    | 2026-03-02      | night | 2026-03-02 22:00 | 2026-03-03 06:00 | no       |

runs
| run_id | machine_id | part_no | start_at         | end_at           |
|--------|------------|---------|------------------|------------------|
| R2     | M2         | P1      | 2026-03-02 22:00 | 2026-03-03 04:00 |

allocations
| person_key | machine_or_group | start_at         | end_at           | role     | basis  |
|------------|------------------|------------------|------------------|----------|--------|
| p1         | M1               | 2026-03-02 22:00 | 2026-03-03 06:00 | operator | actual |
"""
NAMES = (
    "is_short_enough",
    "stops_itself",
    "is_kept_apart",
    "is_without_special",
    "is_watched",
    "is_understood",
)


def permission(conditions="", longest="", part=""):
    return (
        "\nunattended_permissions\n"
        "| permission_id | machine_id | part_no | valid_from | max_duration_min | conditions |\n"
        "|---------------|------------|---------|------------|------------------|------------|\n"
        f"| W1 | M2 | {part} | 2026-01-01 | {longest} | {conditions} |\n"
    )


def fit(*text):
    found = derive("permission_fits", NIGHT + "".join(text))
    return {name: row[name] for row in found for name in NAMES if row[name] is not True}


def watch(start, end):
    return f"| p1 | M2 | {start} | {end} | watcher | actual |\n"


def lot(closed, moved):
    return (
        "\nlots\n"
        "| lot_no | part_no | machine_id | qty | opened_at | closed_at | moved_at |\n"
        "|--------|---------|------------|-----|-----------|-----------|----------|\n"
        f"| L1 | P1 | M2 | 9 | 2026-03-02 20:00 | {closed} | {moved} |\n"
    )


def check(kind, done, result):
    return (
        "\nchecks\n"
        "| check_id | machine_id | part_no | kind | done_at | result |\n"
        "|----------|------------|---------|------|---------|--------|\n"
        f"| c1 | M2 | P1 | {kind} | {done} | {result} |\n"
    )


def test_nothing_written_is_met():
    assert fit(permission()) == {}
    assert len(derive("permission_fits", NIGHT + permission())) == 1


def test_a_permission_for_another_part_is_no_row():
    assert derive("permission_fits", NIGHT + permission(part="P7")) == []


@pytest.mark.parametrize(("longest", "unmet"), [("360", {}), ("359", {"is_short_enough": False})])
def test_the_longest_time(longest, unmet):
    assert fit(permission(longest=longest)) == unmet


@pytest.mark.parametrize(("result", "expected"), [("pass", {}), ("fail", {"stops_itself": False})])
def test_the_last_challenge_before_decides(result, expected):
    done = check("challenge", "2026-03-02 21:00", result)
    later = "| c2 | M2 | P1 | challenge | 2026-03-03 03:00 | fail |\n"
    assert fit(permission("auto-stop"), done, later) == expected


def test_a_challenge_that_is_not_on_record_is_not_known():
    assert fit(permission("auto-stop")) == {"stops_itself": None}


@pytest.mark.parametrize(
    ("moved", "expected"),
    [("2026-03-03 05:00", {}), ("2026-03-03 04:59", {"is_kept_apart": False})],
)
def test_a_lot_that_is_still_filled_waits_for_a_check_after_the_interval(moved, expected):
    done = check("patrol", "2026-03-03 05:00", "pass")
    assert fit(permission("segregated-output"), lot("", moved), done) == expected


def test_a_lot_closed_before_the_interval_is_not_of_it():
    closed = lot("2026-03-02 22:00", "2026-03-02 22:05")
    assert fit(permission("segregated-output"), closed) == {"is_kept_apart": None}


def test_data_that_never_say_when_a_lot_moved_do_not_show_it():
    assert fit(permission("segregated-output"), lot("", "")) == {"is_kept_apart": None}


def test_two_watchers_may_take_turns_and_a_minute_between_them_counts():
    first = watch("2026-03-02 22:00", "2026-03-03 01:00")
    asked = permission("named-watcher")
    assert fit(first, watch("2026-03-03 01:00", "2026-03-03 04:00"), asked) == {}
    late = watch("2026-03-03 01:01", "2026-03-03 04:00")
    assert fit(first, late, asked) == {"is_watched": False}


def test_an_unknown_word_is_not_understood():
    assert fit(permission("auto-stop-maybe")) == {"is_understood": None}
