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
from witnessmark.report.model import (
    Ask,
    Contrast,
    CriterionUsed,
    Escape,
    Escapes,
    FirstPage,
    Gap,
    Paper,
    Prose,
    Provenance,
    Question,
    QuestionTest,
    Rate,
    Reason,
    RefusedRow,
    ShownRow,
    SourceFile,
    Stratum,
    StratumRow,
    TestPage,
    TitleBlock,
    Unlock,
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
        caption="Running time between checks: 5 of 124 late attended, 41 of 88 uncovered.",
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
        caption="Four bins were open in the window; one was held, one had left by 14 May.",
        left_out=2,
    )


@pytest.fixture
def forest():
    return ForestPlot(
        rows=(
            ForestRow("check-interval-exceeded", 61, 321, 0.19, 0.149, 0.237),
            ForestRow("attended", 5, 124, 0.040, 0.013, 0.092, stratum=True),
            ForestRow("covered by a neighbour", 9, 70, 0.129, 0.061, 0.23, stratum=True),
            ForestRow("authorised unattended", 6, 46, 0.13, 0.049, 0.263, stratum=True),
            ForestRow("uncovered", 41, 88, 0.466, 0.359, 0.575, stratum=True),
            ForestRow("gauge-overdue", 12, 48211, 0.00025, 0.00013, 0.00044),
            ForestRow("last-off-late", 33, 140, 0.236, 0.168, 0.315),
            ForestRow("double-allocation", 0, 214, 0.0, 0.0, 0.017),
            ForestRow("shift-without-authority", 0, 0, None, None, None),
        ),
        caption="Rates of exceptions with exact 95 % bounds.",
    )  # fmt: skip


GRACE = CriterionUsed(
    "patrol_grace_share",
    "0.10",
    "common practice, no source",
    True,
    "Share of the interval that is allowed on top.",
    "At 0.05 there would be 66 exceptions instead of 61.",
)
PROSE = Prose(
    tests="Whether the running time between two completed checks stayed within the interval.",
    matters="The check may lie in a file not given. Else the detection was not there.",
    population="Each gap between consecutive completed checks within a run.",
    not_assessable="A gap with so much unknown time that the answer hangs on it.",
    traps="- The rule may mean clock time: ask.\n- A stop that nobody booked looks like running.",
    ask_next='"On this machine, now, when is the next check due, and how does one know?"',
    source="ISO 9001:2015, 8.5.1 c (own paraphrase).",
)


def page(slug, question, **given):
    """A test page of a test with nothing to show, changed as given."""
    values = {
        "slug": slug,
        "finding": "The interval was exceeded.",
        "question": question,
        "status": "not-assessable",
        "result": "Not assessable: the records lack what the test needs.",
        "prose": PROSE,
        "clauses": ("Q 8.5.1 c", "A 8.5.1.1"),
        "population": 0,
        "rate": Rate(0, 0, None, None, None),
        "not_assessable": (),
        "not_applicable": (),
        "fragile": "",
        "range_words": "",
        "clustering": "",
        "contrast": "",
        "strata": (),
        "criteria": (),
        "uses_absent": (),
        "missing": (),
        "message": "",
        "rows": (),
        "rows_total": 0,
        "revision": "3f0c91aa",
        "sql": "select 1 < 2 as exception",
    }
    return TestPage(**(values | given))


@pytest.fixture
def assessed_page():
    return page(
        "check-interval-exceeded",
        "checked",
        status="assessed",
        result="61 of 321 assessed gaps between checks raise this question.",
        population=334,
        rate=Rate(61, 321, 0.19, 0.149, 0.237),
        not_assessable=(Reason("state unknown", 13),),
        not_applicable=(Reason("not due", 84),),
        fragile="4 exceptions might be none and 6 conforming gaps might be exceptions.",
        range_words="Were every gap that is not assessable fine or faulty: 18 % to 22 %.",
        clustering="Shifts count as clusters: design effect 1.6.",
        contrast="Attended 5 of 124 (4.0 %), unattended 56 of 204 (27 %). Were attendance without "
        "influence, chance would part them so far with probability under 0.0001; 0.0004 when all "
        "tests count as looks. It does not say why: machines, parts and hours differ too.",
        strata=(
            Stratum(
                "attendance",
                (
                    StratumRow("attended", 126, 2, Rate(5, 124, 0.040, 0.013, 0.092)),
                    StratumRow("covered by a neighbour", 73, 3, Rate(9, 70, 0.129, 0.061, 0.23)),
                    StratumRow("authorised unattended", 47, 1, Rate(6, 46, 0.13, 0.049, 0.263)),
                    StratumRow("uncovered", 95, 7, Rate(41, 88, 0.466, 0.359, 0.575)),
                    StratumRow("attendance not known", 3, 3, Rate(0, 0, None, None, None)),
                ),
            ),
            Stratum(
                "shift",
                (
                    StratumRow("early", 120, 3, Rate(8, 117, 0.068, 0.03, 0.13)),
                    StratumRow("small groups", 214, 10, Rate(53, 204, 0.26, 0.201, 0.326)),
                ),
                "Shifts with fewer than 5 persons are shown together.",
            ),
        ),
        criteria=(GRACE,),
        uses_absent=("Piece counts were not given: running means the state running.",),
        rows=(
            ShownRow(
                "R-1187/c4411/c4412",
                "On T07 the gap from 22:06 to 03:18 ran 310 min; 132 min were allowed.",
                False,
                (("attendance", "uncovered"), ("shift", "night")),
            ),
            ShownRow(
                "R-1190/c4490/c4501",
                "On T03 the gap from 14:10 to 16:25 ran 135 min; 132 min were allowed.",
                True,
            ),
        ),
        rows_total=61,
    )


@pytest.fixture
def paper(ribbon, strip, intervals, trace, forest, assessed_page):
    deciding = QuestionTest(
        "check-interval-exceeded", "assessed", "61 of 321 (19 %), 13 not assessable", True
    )
    return Paper(
        title=TitleBlock(
            plant="Plant Auenfeld",
            process="Bar-fed turning",
            period_from=date(2026, 3, 2),
            period_to=date(2026, 5, 31),
            zone=ZONE,
            freeze="7b1c4e0d92",
            tool_version="0.1.0",
            records_as_of="extracts pulled between 1 and 3 June 2026",
        ),
        first_page=FirstPage(
            escapes=Escapes(
                headline="3 suspect lots are recorded as shipped before anybody decided on them.",
                lots=(
                    Escape("L-26051204", "Lot L-26051204 left on Thu 14 May.", False),
                    Escape("L-26041907", "Lot L-26041907, 240 pieces, left on Wed 22 Apr.", True),
                ),
                total=3,
                route=(
                    "The control plan names the quality engineer for the reaction (RP-12). Tell "
                    "that role today; the auditor informs, the plant decides, notice to customers "
                    "is the plant's."
                ),
            ),
            contrast=Contrast(
                "Beyond the limit ran 5 of 124 gaps on attended machines (4.0 %) and 41 of 88 on "
                "uncovered ones (47 %).",
                intervals,
            ),
            gap=Gap(
                "On T07 nobody checked for 5 h 10 min of running on Tue 12 May, against 2 h 12 min "
                "allowed; the check that followed failed.",
                ribbon,
                trace,
            ),
            asks=(
                Ask(
                    "Which machines are yours but nobody's right now?",
                    "41 of 88 gaps without cover ran beyond the limit",
                    "check-interval-exceeded",
                ),
            ),
            open_matters=("T07: unattended since 21:40.",),
            dropped=(
                "By the clock 212 gaps look too long. In running time 151 of them kept the limit: "
                "the machines stood. That suspicion is dropped."
            ),
        ),
        questions=(
            Question(
                "checked",
                "Is it checked as documented?",
                "partly",
                "61 of 321 gaps ran beyond the limit; they stand where nobody attends.",
                "1 of 2 deciding tests assessed; 96 % of its population assessable.",
                (deciding,),
            ),
            Question(
                "scheduled",
                "Is it scheduled as documented?",
                "not determined",
                "No deciding test could be assessed.",
                "0 of 3 deciding tests assessed.",
                (QuestionTest("schedule-rewritten", "not-assessable", "not assessable", True),),
            ),
        ),
        forest=forest,
        strips=(strip,),
        tests=(
            page(
                "gauge-overdue", "checked", status="failed", result="Did not run to an end.",
                message="A column was missing.",
            ),
            assessed_page,
            page("schedule-rewritten", "scheduled", missing=("schedule_lines",)),
        ),
        unlocks=(Unlock("schedule_lines", ("schedule-rewritten", "attained-but-undelivered")),),
        criteria=(GRACE,),
        provenance=Provenance(
            freeze="7b1c4e0d92" + "a5" * 27,
            how_to_repeat="Run witnessmark test on the same folder.",
            files=(
                SourceFile("checks.csv", "c0ffee" * 10, "checks", 4120, 4101, 7, 12, "none"),
                SourceFile("runs.csv", "0ddba1" * 10, "runs", 610, 600, 0, 9, "agrees"),
            ),
            refused=(RefusedRow("checks.csv, row 41, column done_at", "25:10", "no such time"),),
            refused_total=7,
            mapping="[checks]\nencoding = 'utf-8'",
            tables=(("checks", 4101), ("runs", 600)),
        ),
        limitations=("Clocks were taken as they are: no clock fix was given.",),
    )  # fmt: skip
