"""Load of one person: the worked example, the limits, what is refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.stats.tending import (
    Task,
    TendedMachine,
    available_minutes,
    most_tended,
    tending_load,
)

# Hand calculation, common practice: 1.5 stops/h x 4 min, bar magazine 15 min per 6 h, patrol 6 min
# per 2 h, bins 2 min and walking 1.5 min an hour make 15 min/h.
LATHE = (
    Task("stop", 1.5, 4),
    Task("change-over", 1 / 6, 15),
    Task("patrol", 1 / 2, 6),
    Task("bin", 1, 2),
    Task("walking", 1, 1.5),
)


def row(n, watched=0):
    return [TendedMachine(f"L{i}", LATHE, watched=i >= n - watched) for i in range(n)]


@pytest.mark.parametrize(("n", "minutes", "load"), [(1, 15, 0.28), (3, 45, 0.85), (4, 60, 1.13)])
def test_the_worked_example(n, minutes, load):
    found = tending_load(row(n), available=53)
    assert found.minutes_per_hour == pytest.approx(minutes)
    assert round(found.load, 2) == load
    assert dict(found.by_kind)["stop"] == pytest.approx(6 * n)
    assert dict(found.by_kind)["change-over"] == pytest.approx(2.5 * n)


def test_two_such_machines_stay_within_the_limit_and_three_do_not():
    found = most_tended(row(1)[0], available=53, limit=0.80)
    assert found.machines == 2
    assert tending_load(row(2), 53).within_limit
    assert not tending_load(row(3), 53).within_limit
    assert found.load == pytest.approx(30 / 53)
    assert found.load_with_one_more == pytest.approx(45 / 53)
    assert "2 such machines (56.6 %)" in found.sentence


def test_a_load_equal_to_the_limit_is_within_it():
    tenth = TendedMachine("M", (Task("stop", 1, 0.1),))
    assert most_tended(tenth, available=1, limit=0.7).machines == 7
    assert tending_load([tenth], available=1, limit=0.1).within_limit


def test_one_machine_too_many_gives_none():
    assert most_tended(TendedMachine("M", (Task("stop", 1, 50),)), 53).machines == 0


def test_a_watched_machine_counts_like_an_owned_one_and_is_named():
    owned, watched = tending_load(row(3), 53), tending_load(row(3, watched=1), 53)
    assert watched.load == owned.load
    assert watched.watched == ("L2",)
    assert "1 of them watched for others" in watched.sentence


@pytest.mark.parametrize("tasks", [(), (Task("patrol", 0, 6),), (Task("stop", 2, 0),)])
def test_a_watched_machine_without_work_is_refused(tasks):
    free = TendedMachine("L9", tasks, watched=True)
    with pytest.raises(ValueError, match=r"L9 \(watched\) asks for no work.*never free"):
        tending_load([*row(2), free], 53)


def test_what_is_not_stated_is_said():
    found = tending_load([TendedMachine("L7", (Task("stop", 1, 5),))], 53)
    assert any("No patrol is stated for L7" in said for said in found.assumptions)
    assert not any("No stop" in said for said in found.assumptions)


def test_the_sentence_says_what_interference_and_missed_patrols_cost():
    said = tending_load(row(3), 53).sentence
    assert "costs output" in said
    assert "costs quality" in said
    assert "84.9 %, above the limit of 80 %" in said


def test_no_machine_is_no_load():
    found = tending_load([], 53)
    assert found.load == 0
    assert found.within_limit


@pytest.mark.parametrize(
    ("task", "message"),
    [
        (Task("stop", -1, 4), r"L0, stop: per_hour = -1"),
        (Task("bin", 1, math.nan), r"L0, bin: minutes = nan"),
        (Task("bin", math.inf, 1), r"L0, bin: per_hour = inf"),
    ],
)
def test_impossible_tasks_are_refused(task, message):
    with pytest.raises(ValueError, match=message):
        tending_load([TendedMachine("L0", (task,))], 53)


def test_a_machine_named_twice_is_refused():
    with pytest.raises(ValueError, match="machines named twice: L0"):
        tending_load([*row(1), *row(1)], 53)


@pytest.mark.parametrize(("shift", "pause"), [(480, 480), (480, -1), (480, math.nan), (0, 0)])
def test_a_shift_without_working_time_is_refused(shift, pause):
    with pytest.raises(ValueError, match="needs"):
        available_minutes(shift, pause)


@pytest.mark.parametrize("available", [0, -5, math.nan])
def test_no_available_minutes_are_refused(available):
    with pytest.raises(ValueError, match=r"available = .*above 0"):
        tending_load(row(1), available)


@given(
    st.lists(st.floats(0.01, 30), min_size=1, max_size=6), st.floats(1, 60), st.floats(0.05, 1.5)
)
def test_load_adds_up_and_the_largest_number_is_the_largest(minutes, available, limit):
    machines = [TendedMachine(str(i), (Task("stop", 1, m),)) for i, m in enumerate(minutes)]
    found = tending_load(machines, available, limit)
    assert found.load == pytest.approx(sum(minutes) / available)
    assert found == tending_load(machines, available, limit)
    most = most_tended(machines[0], available, limit)
    assert most.load <= limit + 1e-6
    assert most.load_with_one_more > limit - 1e-6
