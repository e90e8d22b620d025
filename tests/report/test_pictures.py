"""The pictures: what is drawn, that it can be read aloud, in greyscale, and again tomorrow."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from xml.etree import ElementTree as ET

import pytest

from witnessmark.report.figures import (
    Bin,
    ForestPlot,
    ForestRow,
    Interval,
    IntervalGroup,
    IntervalPlot,
    RibbonDay,
    StatusStrip,
    StripDay,
    TraceNode,
)
from witnessmark.report.pictures import (
    day_ribbon,
    forest_plot,
    interval_plot,
    status_strip,
    svg,
    trace_tree,
)

SVG = "{http://www.w3.org/2000/svg}"
DRAWN = {
    "ribbon": day_ribbon.draw,
    "strip": status_strip.draw,
    "intervals": interval_plot.draw,
    "trace": trace_tree.draw,
    "forest": forest_plot.draw,
}


def parsed(markup):
    return ET.fromstring(markup)  # noqa: S314 - markup of our own making


def texts(markup):
    return [element.text or "" for element in parsed(markup).iter(f"{SVG}text")]


def circles(markup, fill):
    return [one for one in parsed(markup).iter(f"{SVG}circle") if one.get("fill") == fill]


@pytest.mark.parametrize("name", DRAWN)
def test_a_picture_is_sound_xml_with_a_title_and_a_description(name, request):
    figure = request.getfixturevalue(name)
    root = parsed(DRAWN[name](figure))
    title, description = root[0], root[1]
    assert root.get("role") == "img"
    assert title.tag == f"{SVG}title"
    assert title.text
    assert description.text == figure.caption
    assert root.get("aria-labelledby") == f"{title.get('id')} {description.get('id')}"


@pytest.mark.parametrize("name", DRAWN)
def test_the_same_figure_gives_the_same_picture(name, request):
    figure = request.getfixturevalue(name)
    assert DRAWN[name](figure) == DRAWN[name](figure)


@pytest.mark.parametrize("name", DRAWN)
def test_every_pattern_that_is_used_is_defined(name, request):
    markup = DRAWN[name](request.getfixturevalue(name))
    defined = {one.get("id") for one in parsed(markup).iter(f"{SVG}pattern")}
    used = {
        one.get("fill")[5:-1]
        for one in parsed(markup).iter()
        if (one.get("fill") or "").startswith("url(#")
    }
    assert used == defined


def test_text_of_the_records_never_becomes_markup(ribbon):
    markup = day_ribbon.draw(
        replace(ribbon, machine='<script>alert("x")</script>', caption="a & b < c")
    )
    assert "<script" not in markup
    assert parsed(markup)[1].text == "a & b < c"


def test_attendance_classes_and_bin_states_differ_in_more_than_colour():
    for fills in (
        [fill for _, fill in day_ribbon.CLASSES.values()],
        list(day_ribbon.BINS.values()),
    ):
        plain = [fill for fill in fills if fill not in svg.PATTERNS]
        assert len(set(fills)) == len(fills)
        assert len(plain) <= 1


@pytest.mark.parametrize(
    ("start", "hours", "changes"),
    [
        (datetime(2026, 3, 28, 5, tzinfo=UTC), 23, 1),
        (datetime(2026, 5, 12, 4, tzinfo=UTC), 24, 0),
        (datetime(2026, 10, 24, 4, tzinfo=UTC), 25, 1),
    ],
)
def test_a_day_is_drawn_as_long_as_it_was(start, hours, changes):
    figure = RibbonDay(
        machine="T01",
        day=start.date(),
        zone="Europe/Berlin",
        start_at=start,
        end_at=start + timedelta(hours=hours),
        caption="",
    )
    words = texts(day_ribbon.draw(figure))
    hour_labels = [word for word in words if ":" in word]
    assert len(hour_labels) == hours // 2 + 1
    assert hour_labels[0] == "06:00"
    assert words.count("\u21c5") == changes


def test_a_late_check_is_joined_to_the_time_it_was_due(ribbon):
    late = [mark for mark in ribbon.marks if mark.kind == "late"]
    on_time = replace(ribbon, marks=tuple(replace(mark, due_at=None) for mark in ribbon.marks))
    drawn, without = day_ribbon.draw(ribbon), day_ribbon.draw(on_time)
    lines = [list(parsed(one).iter(f"{SVG}line")) for one in (drawn, without)]
    assert len(lines[0]) - len(lines[1]) == len(late) == 1


def test_what_was_entered_later_wears_a_broken_ring(ribbon):
    def rings(figure):
        return [
            one
            for one in parsed(day_ribbon.draw(figure)).iter(f"{SVG}circle")
            if one.get("stroke-dasharray")
        ]

    marks = tuple(replace(mark, entered_later=False) for mark in ribbon.marks)
    later = sum(mark.entered_later for mark in ribbon.marks)
    assert len(rings(ribbon)) == later + 1  # one more in the key
    assert rings(replace(ribbon, marks=marks)) == []


def test_bins_that_overlap_stand_in_two_rows(ribbon):
    first = ribbon.bins[0]
    beside = Bin("L-X", first.from_at + timedelta(minutes=5), first.to_at, 10, None)
    one = parsed(day_ribbon.draw(ribbon)).get("viewBox").split()[-1]
    two = parsed(day_ribbon.draw(replace(ribbon, bins=(*ribbon.bins, beside)))).get("viewBox")
    assert float(two.split()[-1]) - float(one) == day_ribbon.BIN + 3


def test_an_empty_day_is_still_a_picture(ribbon):
    bare = RibbonDay(ribbon.machine, ribbon.day, ribbon.zone, ribbon.start_at, ribbon.end_at, "-")
    assert "bins" not in texts(day_ribbon.draw(bare))


def test_each_day_that_disagrees_is_ringed_once(strip):
    def rings(figure):
        return [
            one
            for one in parsed(status_strip.draw(figure)).iter(f"{SVG}rect")
            if one.get("rx") == "8"
        ]

    agreed = tuple(replace(one, recomputed=one.declared) for one in strip.days)
    assert len(rings(strip)) == sum(one.disagrees for one in strip.days) > 0
    assert rings(replace(strip, days=agreed)) == []


def test_no_data_is_not_drawn_as_green():
    assert len(set(status_strip.FILLS.values())) == len(status_strip.FILLS)
    day_without = StripDay(date(2026, 5, 4), None, None)
    markup = status_strip.draw(StatusStrip("A", "D", "", (day_without,), ""))
    assert not day_without.disagrees
    assert "no data" in texts(markup)
    assert "green" not in texts(markup)


def test_thirteen_weeks_of_days_are_set_in_two_lines():
    days = tuple(
        StripDay(date(2026, 3, 2) + timedelta(days=index), "green", "green") for index in range(91)
    )
    assert texts(status_strip.draw(StatusStrip("A", "D", "", days, ""))).count("declared") == 2


def test_every_gap_is_one_dot_and_exceptions_are_told_apart(intervals):
    markup = interval_plot.draw(intervals)
    exceptions = sum(group.exceptions for group in intervals.groups)
    everything = sum(len(group.intervals) for group in intervals.groups)
    assert len(circles(markup, svg.RUST)) == exceptions + 1  # one more in the key
    assert len(circles(markup, "none")) == everything - exceptions + 1
    assert "5 of 124" in texts(markup)


def test_more_than_two_thousand_gaps_become_columns():
    many = tuple(
        Interval(1000 + (index * 7919) % 6000, 7920, exception=False) for index in range(2001)
    )
    late = Interval(20000, 7920, exception=True)
    figure = IntervalPlot((IntervalGroup("attended", (*many, late)),), "")
    markup = interval_plot.draw(figure)
    assert list(parsed(markup).iter(f"{SVG}circle")) == []
    assert "number of gaps" in texts(markup)
    assert "1 of 2\u202f002" in texts(markup)


def test_several_limits_turn_the_axis_into_shares_of_the_limit():
    gaps = tuple(Interval(3600, limit, exception=False) for limit in (3600, 7200, 14400))
    words = texts(interval_plot.draw(IntervalPlot((IntervalGroup("attended", gaps),), "")))
    assert "the limit" in words
    assert "100 %" in words


def test_the_tree_shows_every_lot_and_marks_what_hangs_on_the_clocks(trace):
    markup = trace_tree.draw(trace)
    words = texts(markup)
    assert all(node.label in words for node in trace.nodes)
    assert len(list(parsed(markup).iter(f"{SVG}path"))) == len(trace.links)
    assert any(word.startswith("touches the window only") for word in words)
    assert any("2 more lots" in word for word in words)


def test_a_tree_without_bins_is_only_its_window(trace):
    window = TraceNode("w", 0, "window", "T07", "22:06")
    alone = replace(trace, nodes=(window,), links=(), left_out=0)
    assert "T07" in texts(trace_tree.draw(alone))


def test_a_rate_stands_where_its_axis_says():
    rows = (
        ForestRow("a", 0, 100, 0.0, 0.0, 0.036),
        ForestRow("b", 50, 100, 0.5, 0.398, 0.602),
        ForestRow("c", 100, 100, 1.0, 0.964, 1.0),
    )
    root = parsed(forest_plot.draw(ForestPlot(rows, "")))
    squares = [
        float(one.get("x")) + float(one.get("width")) / 2
        for one in root.iter(f"{SVG}rect")
        if one.get("fill") == svg.DEEP
    ]
    assert squares == [
        forest_plot.LEFT,
        (forest_plot.LEFT + forest_plot.RIGHT) / 2,
        forest_plot.RIGHT,
    ]


def test_a_test_without_an_assessed_unit_says_so_and_has_no_mark():
    markup = forest_plot.draw(ForestPlot((ForestRow("a", 0, 0, None, None, None),), ""))
    assert "none assessed" in texts(markup)
    assert [one for one in parsed(markup).iter(f"{SVG}rect") if one.get("fill") == svg.DEEP] == []


def test_a_picture_has_no_inline_style_and_its_attributes_say_how_large_it_may_grow(ribbon):
    root = parsed(day_ribbon.draw(ribbon))
    assert all(one.get("style") is None for one in root.iter())
    assert float(root.get("width")) > float(root.get("viewBox").split()[2])
