"""A plant cut down to some weeks holds what an extract pulled at their end would hold."""

from datetime import UTC, date, datetime

from witnessmark.practice.answer_key import AnswerKey
from witnessmark.practice.clip import clipped
from witnessmark.practice.plant import PracticePlant


def plant_of(**tables):
    empty = {"checks": [], "measurements": [], "extracts": []}
    return PracticePlant(empty | tables, AnswerKey((), ()))


def at(day, hour=12):
    return datetime(2026, 10, day, hour, tzinfo=UTC)


def cut(**tables):
    return clipped(plant_of(**tables), date(2026, 10, 5), date(2026, 10, 11)).tables


def test_rows_of_other_weeks_are_not_in_it():
    counts = [{"counted_at": at(day)} for day in (4, 5, 11, 12)]
    assert [row["counted_at"].day for row in cut(piece_counts=counts)["piece_counts"]] == [5, 11]


def test_what_still_goes_on_has_no_end_or_ends_with_the_extract():
    row = {"start_at": at(11, 20), "end_at": at(12, 4)}
    tables = cut(runs=[row], machine_states=[row])
    assert tables["runs"] == [{"start_at": at(11, 20), "end_at": None}]
    assert tables["machine_states"][0]["end_at"] == at(11, 22)


def test_later_answers_are_empty_and_forecasts_stay():
    action = {"opened_at": at(6), "closed_at": at(20), "due_on": date(2026, 10, 30)}
    assert cut(actions=[action])["actions"] == [action | {"closed_at": None}]


def test_old_calibrations_stay_and_later_ones_are_not_there():
    done = [{"done_on": date(2025, 1, 7)}, {"done_on": date(2026, 10, 12)}]
    assert cut(calibrations=done)["calibrations"] == done[:1]


def test_measurements_follow_their_checks():
    checks = [{"check_id": "a", "done_at": at(6)}, {"check_id": "b", "done_at": at(20)}]
    values = [{"check_id": "a"}, {"check_id": "b"}]
    assert cut(checks=checks, measurements=values)["measurements"] == [{"check_id": "a"}]
