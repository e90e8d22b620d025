"""Made-up but realistic values of an invented plant, for pictures and pages."""

from datetime import UTC, date, datetime, timedelta

import pytest

from witnessmark.report.figures import (
    Bin,
    ForestPlot,
    ForestRow,
    Interval,
    IntervalGroup,
    IntervalPlot,
    Mark,
    RibbonDay,
    ShiftLine,
    StatusStrip,
    Stretch,
    StripDay,
    SuspectSpan,
    TraceNode,
    TraceTree,
)

ZONE = "Europe/Berlin"
START = datetime(2026, 5, 12, 3, 30, tzinfo=UTC)


def at(hours):
    """Hours after 05:30 of the day."""
    return START + timedelta(hours=hours)


def stretches(*pieces):
    """Stretches from (until, kind) pairs, the first beginning at 05:30."""
    begin, made = 0.0, []
    for until, kind in pieces:
        made.append(Stretch(at(begin), at(until), kind))
        begin = until
    return tuple(made)


@pytest.fixture
def ribbon():
    return RibbonDay(
        machine="T07",
        day=date(2026, 5, 12),
        zone=ZONE,
        start_at=START,
        end_at=at(24),
        caption=(
            "Machine T07 on Tue 12 May 2026: from 22:10 the machine ran uncovered for 5 h 10 min "
            "without a check; the failed check at 03:20 makes four bins suspect, one of them held."
        ),
        shifts=(
            ShiftLine("early", at(0), at(8), ((at(3.5), at(4)),)),
            ShiftLine("late", at(8), at(16), ((at(12), at(12.5)),)),
            ShiftLine("night", at(16), at(24), ((at(20), at(20.5)),)),
        ),
        states=stretches(
            (1.2, "setup"),
            (7.1, "running"),
            (7.6, "stopped"),
            (14.2, "running"),
            (14.9, "unknown"),
            (21.8, "running"),
            (22.4, "stopped"),
            (24, "running"),
        ),
        attendance=stretches(
            (8, "attended"), (12, "covered"), (16, "authorised"), (23.2, "uncovered"),
            (24, "not-assessable"),
        ),
        marks=(
            Mark("first-off", at(1.1)),
            Mark("release", at(1.3), says="released 06:48"),
            Mark("made", at(3.1)),
            Mark("made", at(5.2)),
            Mark("restart", at(7.6)),
            Mark("late", at(8.4), due_at=at(7.4), entered_later=True),
            Mark("made", at(10.4)),
            Mark("material-change", at(11.2)),
            Mark("made", at(12.5), entered_later=True),
            Mark("challenge", at(13.1)),
            Mark("made", at(14.5)),
            Mark("made", at(16.6)),
            Mark("due", at(18.7)),
            Mark("due", at(20.7)),
            Mark("failed", at(21.8)),
            Mark("restart", at(22.4)),
            Mark("made", at(22.5)),
            Mark("last-off", at(23.9)),
        ),
        windows=(SuspectSpan(at(16.6), at(22.5), "suspect 22:06 – 04:00, about 3 700 pieces"),),
        bins=(
            Bin("L-26051201", at(1.3), at(5), 1800, None),
            Bin("L-26051202", at(5), at(9.2), 1900, None),
            Bin("L-26051203", at(9.2), at(13), 1750, None),
            Bin("L-26051204", at(13), at(17), 1810, "shipped"),
            Bin("L-26051205", at(17), at(19), 950, "not-held"),
            Bin("L-26051206", at(19), at(21.1), 960, "not-held"),
            Bin("L-26051207", at(21.1), at(22.9), 610, "held"),
        ),
    )  # fmt: skip


@pytest.fixture
def strip():
    days = []
    cycle = ["green", "green", "amber", "green", "red", "red", "green", "green", "red"]
    for index in range(42):
        on = date(2026, 4, 13) + timedelta(days=index)
        weekend = on.weekday() >= 5
        declared = "none" if weekend and index % 3 else cycle[index % 9]
        recomputed = "red" if index % 11 == 3 else (None if weekend else declared)
        action = {"red": ("opened", "none", "linked", "reasoned")[index % 4]}.get(
            declared, "unknown"
        )
        days.append(StripDay(on, declared, recomputed, action, weekend))
    return StatusStrip(
        area="Turning",
        letter="D",
        rule="attained pieces / planned pieces >= 0.95",
        days=tuple(days),
        caption="Delivery letter of area Turning: on 4 of 30 days the two rows differ.",
    )


@pytest.fixture
def intervals():
    def made(seed, n, typical, over):
        spread = [
            Interval(
                min(7900, int(typical * 66 * (0.3 + ((seed + i * 61) % 97) / 120))), 7920, False
            )
            for i in range(n)
        ]
        late = [
            Interval(7920 + 60 * (4 + (i * 29) % 170), 7920, True) for i in range(over)
        ]  # fmt: skip
        return tuple(spread + late)

    return IntervalPlot(
        groups=(
            IntervalGroup("attended", made(3, 119, 112, 5)),
            IntervalGroup("covered", made(5, 61, 118, 9)),
            IntervalGroup("authorised", made(7, 40, 119, 6)),
            IntervalGroup("uncovered", made(11, 47, 121, 41)),
        ),
        caption="Running time between checks: beyond the limit 5 of 124 attended, 41 of 88 uncovered.",
    )


@pytest.fixture
def trace():
    return TraceTree(
        nodes=(
            TraceNode("w", 0, "window", "T07, failed check", "22:06 – 04:00, 3 700 pieces"),
            TraceNode("a", 1, "bin", "L-26051204", "1 810 pieces", "shipped"),
            TraceNode("b", 1, "bin", "L-26051205", "950 pieces", "not-held"),
            TraceNode("c", 1, "bin", "L-26051206", "960 pieces", "not-held", by_tolerance=True),
            TraceNode("d", 1, "bin", "L-26051207", "610 pieces", "held"),
            TraceNode("e", 2, "lot", "W-2605-118", "washing, 2 760 pieces", "partly-held"),
            TraceNode("s", 3, "shipment", "S-40117/10", "1 200 pieces, Thu 14 May", "shipped"),
        ),
        links=(("w", "a"), ("w", "b"), ("w", "c"), ("w", "d"), ("a", "e"), ("b", "e"), ("e", "s")),
        caption="Four bins were open in the window; one was held, one had left the plant by 14 May.",
        left_out=2,
    )


@pytest.fixture
def forest():
    return ForestPlot(
        rows=(
            ForestRow("check-interval-exceeded", 61, 321, 0.19, 0.149, 0.237, slug="check-interval-exceeded"),
            ForestRow("attended", 5, 124, 0.040, 0.013, 0.092, stratum=True),
            ForestRow("covered by a neighbour", 9, 70, 0.129, 0.061, 0.23, stratum=True),
            ForestRow("authorised unattended", 6, 46, 0.13, 0.049, 0.263, stratum=True),
            ForestRow("uncovered", 41, 88, 0.466, 0.359, 0.575, stratum=True),
            ForestRow("gauge-overdue", 12, 48211, 0.00025, 0.00013, 0.00044, slug="gauge-overdue"),
            ForestRow("last-off-late", 33, 140, 0.236, 0.168, 0.315, slug="last-off-late"),
            ForestRow("double-allocation", 0, 214, 0.0, 0.0, 0.017, slug="double-allocation"),
            ForestRow("shift-without-authority", 0, 0, None, None, None, slug="shift-without-authority"),
        ),
        caption="Rates of exceptions with exact 95 % bounds.",
    )  # fmt: skip
