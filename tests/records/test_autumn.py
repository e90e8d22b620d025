"""The hour that occurs twice: what neighbours and the row itself decide, and what stays open."""

import datetime as dt
from functools import partial
from itertools import product

import pytest

from witnessmark.records.autumn import Twice, both_readings, choose_by_neighbours, choose_by_range
from witnessmark.records.zones import Transition

moment = partial(dt.datetime, tzinfo=None)
CHANGE = [Transition(moment(2026, 10, 25, 1), 120, 60)]
HEAD = "machine_id,start_at,end_at,state\n"


def at(clock):
    return moment(2026, 10, 25, int(clock[:2]), int(clock[3:]))


def choices(clocks, before=None, after=None):
    rows = [Twice(place, at(clock), before, after) for place, clock in enumerate(clocks)]
    return choose_by_neighbours(rows, CHANGE)


def test_both_readings_are_an_hour_apart():
    assert both_readings(at("02:30"), CHANGE) == (at("00:30"), at("01:30"))
    with pytest.raises(ValueError, match="2026"):
        both_readings(at("03:00"), CHANGE)


def test_a_time_that_runs_back_shows_where_the_clock_was_put_back():
    assert choices(["02:10", "02:40", "02:05", "02:50"]) == {
        0: at("00:10"),
        1: at("00:40"),
        2: at("01:05"),
        3: at("01:50"),
    }


def test_times_that_only_rise_stay_open():
    assert choices(["02:10", "02:40"], at("23:00"), at("02:30")) == {}


def test_a_certain_time_before_or_behind_decides():
    assert choices(["02:10", "02:40"], before=at("01:00")) == {0: at("01:10"), 1: at("01:40")}
    assert choices(["02:10", "02:40"], after=at("00:45")) == {0: at("00:10"), 1: at("00:40")}
    assert choices(["02:10", "02:40"], before=at("00:20")) == {0: at("01:10"), 1: at("01:40")}


def test_times_that_fit_no_reading_stay_open():
    assert choices(["02:40", "02:10", "02:40", "02:10"]) == {}


@pytest.mark.parametrize("clocks", list(product(["02:00", "02:20", "02:50"], repeat=3)))
def test_choices_equal_a_search_over_all_readings(clocks):
    readings = [both_readings(at(clock), CHANGE) for clock in clocks]
    rising = [times for times in product(*readings) if list(times) == sorted(times)]
    certain = {
        place: rising[0][place]
        for place in range(len(clocks))
        if rising and len({times[place] for times in rising}) == 1
    }
    assert choices(clocks) == certain


def test_the_other_end_of_the_row_decides():
    early, late = (at("00:30"), at("01:30")), (at("00:10"), at("01:10"))
    assert choose_by_range(early, late) == (at("00:30"), at("01:10"))
    assert choose_by_range((at("00:10"), at("01:10")), (at("00:30"), at("01:30"))) == (None, None)
    assert choose_by_range((at("01:00"),), late) == (at("01:00"), at("01:10"))


def states(exports, *rows):
    exports.file("machine_states.csv", HEAD + "".join(f"{row}\n" for row in rows))
    return exports.query(
        "select strftime(start_at, '%H:%M'), start_at_offset_min, start_at_quality "
        "from machine_states order by source_row"
    )


def test_neighbours_in_the_file_decide(exports):
    assert states(
        exports,
        "M1,2026-10-25 01:30,,running",
        "M1,2026-10-25 02:30,,stopped",
        "M1,2026-10-25 02:10:05,,running",
        "M1,2026-10-25 03:10,,stopped",
    ) == [("23:30", 120, "min"), ("00:30", 120, "min"), ("01:10", 60, "s"), ("02:10", 60, "min")]


def test_a_file_that_is_sorted_machine_by_machine_decides_too(exports):
    assert states(
        exports,
        "M1,2026-10-25T02:30+02:00,,running",
        "M1,2026-10-25 02:20,,stopped",
        "M2,2026-10-24 01:00,,running",
        "M2,2026-10-25 02:20,,running",
    ) == [
        ("00:30", 120, "min"),
        ("01:20", 60, "min"),
        ("23:00", 120, "min"),
        (None, None, "ambiguous"),
    ]


def test_a_file_without_order_decides_nothing(exports):
    assert states(
        exports,
        "M1,2026-10-25 04:30,,running",
        "M1,2026-10-25T02:30+01:00,,running",
        "M1,2026-10-25 02:50,,stopped",
    )[2] == (None, None, "ambiguous")


def test_an_end_before_its_start_decides(exports):
    assert states(exports, "M1,2026-10-25 02:50,2026-10-25 02:10,running") == [
        ("00:50", 120, "min")
    ]
    assert exports.query("select strftime(end_at, '%H:%M') from machine_states") == [("01:10",)]
