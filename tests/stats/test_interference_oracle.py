"""The closed form and the simulation against an independent queueing simulator."""

import numpy as np
import pytest

from witnessmark.stats.interference import finite_source_queue, gamma_service_queue

ciw = pytest.importorskip("ciw")
pytestmark = pytest.mark.oracle


def _waits(n, persons, service, duration=60_000):
    """A closed network of n customers: node 1 runs (a server each), node 2 is attended."""
    network = ciw.create_network(
        arrival_distributions=[
            ciw.dists.Sequential([0.0] * n + [float("inf")]),
            None,
        ],
        service_distributions=[ciw.dists.Exponential(1 / 30), service],
        number_of_servers=[n, persons],
        routing=[[0.0, 1.0], [1.0, 0.0]],
    )
    ciw.seed(7)
    simulation = ciw.Simulation(network)
    simulation.simulate_until_max_time(duration)
    records = [r for r in simulation.get_all_records() if r.node == 2 and r.arrival_date > 1000]
    return np.array([r.waiting_time for r in sorted(records, key=lambda r: r.arrival_date)])


def _error(waits):
    means = [part.mean() for part in np.array_split(waits, 20)]
    return np.std(means, ddof=1) / np.sqrt(20)


@pytest.mark.parametrize(("n", "persons"), [(6, 1), (9, 2)])
def test_mean_wait_and_share_that_waits(n, persons):
    waits = _waits(n, persons, ciw.dists.Exponential(1 / 5))
    exact = finite_source_queue(n, 30, 5, persons)
    assert abs(waits.mean() - exact.mean_wait) <= 4 * _error(waits)
    assert abs((waits > 0).mean() - exact.p_wait) <= 4 * _error((waits > 0).astype(float))


def test_constant_service():
    waits = _waits(6, 1, ciw.dists.Deterministic(5))
    assert abs(waits.mean() - gamma_service_queue(6, 30, 5).mean_wait) <= 4 * _error(waits)
