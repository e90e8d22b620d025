"""Levels held and required on the days of an allocation."""

from datetime import date

from tables import derive, pick

MATRIX = """
machines
| machine_id | area | process |
|------------|------|---------|
| M1         | A    | turning |

required_qualifications
| process | role     | valid_from | level |
|---------|----------|------------|-------|
| turning | operator | 2026-01-01 | 1     |
| turning | operator | 2026-03-03 | 2     |

qualifications
| person_key | process | valid_from | valid_to   | level |
|------------|---------|------------|------------|-------|
| p1         | turning | 2026-01-01 | 2026-03-04 | 1     |

allocations
| person_key | machine_or_group | start_at         | end_at           | role     | basis   |
|------------|------------------|------------------|------------------|----------|---------|
"""


def levels(*rows, zone="Europe/Berlin"):
    return derive("allocation_levels", MATRIX + "".join(rows), zone=zone)


def put(start, end, person="p1", place="M1", role="operator", basis="actual"):
    return f"| {person} | {place} | {start} | {end} | {role} | {basis} |\n"


def test_the_first_day_on_which_the_level_was_too_low():
    found = levels(put("2026-03-02 22:00", "2026-03-03 06:00"))
    assert pick(found, "held_level", "required_level", "is_required") == [(1, 2, True)]
    assert found[0]["lacking_on"] == date(2026, 3, 3)


def test_a_shift_that_ends_at_midnight_is_of_one_day():
    (row,) = levels(put("2026-03-02 16:00", "2026-03-03 00:00"))
    assert (row["lacking_on"], row["is_required"], row["is_listed"]) == (None, True, True)


def test_a_level_that_has_lapsed_is_none():
    (row,) = levels(put("2026-03-05 06:00", "2026-03-05 14:00"))
    assert (row["held_level"], row["required_level"]) == (None, 2)


def test_before_the_first_requirement_none_is_required_and_the_matrix_is_not_kept():
    (row,) = levels(put("2025-12-30 06:00", "2025-12-30 14:00"))
    assert (row["is_required"], row["is_kept"], row["lacking_on"]) == (False, False, None)


def test_trainees_are_asked_for_the_operators_level():
    (row,) = levels(put("2026-03-05 06:00", "2026-03-05 14:00", role="trainee"))
    assert row["required_level"] == 2


def test_a_plan_does_not_count_while_the_person_is_elsewhere_on_record():
    found = levels(
        put("2026-03-02 06:00", "2026-03-02 14:00", basis="planned"),
        put("2026-03-02 06:00", "2026-03-02 14:00", place="M7"),
    )
    assert pick(found, "place", "process", "is_required") == [("M7", None, False)]


def test_somebody_of_another_list_is_not_listed():
    (row,) = levels(put("2026-03-02 06:00", "2026-03-02 14:00", person="p9"))
    assert (row["is_listed"], row["lacking_on"]) == (False, date(2026, 3, 2))
