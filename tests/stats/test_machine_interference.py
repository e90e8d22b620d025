"""Finite-source queue against published tables, balance equations and its own limits."""

import json
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.linalg import null_space

from witnessmark.stats.interference import finite_source_queue, gamma_service_queue, state_shares
from witnessmark.stats.interference_limits import (
    most_machines,
    share_waiting_longer,
    wait_not_exceeded,
)

TOPIC = "machine_interference"


def _exact(q, prefix="exact."):
    found = {
        "p": list(q.states),
        "L": q.stopped,
        "Lq": q.waiting,
        "lambda_eff": q.stops_per_time,
        "W": q.mean_stop,
        "Wq": q.mean_wait,
        "running": q.running,
        "machine_efficiency": q.efficiency,
        "operators_busy": q.utilisation * q.persons,
        "operator_utilisation": q.utilisation,
        "prob_all_running": q.states[0],
        "P_wait_arrival": q.p_wait,
    }
    return {prefix + name: value for name, value in found.items()}


def _queue(inputs):
    return finite_source_queue(inputs["N"], 1 / inputs["lam"], 1 / inputs["mu"], inputs["c"])


def _cost(q, inputs):
    """Cost of stopped machine-hours and of attendants: arithmetic on the queue's own numbers."""
    return q.stopped * inputs["cost_down"] + q.persons * inputs["cost_operator"]


def _tagged(values, kind):
    return {name: (value, kind) for name, value in values.items()}


def _rossetti(inputs):
    q = _queue(inputs)
    cost = _cost(q, inputs)
    printed = {
        "printed.L": q.stopped,
        "printed.Lq": q.waiting,
        "printed.busy": q.utilisation * q.persons,
        "printed.machine_utilisation": q.efficiency,
        "printed.expected_cost": cost,
    }
    exact = {**_exact(q), "expected_cost_exact": cost}
    return _tagged(printed, "printed") | _tagged(exact, "exact"), {}


def _feller(inputs):
    q = _queue(inputs)
    printed = {
        "printed_p": list(q.states),
        "printed_loss_repairmen": 1 - q.utilisation,
        "printed_loss_machines": q.waiting / q.machines,
    }
    exact = {
        **_exact(q),
        "coefficient_of_loss_machines": 1 - q.efficiency_factor,
        "coefficient_of_loss_repairmen": 1 - q.utilisation,
    }
    return _tagged(printed, "printed") | _tagged(exact, "exact"), {}


def _kolkmeyer(inputs):
    q = _queue(inputs)
    printed = [q.states[0], q.waiting, q.stopped, q.mean_wait, q.mean_stop]
    return {"printed": (printed, "printed")} | _tagged(_exact(q), "exact"), {}


def _kolkmeyer_8(inputs):
    q = _queue(inputs)
    return {**_exact(q), "cost_per_hour": _cost(q, inputs)}, {}


def _taha(inputs):
    q = _queue(inputs)
    printed = {
        "printed.lambda_eff": q.stops_per_time,
        "printed.p0": q.states[0],
        "printed.Ls": q.stopped,
        "printed.Lq": q.waiting,
        "printed.Ws": q.mean_stop,
    }
    left_out = {}
    if inputs["c"] == 3:
        left_out = {"printed.lambda_eff": "not printed in the source (null in the item)"}
        del printed["printed.lambda_eff"]
    exact = {**_exact(q), "p_first_6": list(q.states[:6])}
    del exact["exact.p"]
    return _tagged(printed, "printed") | _tagged(exact, "exact"), left_out


def _peck_hazelwood(inputs):
    rows = [
        (x, m, finite_source_queue(inputs["N"], (1 - x) / x, 1, m)) for x, m in inputs["rows_X_M"]
    ]
    exact = [[x, m, q.p_wait, q.efficiency_factor] for x, m, q in rows]
    return {"exact_X_M_D_F": (exact, "exact")}, {
        "printed_D_F": "two tolerances in one list: see test_peck_hazelwood_as_printed"
    }


def _chase(inputs):
    q = finite_source_queue(inputs["N"], inputs["run"], inputs["service"], inputs["c"])
    in_service = q.stopped - q.waiting
    exact = {
        "F": q.efficiency_factor,
        "waiting": q.waiting,
        "in_service": in_service,
        "running": q.running,
    }
    printed = {"printed_F_L_H": [q.efficiency_factor, q.waiting, in_service]}
    return _tagged(exact, "exact") | _tagged(printed, "printed"), {}


def _stevenson(inputs):
    q = finite_source_queue(inputs["N"], inputs["run"], inputs["service"], inputs["c"])
    return {
        "D": q.p_wait,
        "F": q.efficiency_factor,
        "waiting": q.waiting,
        "in_service": q.stopped - q.waiting,
        "running": q.running,
        "output_per_machine": q.efficiency * inputs["pieces_per_hour"],
    }, {}


def _palm(inputs):
    return {
        "machine_efficiency": {
            str(rho): [finite_source_queue(n, 1, rho).efficiency for n in inputs["N"]]
            for rho in inputs["rho"]
        }
    }, {}


def _more_persons(inputs):
    return _exact(_queue(inputs)), {}


def _ashcroft(inputs):
    return {
        "average_machines_running": {
            str(p): [gamma_service_queue(n, 1, p).running for n in inputs["N"]] for p in inputs["p"]
        }
    }, {}


BY_ID = {
    "mi-rossetti-c1": _rossetti,
    "mi-rossetti-c2": _rossetti,
    "mi-rossetti-c4": _rossetti,
    "mi-rossetti-c5": _rossetti,
    "mi-feller-m6": _feller,
    "mi-kolkmeyer-6": _kolkmeyer,
    "mi-kolkmeyer-8-c1": _kolkmeyer_8,
    "mi-taha-toolco-R1": _taha,
    "mi-taha-toolco-R3": _taha,
    "mi-peck-hazelwood-N5": _peck_hazelwood,
    "mi-chase-looms": _chase,
    "mi-stevenson-10-2": _stevenson,
    "mi-palm-table": _palm,
    "mi-c-greater-N": _more_persons,
    "mi-ashcroft-numbers": _ashcroft,
}


def test_published(item, agrees):
    found, left_out = BY_ID[item["id"]](item["inputs"])
    agrees(item, found, left_out)


def test_peck_hazelwood_as_printed():
    items = json.loads((Path(__file__).parent / "published" / f"{TOPIC}.json").read_text("utf-8"))
    table = next(item for item in items if item["id"] == "mi-peck-hazelwood-N5")
    rows = zip(table["inputs"]["rows_X_M"], table["expected"]["printed_D_F"], strict=True)
    for (x, m), (d, f) in rows:
        q = finite_source_queue(5, (1 - x) / x, 1, m)
        assert q.p_wait == pytest.approx(d, **table["tolerance"]["printed_D"])
        assert q.efficiency_factor == pytest.approx(f, **table["tolerance"]["printed_F"])


@pytest.mark.parametrize(
    ("n", "busy", "wait", "efficiency"),
    [(2, 28, 0.7, 84), (4, 53, 2.7, 80), (6, 74, 5.8, 74), (8, 88, 10.6, 66)],
)
def test_one_person_and_a_stop_every_half_hour(n, busy, wait, efficiency):
    """Hand calculation by the closed form: stop every 30 running min, 5 min each, one person."""
    q = finite_source_queue(n, 30, 5)
    assert round(100 * q.utilisation) == busy
    assert round(q.mean_wait, 1) == wait
    assert round(100 * q.efficiency) == efficiency
    assert round(100 * q.efficiency_alone) == 86


@pytest.mark.parametrize(("n", "ratio", "c"), [(3, 0.3, 1), (7, 0.1, 2), (12, 1.5, 4)])
def test_states_solve_the_balance_equations(n, ratio, c):
    generator = np.zeros((n + 1, n + 1))
    for k in range(n):
        generator[k, k + 1] = (n - k) * ratio
        generator[k + 1, k] = min(k + 1, c)
    generator -= np.diag(generator.sum(axis=1))
    shares = null_space(generator.T)[:, 0]
    assert state_shares(n, ratio, c) == pytest.approx(shares / shares.sum(), rel=1e-9)


@given(st.integers(1, 300), st.floats(0.001, 20), st.integers(1, 8))
def test_quantities_keep_together_for_hundreds_of_machines(n, ratio, c):
    q = finite_source_queue(n, 1, ratio, c)
    assert math.fsum(q.states) == pytest.approx(1, abs=1e-9)
    assert q.stopped + q.running == pytest.approx(n)
    assert q.waiting == pytest.approx(q.stops_per_time * q.mean_wait)  # Little's law
    assert 0 <= q.utilisation <= 1 + 1e-9
    assert 0 <= q.p_wait <= 1 + 1e-9
    assert 0 <= q.waiting_share < 1
    assert q.efficiency <= q.efficiency_alone + 1e-9
    assert not any(math.isnan(v) for v in (q.mean_wait, q.mean_stop, q.efficiency_factor))
    assert (q.waiting == 0) == (n <= c) or q.waiting < 1e-9


@given(st.integers(1, 60), st.floats(0.01, 3))
def test_waiting_grows_with_machines_falls_with_persons_and_with_steadier_service(n, ratio):
    one, more = finite_source_queue(n, 1, ratio), finite_source_queue(n + 1, 1, ratio)
    helped = finite_source_queue(n, 1, ratio, 2)
    assert one.mean_wait <= more.mean_wait + 1e-12
    assert helped.mean_wait <= one.mean_wait + 1e-12
    steady, spread = gamma_service_queue(n, 1, ratio, 0.5), gamma_service_queue(n, 1, ratio, 1)
    assert spread.running == pytest.approx(one.running, rel=1e-9)
    assert gamma_service_queue(n, 1, ratio).running >= steady.running - 1e-9
    assert steady.running >= spread.running - 1e-9


@given(st.integers(1, 40), st.floats(0.01, 3), st.floats(0.001, 1000))
def test_the_unit_of_time_does_not_matter(n, ratio, unit):
    one, other = finite_source_queue(n, 1, ratio), finite_source_queue(n, unit, ratio * unit)
    assert other.states == pytest.approx(one.states)
    assert other.mean_wait == pytest.approx(one.mean_wait * unit, abs=1e-9 * unit)


@pytest.mark.parametrize(("n", "c"), [(1, 1), (6, 1), (10, 3), (200, 12)])
def test_waits_longer_than_a_time_add_up_to_the_mean_wait(n, c):
    """The mean of a time is the integral of the share that is longer."""
    times = np.linspace(0, 300, 1201)
    longer = [share_waiting_longer(n, 30, 5, c, float(t)) for t in times]
    q = finite_source_queue(n, 30, 5, c)
    assert np.trapezoid(longer, times) == pytest.approx(q.mean_wait, rel=1e-3, abs=1e-9)
    assert longer[0] == pytest.approx(q.p_wait)
    assert np.all(np.diff(longer) <= 1e-12)


def test_within_the_time_of_a_share_that_share_is_answered():
    found = wait_not_exceeded(8, 30, 5, 1, 0.9)
    assert share_waiting_longer(8, 30, 5, 1, found) == pytest.approx(0.1)
    assert wait_not_exceeded(3, 30, 5, 3) == 0
    assert wait_not_exceeded(8, 30, 5, 1, 0.05) == 0


def test_most_machines_is_the_last_within_the_limits():
    found = most_machines(30, 5, longest_mean_wait=5)
    assert found.machines == found.at.machines == 5
    assert found.at.mean_wait <= 5 < found.one_more.mean_wait
    both = most_machines(30, 5, longest_mean_wait=5, least_efficiency=0.80)
    assert both.machines == 3  # four machines run 79.6 %
    assert "the stops of 3 machines" in both.sentence
    none = most_machines(30, 5, least_efficiency=0.99)
    assert (none.machines, none.at) == (0, None)


def test_no_machine_is_nothing():
    q = finite_source_queue(0, 30, 5)
    assert (q.states, q.running, q.waiting, q.waiting_share) == ((1.0,), 0, 0, None)


def test_the_sentence_says_what_it_does_not_show():
    said = finite_source_queue(6, 30, 5).sentence
    assert "73.5 % of the time (85.7 % with a person of its own)" in said
    assert "waits 5.8 min on average, and 64 % of the stops find nobody free" in said
    assert "says nothing of checks" in said
    assert "find nobody free" not in gamma_service_queue(6, 30, 5).sentence


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: finite_source_queue(2.5, 30, 5), "machines = 2.5: needs a whole number"),
        (lambda: finite_source_queue(2, 0, 5), "mean_run = 0: needs a number above 0"),
        (lambda: finite_source_queue(2, 30, math.nan), "mean_service = nan"),
        (lambda: finite_source_queue(2, 30, 5, 0), "persons = 0: needs .* at least 1"),
        (lambda: gamma_service_queue(2, 30, 5, -1), "service_cv = -1"),
        (lambda: gamma_service_queue(0, 30, 5), "machines = 0: needs .* at least 1"),
        (lambda: share_waiting_longer(2, 30, 5, 1, -1), "longer_than = -1"),
        (lambda: wait_not_exceeded(2, 30, 5, 1, 1.0), "share = 1.0"),
        (lambda: most_machines(30, 5), "no limit: needs longest_mean_wait"),
        (lambda: most_machines(30, 5, longest_mean_wait=1e9), "500 machines are still within"),
    ],
)
def test_refusals(call, message):
    with pytest.raises(ValueError, match=message):
        call()
