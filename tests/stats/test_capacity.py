"""Required against staffed hours: the worked example and the mistakes that are refused or said."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.stats.capacity import DemandLine, DemonstratedRate, capacity

RATE = DemonstratedRate(0.62, "good", "all days worked")
LINE = DemandLine("A", 340_000, 12 * 60)


def balance(lines=(LINE,), rate=RATE, **more):
    given_ = {"machine_hours": 6 * 15 * 7.5, "shift_hours": 7.5, "demand_counts": "good"}
    return capacity(list(lines), rate, **(given_ | more))


def test_the_worked_example():
    """Hand calculation: 6 machines x 15 shifts x 450 min x 12/min x 0.62 against 340 k a week."""
    found = balance()
    assert found.possible == pytest.approx(6 * 15 * 450 * 12 * 0.62)
    assert round(found.possible, -3) == 301_000
    assert found.machine.required == pytest.approx(340_000 / (720 * 0.62))
    assert round(found.machine.short) == 87
    assert round(found.machine.short_shifts, 1) == 11.6
    assert found.fits is False
    assert "87 short (11.6 shifts of one machine)" in found.sentence


def test_setups_and_maintenance_take_hours_from_running():
    found = balance([replace(LINE, setups=10, setup_hours=2)], maintenance_hours=5)
    assert found.machine.required == pytest.approx(340_000 / (720 * 0.62) + 25)
    assert found.possible == pytest.approx((675 - 25) * 720 * 0.62)


def test_people_hours_may_lack_where_machine_hours_do_not():
    found = balance([replace(LINE, quantity=200_000)], people_hours=100, people_per_machine=1 / 3)
    assert found.machine.short == 0
    assert found.people.required == pytest.approx(found.machine.required / 3)
    assert found.people.short == pytest.approx(found.people.required - 100)
    assert found.fits is False
    assert "people hours are required and 100 staffed" in found.sentence


def test_machine_hours_alone_do_not_say_that_it_fits():
    found = balance([replace(LINE, quantity=200_000)])
    assert found.fits is None
    assert "People hours were not given" in found.sentence
    assert balance([replace(LINE, quantity=200_000)], people_hours=900).fits is True


def test_enough_hours_above_the_target_do_not_fit():
    found = balance([replace(LINE, quantity=290_000)], people_hours=1000)
    assert found.machine.short == 0
    assert found.fits is False
    assert "enough, but above the 85 % that is planned with" in found.sentence


def test_quality_loss_counted_twice_or_never_is_refused():
    with pytest.raises(ValueError, match="quality loss is counted twice"):
        balance(demand_counts="started")
    with pytest.raises(ValueError, match="quality loss is not counted at all"):
        balance(rate=replace(RATE, counts="started"))


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"rate": replace(RATE, days="weekdays only")}, "weekdays only"),
        ({"target": 1.0}, "planned up to 100 %"),
        ({}, "the mix is lost"),
        ({"lines": [LINE, replace(LINE, part="B")]}, "One rate holds for all 2 parts"),
        ({}, "No set-up is stated"),
    ],
)
def test_what_is_taken_for_granted_is_said(more, said):
    assert any(said in text for text in balance(**more).assumptions)


def test_nothing_asked_for_and_nothing_staffed():
    none = balance([])
    assert (none.machine.required, none.machine.short, none.possible) == (0, 0, None)
    idle = balance(machine_hours=0)
    assert idle.machine.use is None
    assert idle.possible == 0
    assert idle.machine.short == idle.machine.required


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ({"rate": replace(RATE, oee=1.04)}, "oee = 1.04.*above 1 the ideal rate is wrong"),
        ({"rate": replace(RATE, oee=math.nan)}, "oee = nan"),
        ({"lines": [replace(LINE, quantity=-1)]}, "A: quantity = -1"),
        ({"lines": [replace(LINE, ideal_per_hour=0)]}, "A: ideal_per_hour = 0"),
        ({"lines": [replace(LINE, setups=math.inf)]}, "A: setups = inf"),
        ({"machine_hours": -1}, "machine_hours = -1"),
        ({"people_hours": math.nan}, "people_hours = nan"),
        ({"people_hours": 10, "people_per_machine": 0}, "people_per_machine = 0"),
        ({"maintenance_hours": -2}, "maintenance_hours = -2"),
        ({"shift_hours": 0}, "shift_hours = 0"),
        ({"target": 0}, "target = 0"),
    ],
)
def test_refusals(more, message):
    with pytest.raises(ValueError, match=message):
        balance(**more)


@given(st.floats(1, 1e6), st.floats(0.05, 1), st.floats(0, 5000))
def test_short_hours_and_possible_pieces_tell_the_same(quantity, oee, hours):
    found = balance([replace(LINE, quantity=quantity)], replace(RATE, oee=oee), machine_hours=hours)
    assert found.machine.short >= 0
    assert (found.machine.short > 1e-6) == (found.possible < quantity - 1e-6 * 720 * oee)
    worse = balance(
        [replace(LINE, quantity=quantity)], replace(RATE, oee=oee / 2), machine_hours=hours
    )
    assert worse.machine.required == pytest.approx(2 * found.machine.required)


def test_order_of_the_lines_does_not_matter():
    lines = [LINE, DemandLine("B", 1234, 90, 2, 1.5), DemandLine("C", 999, 7, 1, 0.25)]
    assert balance(lines).machine == balance(lines[::-1]).machine
