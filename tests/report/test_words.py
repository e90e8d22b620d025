"""How numbers and spans are written."""

from datetime import UTC, date, datetime

import pytest

from witnessmark.report import words


@pytest.mark.parametrize(
    ("value", "written"),
    [
        (None, "\u2013"),
        (0.0, "0 %"),
        (0.19, "19 %"),
        (0.0403, "4.0 %"),
        (0.00025, "0.025 %"),
        (0.000001, "under 0.001 %"),
        (1.0, "100 %"),
        (0.996, "99.6 %"),
        (0.9999, "over 99.9 %"),
    ],
)
def test_a_share_is_never_rounded_to_nothing_or_everything(value, written):
    assert words.share(value) == written


@pytest.mark.parametrize(
    ("seconds", "written"),
    [(0, "0 min"), (45, "45 s"), (7920, "2 h 12 min"), (7200, "2 h"), (-300, "\u22125 min")],
)
def test_a_span_is_said_in_hours_and_minutes(seconds, written):
    assert words.span(seconds) == written


def test_bounds_are_a_dash_where_there_are_none():
    assert words.bounds(None, 0.5) == words.DASH
    assert words.bounds(0.000002, 0.00038) == "0\u20130.038 %"
    assert words.bounds(0.149, 0.237) == "15\u201324 %"


def test_counts_are_grouped_and_nouns_agree():
    assert words.x_of_n(12, 48211) == "12 of 48\u202f211"
    assert words.plural(1, "lot") == "1 lot"
    assert words.plural(2, "lot") == "2 lots"
    assert words.listed(["a", "b", "c"]) == "a, b and c"


def test_a_moment_is_told_in_the_plants_zone():
    instant = datetime(2026, 5, 12, 20, 6, tzinfo=UTC)
    assert words.moment(instant, "Europe/Berlin") == "Tue 12 May 2026, 22:06"
    assert words.day(date(2026, 5, 3)) == "Sun 3 May 2026"
