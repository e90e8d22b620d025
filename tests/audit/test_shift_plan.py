"""Shifts as the scope states them, true to daylight saving."""

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from witnessmark.audit.shift_plan import read_shifts

THREE = read_shifts(["early 05:30-13:30", "late 13:30 – 21:30", "night (21:30 to 5.30)"],
                    "Europe/Berlin")  # fmt: skip


def test_names_and_times_are_read():
    assert [shift.name for shift in THREE.shifts] == ["early", "late", "night"]
    named = read_shifts(["weekend", " "], "UTC")
    assert [(shift.name, shift.start) for shift in named.shifts] == [("weekend", None)]
    assert named.next_change(datetime(2026, 3, 24, tzinfo=UTC)) is None


def test_times_that_are_none_stay_a_name():
    assert read_shifts(["odd 29:70-31:00"], "UTC").shifts[0].name == "odd 29:70-31:00"


def test_the_shift_at_an_instant():
    assert THREE.shift_at(datetime(2026, 3, 24, 4, 29, tzinfo=UTC)) == "night"
    assert THREE.shift_at(datetime(2026, 3, 24, 4, 30, tzinfo=UTC)) == "early"
    assert THREE.shift_at(datetime(2026, 3, 24, 23, 0, tzinfo=UTC)) == "night"


def test_changes_over_the_night_that_loses_an_hour():
    # 2026-03-29 in Berlin: 02:00 becomes 03:00
    found = THREE.changes(
        datetime(2026, 3, 28, 20, 0, tzinfo=UTC), datetime(2026, 3, 29, 12, 0, tzinfo=UTC)
    )
    assert [(change.at.hour, change.at.minute, change.incoming) for change in found] == [
        (20, 30, "night"), (3, 30, "early"), (11, 30, "late"),
    ]  # fmt: skip
    assert found[1].outgoing == "night"


@given(st.datetimes(datetime(2026, 1, 1), datetime(2027, 1, 1), timezones=st.just(UTC)))  # noqa: DTZ001 - the strategy adds the zone
def test_three_shifts_cover_every_instant_and_the_next_change_is_near(now):
    assert THREE.shift_at(now) in {"early", "late", "night"}
    change = THREE.next_change(now)
    assert timedelta() <= change.at - now <= timedelta(hours=9)
    assert THREE.shift_at(change.at) == change.incoming
