"""What on record came first after a stop."""

from datetime import datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st
from tables import derive, pick

from witnessmark.records.memory import TextTable

DAY = datetime(2026, 3, 2)  # noqa: DTZ001  # wall-clock time of the records
MINUTES = st.integers(0, 2 * 24 * 60)
DECIDED = {"pass", "fail"}

PLANT = """
machines
| machine_id | area | process |
|------------|------|---------|
| M1         | A    | turning |
| M2         | A    | turning |

shift_instances
| area | production_date | shift | start_at         | end_at           | overtime |
|------|-----------------|-------|------------------|------------------|----------|
| A    | 2026-03-02      | early | 2026-03-02 06:00 | 2026-03-02 14:00 | no       |

planned_breaks
| area | production_date | shift | no | start_at         | end_at           |
|------|-----------------|-------|----|------------------|------------------|
| A    | 2026-03-02      | early | 1  | 2026-03-02 09:00 | 2026-03-02 09:30 |

allocations
| person_key | machine_or_group | start_at         | end_at           | role     | basis  |
|------------|------------------|------------------|------------------|----------|--------|
| p1         | M1               | 2026-03-02 06:00 | 2026-03-02 10:00 | operator | actual |

stoppages
| stop_id | machine_id | start_at         | end_at           | planned |
|---------|------------|------------------|------------------|---------|
| own     | M1         | 2026-03-02 08:00 | 2026-03-02 08:20 | no      |
| break   | M2         | 2026-03-02 08:59 | 2026-03-02 09:31 | no      |
| planned | M2         | 2026-03-02 10:00 | 2026-03-02 10:30 | yes     |
| alone   | M2         | 2026-03-02 11:00 | 2026-03-02 11:50 | no      |
| last    | M2         | 2026-03-02 13:00 | 2026-03-02 13:50 | no      |

process_events
| event_id | machine_id | happened_at      | kind        |
|----------|------------|------------------|-------------|
| e1       | M2         | 2026-03-02 11:20 | tool-change |
| e2       | M1         | 2026-03-02 11:10 | tool-change |

holds
| hold_id | machine_id | qty | placed_at        |
|---------|------------|-----|------------------|
| h1      | M2         | 10  | 2026-03-02 11:40 |
"""


def test_an_answer_is_looked_for_after_stops_that_nobody_attended():
    answers = derive("stop_answers", PLANT)
    assert pick(answers, "attendance", "is_break", "seen_at", "decided_at") == [
        ("attended", False, None, None),
        ("uncovered", True, None, None),
        ("uncovered", False, None, None),
        ("uncovered", False, "2026-03-02 11:20", "2026-03-02 11:40"),
        ("uncovered", False, None, None),
    ]
    assert {row["are_decisions_kept"] for row in answers} == {True}


def at(minute):
    return f"{DAY + timedelta(minutes=minute):%Y-%m-%d %H:%M}"


def table(header, rows):
    return TextTable(tuple(header.split()), tuple(tuple(map(str, row)) for row in rows))


@settings(max_examples=25, deadline=None)
@given(
    st.lists(MINUTES, min_size=1, max_size=6),
    st.lists(st.tuples(MINUTES, st.sampled_from(["pass", "fail", "incomplete"])), max_size=12),
)
def test_the_first_check_after_a_stop_is_its_answer_however_far_it_is(stops, checks):
    answers = derive(
        "stop_answers",
        {
            "machines": table("machine_id area process", [("M1", "A", "turning")]),
            "stoppages": table(
                "stop_id machine_id start_at",
                [(f"s{no}", "M1", at(minute)) for no, minute in enumerate(stops)],
            ),
            "checks": table(
                "check_id machine_id part_no kind done_at result",
                [
                    (f"c{no}", "M1", "P1", "patrol", at(minute), result)
                    for no, (minute, result) in enumerate(checks)
                ],
            ),
        },
    )
    seen = [minute for minute, _ in checks]
    decided = [minute for minute, result in checks if result in DECIDED]
    assert pick(answers, "seen_at", "decided_at") == [
        tuple(
            min((at(moment) for moment in moments if moment >= stop), default=None)
            for moments in (seen, decided)
        )
        for stop in stops
    ]
