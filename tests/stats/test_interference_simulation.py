"""The simulation against the closed forms, and what it does with priorities and bad draws."""

import numpy as np
import pytest

from witnessmark.stats.interference import finite_source_queue, gamma_service_queue
from witnessmark.stats.interference_simulation import simulated_interference


def exponential(mean):
    return lambda generator, size: generator.exponential(mean, size)


def constant(value):
    return lambda _, size: np.full(size, float(value))


def simulated(n, service, persons, duration=120_000, seed=7, **more):
    return simulated_interference(
        [exponential(30)] * n,
        [service] * n,
        persons,
        duration,
        np.random.default_rng(seed),
        warm_up=1000,
        confidence=0.999,
        **more,
    )


@pytest.mark.parametrize(("n", "persons"), [(6, 1), (10, 2)])
def test_exponential_times_give_the_closed_form(n, persons):
    found, exact = simulated(n, exponential(5), persons), finite_source_queue(n, 30, 5, persons)
    for seen, value in (
        (found.running, exact.running),
        (found.waiting, exact.waiting),
        (found.utilisation, exact.utilisation),
        (found.mean_wait, exact.mean_wait),
        (found.p_wait, exact.p_wait),
        (found.waiting_share, exact.waiting_share),
    ):
        assert seen.lower <= value <= seen.upper
        assert seen.value == pytest.approx(value, rel=0.05)


def test_constant_service_gives_ashcroft():
    found, exact = simulated(6, constant(5), 1), gamma_service_queue(6, 30, 5)
    assert found.running.lower <= exact.running <= found.running.upper
    assert found.mean_wait.lower <= exact.mean_wait <= found.mean_wait.upper


def test_gamma_service_gives_the_general_formula():
    def service(generator, size):
        return generator.gamma(4, 5 / 4, size)

    found, exact = simulated(6, service, 1), gamma_service_queue(6, 30, 5, service_cv=0.5)
    assert found.mean_wait.lower <= exact.mean_wait <= found.mean_wait.upper


def test_a_machine_that_goes_first_waits_less_and_the_person_is_no_less_busy():
    ranked = simulated(8, exponential(5), 1, priorities=[0, 1, 1, 1, 1, 1, 1, 1])
    assert ranked.wait_by_machine[0] < 0.6 * min(ranked.wait_by_machine[1:])
    exact = finite_source_queue(8, 30, 5)
    assert ranked.utilisation.value == pytest.approx(exact.utilisation, rel=0.02)
    assert "lowest priority number" in ranked.assumptions[-1]


def test_limits_cover_what_they_say():
    """Nominal 95 % of 200 short simulations; binomial error of 200 allowed for."""
    exact = finite_source_queue(4, 30, 5).running
    found = [
        simulated_interference(
            [exponential(30)] * 4, [exponential(5)] * 4, 1, 6000, generator, warm_up=300
        ).running
        for generator in np.random.default_rng(7).spawn(200)
    ]
    covered = np.mean([one.lower <= exact <= one.upper for one in found])
    assert covered >= 0.95 - 3 * np.sqrt(0.05 * 0.95 / 200), f"covered {covered:.3f}"


def test_played_by_hand():
    """Two machines stop at 10 and 11 for 4; the second waits from 11 to 14."""
    found = simulated_interference(
        [constant(10), constant(11)], [constant(4)] * 2, 1, 20, np.random.default_rng(7)
    )
    assert found.stops == 2
    assert found.mean_wait.value == pytest.approx(1.5)
    assert found.p_wait.value == pytest.approx(0.5)
    assert found.waiting.value == pytest.approx(3 / 20)
    assert found.utilisation.value == pytest.approx(8 / 20)
    assert found.running.value == pytest.approx((40 - 8 - 3) / 20)
    assert found.mean_wait.lower is None  # batches without a stop give no limits


def test_the_same_generator_gives_the_same_numbers():
    assert simulated(3, constant(5), 1, 5000) == simulated(3, constant(5), 1, 5000)


def test_no_stop_is_said():
    found = simulated_interference([constant(50)], [constant(5)], 1, 20, np.random.default_rng(7))
    assert found.mean_wait.value is None
    assert found.wait_by_machine == (None,)
    assert "no machine stopped" in found.sentence


def test_the_sentence_gives_limits_and_what_it_does_not_show():
    said = simulated(6, constant(5), 1, 20_000).sentence
    assert "the chance of the simulation only" in said
    assert "not what happened on the floor" in said


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"runs": []}, r"rows of different length \(runs: 0, services: 2"),
        ({"runs": [], "services": [], "priorities": []}, "number of machines = 0"),
        ({"priorities": [1]}, "priorities: 1"),
        ({"persons": 0}, "persons = 0"),
        ({"duration": 0}, "duration = 0"),
        ({"warm_up": 100}, "warm_up = 100: needs 0 or more and less than the duration"),
        ({"services": [constant(-1)] * 2}, r"services\[\d\] draws -1: needs positive times"),
        ({"runs": [constant(np.nan)] * 2}, r"runs\[0\]: 256 of 256 values are missing"),
    ],
)
def test_refusals(change, message):
    given = {
        "runs": [exponential(30)] * 2,
        "services": [constant(5)] * 2,
        "persons": 1,
        "duration": 100,
        "generator": np.random.default_rng(7),
        "priorities": None,
    }
    with pytest.raises(ValueError, match=message):
        simulated_interference(**(given | change))
