"""When a check was due: the running clock read backwards."""

from datetime import UTC, datetime, timedelta

from witnessmark.report.gather.marks import reached, running_at

START = datetime(2026, 5, 12, tzinfo=UTC)


def point(minutes, running_minutes, is_running):
    return {
        "at": START + timedelta(minutes=minutes),
        "running_s": running_minutes * 60,
        "is_running": is_running,
    }


CLOCK = [point(0, 0, True), point(60, 60, False), point(90, 60, True), point(150, 120, False)]


def test_the_clock_stands_while_the_machine_stands():
    assert running_at(CLOCK, START + timedelta(minutes=30)) == 30 * 60
    assert running_at(CLOCK, START + timedelta(minutes=75)) == 60 * 60
    assert running_at(CLOCK, START + timedelta(minutes=90)) == 60 * 60
    assert running_at(CLOCK, START + timedelta(minutes=100)) == 70 * 60
    assert running_at(CLOCK, START + timedelta(minutes=500)) == 120 * 60
    assert running_at(CLOCK, START - timedelta(minutes=1)) == 0


def test_a_number_of_running_seconds_is_reached_once():
    assert reached(CLOCK, 30 * 60) == START + timedelta(minutes=30)
    assert reached(CLOCK, 60 * 60) == START + timedelta(minutes=60)
    assert reached(CLOCK, 70 * 60) == START + timedelta(minutes=100)
    assert reached(CLOCK, 121 * 60) is None


def test_a_clock_that_still_runs_at_its_last_point_goes_on():
    assert reached([point(0, 0, True)], 600) == START + timedelta(minutes=10)
