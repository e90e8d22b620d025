"""The agenda: clashes, cover, what is left free. Examples: common practice, no source."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.audit.conftest import at, stamped

from witnessmark.audit.agenda import check_agenda
from witnessmark.audit.items import Appointment, Member
from witnessmark.audit.state import AuditState, Opening, Scope

SHIFTS = ("early 05:30-13:30", "late 13:30-21:30", "night 21:30-05:30")
MIDNIGHT = datetime(2026, 3, 24, tzinfo=UTC)


def audit(*appointments, auditors=("lead",)):
    """Appointments as (day, start, end, kind, more): times as "05:20"."""
    state = AuditState(opening=Opening(zone="UTC"), scope=Scope(shifts=SHIFTS))
    for user in auditors:
        state.members[user] = Member(**stamped(user), user=user, role="auditor")
    for number, (day, start, end, kind, more) in enumerate(appointments):
        id_ = f"a{number}"
        state.appointments[id_] = Appointment(
            **stamped(id_), kind=kind, starts_at=when(day, start), ends_at=when(day, end),
            **{"what": f"{kind} {number}", **more},
        )  # fmt: skip
    return state


def when(day, clock):
    hours, minutes = clock.split(":")
    return at(1440 * (day - 1) + 60 * int(hours) + int(minutes), MIDNIGHT)


def kinds(state):
    return [clash.kind for clash in check_agenda(state).clashes]


PATTERN_A = [
    (1, "05:20", "05:50", "handover", {}), (1, "05:50", "08:00", "floor", {}),
    (1, "08:30", "08:50", "meeting", {}), (1, "11:00", "12:00", "interview", {}),
    (1, "13:15", "13:55", "handover", {}), (1, "14:30", "15:00", "meeting", {}),
    (2, "12:30", "13:15", "records", {}), (2, "13:20", "13:55", "handover", {}),
    (2, "14:30", "15:30", "interview", {}), (2, "17:30", "18:30", "floor", {}),
    (2, "19:45", "20:45", "floor", {}), (2, "21:15", "21:55", "handover", {}),
]  # fmt: skip


def test_early_and_late_then_night_suits_one_auditor():
    # common practice, no source: early and late on day 1, night on day 2
    found = check_agenda(audit(*PATTERN_A))
    assert [clash.kind for clash in found.clashes] == []
    assert found.handovers_missing == ()
    assert (found.shifts_covered, found.shifts_missing) == (("early", "late"), ("night",))
    assert all(day.share_free > 0.2 for day in found.days)


def test_one_auditor_cannot_attend_the_night_handover_and_the_next_morning():
    # common practice, no source: a single auditor cannot attend 21:30 on day 1 and 05:30 on day 2
    night, morning = (1, "21:15", "21:55", "handover", {}), (2, "05:20", "05:50", "handover", {})
    (clash,) = (c for c in check_agenda(audit(night, morning)).clashes if c.kind == "rest")
    assert clash.minutes == round((11 - (7 + 25 / 60)) * 60)
    two = [(*night[:4], {"auditor": "lead"}), (*morning[:4], {"auditor": "second"})]
    assert "rest" not in kinds(audit(*two, auditors=("lead", "second")))


def test_late_and_night_then_day_suits_one_auditor():
    # common practice, no source: day 1 11:30-22:15, day 2 10:00-17:30; 05:30 is lost
    rows = [
        (1, "11:30", "13:00", "floor", {}), (1, "13:20", "13:50", "handover", {}),
        (1, "15:00", "17:00", "records", {}), (1, "21:15", "22:15", "handover", {}),
        (2, "10:00", "12:00", "records", {}), (2, "13:00", "17:30", "floor", {}),
    ]  # fmt: skip
    found = check_agenda(audit(*rows))
    assert [clash.kind for clash in found.clashes if clash.kind == "rest"] == []
    assert found.handovers_missing == ("into early",)


def test_thirteen_hours_end_in_a_rest():
    rows = [(1, "05:00", "09:00", "floor", {}), (1, "16:00", "18:01", "records", {})]
    (clash,) = (c for c in check_agenda(audit(*rows)).clashes if c.kind == "rest")
    assert clash.minutes == 1
    rows[1] = (1, "16:00", "18:00", "records", {})
    assert "rest" not in kinds(audit(*rows))


@pytest.mark.parametrize(("end", "clash"), [("14:00", []), ("14:01", ["break"])])
def test_six_hours_need_a_break(end, clash):
    rows = [(1, "08:00", "12:00", "records", {}), (1, "12:29", end, "records", {})]
    assert [kind for kind in kinds(audit(*rows)) if kind == "break"] == clash
    rows[1] = (1, "12:30", end, "records", {})
    assert "break" not in kinds(audit(*rows))


def test_an_auditor_is_in_one_place():
    rows = [(1, "08:00", "09:00", "floor", {}), (1, "08:50", "12:00", "records", {})]
    found = next(c for c in check_agenda(audit(*rows)).clashes if c.kind == "auditor")
    assert (found.items, found.minutes) == (("a0", "a1"), 10)
    # with two in the team, what names nobody is nobody's yet
    assert "auditor" not in kinds(audit(*rows, auditors=("lead", "second")))


def test_a_role_may_be_asked_twice_at_once():
    rows = [
        (1, "08:00", "09:00", "interview", {"auditor": "lead", "with_role": "Planner"}),
        (1, "08:30", "12:00", "interview", {"auditor": "second", "with_role": " planner"}),
    ]
    assert "role" in kinds(audit(*rows, auditors=("lead", "second")))
    rows[1][4]["with_role"] = "setter"
    assert "role" not in kinds(audit(*rows, auditors=("lead", "second")))


@pytest.mark.parametrize(
    ("start", "kind", "clashes"),
    [("13:39", "interview", True), ("13:40", "interview", False), ("13:30", "floor", False)],
)
def test_no_interview_in_the_first_ten_minutes_of_a_handover(start, kind, clashes):
    rows = [(1, start, "14:00", kind, {}), (1, "17:00", "17:10", "records", {})]
    assert ("handover" in kinds(audit(*rows))) is clashes


def test_walking_and_drift_run_late():
    rows = [
        (1, "08:00", "10:00", "floor", {"place": "hall 1"}),
        (1, "10:15", "10:30", "interview", {"place": "hall 2"}),
        (1, "13:00", "13:10", "records", {"place": "office"}),
    ]
    (clash,) = (c for c in check_agenda(audit(*rows)).clashes if c.kind == "late")
    assert clash.minutes == 15  # 2 h of drift at 10 min/h, 10 min of walking, 15 min between


def test_a_full_day_is_said_to_be_one():
    rows = [(1, "08:00", "12:00", "records", {}), (1, "12:30", "15:00", "records", {})]
    found = check_agenda(audit(*rows))
    assert "free" in [clash.kind for clash in found.clashes]
    assert found.days[0].share_free == pytest.approx(30 / 420)
    rows.append((1, "15:00", "17:00", "free", {}))
    assert check_agenda(audit(*rows)).days[0].share_free == pytest.approx(150 / 540)


def test_what_was_dropped_is_out():
    rows = [(1, "08:00", "09:00", "floor", {}), (1, "08:50", "12:00", "records", {"dropped": "x"})]
    assert "auditor" not in kinds(audit(*rows))


@given(
    st.lists(
        st.tuples(
            st.integers(0, 4000), st.integers(1, 300),
            st.sampled_from(["handover", "interview", "floor", "records", "writing", "free"]),
        ),
        max_size=8,
    ),
    st.integers(1, 60),
)  # fmt: skip
def test_moving_the_whole_agenda_by_days_changes_no_clash(rows, days):
    def clashes(shift):
        state = AuditState(opening=Opening(zone="UTC"), scope=Scope(shifts=SHIFTS))
        for number, (start, length, kind) in enumerate(rows):
            state.appointments[str(number)] = Appointment(
                **stamped(str(number)), kind=kind, what=str(number),
                starts_at=at(start, MIDNIGHT + shift), ends_at=at(start + length, MIDNIGHT + shift),
            )  # fmt: skip
        found = check_agenda(state)
        assert all(0 <= day.share_free <= 1 for day in found.days)
        return [(clash.kind, clash.items, clash.minutes) for clash in found.clashes]

    assert clashes(timedelta()) == clashes(timedelta(days=days))
