"""Deadlines: profiles with their marks, calendar days, the plant's own file."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.audit.deadlines import due_dates, profiles, written_due
from witnessmark.errors import UnusableInputError

CLOSING = date(2026, 3, 25)
USABLE = [name for name, profile in profiles().items() if profile.steps]


def days(profile, grade):
    return {due.key: (due.on - CLOSING).days for due in due_dates(profile, grade, CLOSING)}


def test_the_rules_fifth_edition():
    # IATF Rules, 5th edition, 5.11 (secondary): 20, 60, 90 calendar days
    assert days("rules5", "major") == {"containment": 20, "action": 60, "accepted": 90}
    assert days("rules5", "minor") == {"action": 60, "accepted": 90}


def test_the_rules_sixth_edition_carry_their_doubt():
    # IATF Rules, 6th edition (memory): containment 15, action 60, acceptance 90
    found = {due.key: due for due in due_dates("rules6-unconfirmed", "major", CLOSING)}
    assert days("rules6-unconfirmed", "major") == {
        "containment": 15, "cause": 15, "action": 60, "accepted": 90,
    }  # fmt: skip
    assert found["cause"].mark == "unconfirmed: 15 or 60"
    assert {due.mark for key, due in found.items() if key != "cause"} == {"memory"}


def test_calendar_days_run_over_weekends_and_the_end_of_february():
    (first, *_) = due_dates("rules5", "major", date(2028, 2, 20))
    assert first.on == date(2028, 3, 11)  # 20 days, over 29 February 2028


def test_suspect_product_is_contained_at_once():
    (first, *_) = due_dates("rules5", "major", CLOSING, suspect_product=True)
    assert (first.on, first.mark) == (CLOSING, "at once")


@pytest.mark.parametrize("grade", ["none", "opportunity"])
def test_what_is_no_nonconformity_owes_nothing(grade):
    assert due_dates("default", grade, CLOSING, suspect_product=True) == ()


@pytest.mark.parametrize("profile", ["site", "unheard of"])
def test_a_profile_without_steps_says_which_there_are(profile):
    with pytest.raises(UnusableInputError, match="rules5"):
        due_dates(profile, "minor", CLOSING)


def test_the_plants_own_file_comes_first(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text(
        '[site]\ntitle = "Ours"\n[[site.steps]]\nkey = "all"\ngrades = ["minor"]\n'
        'text = "Everything"\ndays = 14\nmark = "QP-17"\n'
    )
    (due,) = due_dates("site", "minor", CLOSING, path=path)
    assert (due.on, due.mark) == (date(2026, 4, 8), "QP-17")
    assert due_dates("rules5", "minor", CLOSING, path=path)
    assert written_due((due,)) == {"Everything (QP-17)": "2026-04-08"}


def test_everything_that_is_wrong_in_a_file_is_said_at_once(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text(
        'plain = 3\n[site]\ntitle = "Ours"\n[[site.steps]]\nkey = "all"\ngrades = ["grave"]\n'
        'text = "Everything"\ndays = 14\n[other]\ntitle = "No steps"\n'
    )
    with pytest.raises(UnusableInputError) as error:
        profiles(path)
    assert len(error.value.faults) == 3


@given(
    st.sampled_from(USABLE),
    st.sampled_from(["minor", "major"]),
    st.dates(max_value=date(9000, 1, 1)),
)
def test_dates_move_with_the_closing_day_and_none_lies_before_it(profile, grade, day):
    dues = due_dates(profile, grade, day)
    later = due_dates(profile, grade, day + timedelta(days=3))
    assert [due.on + timedelta(days=3) for due in dues] == [due.on for due in later]
    assert all(due.on >= day for due in dues)
    assert [due.on for due in dues] == sorted(due.on for due in dues)
