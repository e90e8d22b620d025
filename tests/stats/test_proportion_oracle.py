"""Limits of shares against statsmodels on random inputs."""

import warnings

import numpy as np
import pytest

from witnessmark.stats.approximate_interval import wilson_interval
from witnessmark.stats.proportion import exact_bounds, exact_interval

pytestmark = pytest.mark.oracle


@pytest.fixture(scope="module")
def oracle():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the library's own warnings at import
        return pytest.importorskip("statsmodels.stats.proportion").proportion_confint


def samples():
    generator = np.random.default_rng(7)
    n = generator.integers(1, 500, size=300)
    return generator.binomial(n, generator.uniform(size=300)), n


def test_exact_limits(oracle):
    x, n = samples()
    lower, upper = oracle(x, n, alpha=0.1, method="beta")
    found = exact_bounds(x, n, 0.9)
    assert found.lower == pytest.approx(np.where(x == 0, 0, lower), abs=1e-10)
    assert found.upper == pytest.approx(np.where(x == n, 1, upper), abs=1e-10)
    single = [exact_interval(int(a), int(b), 0.9).upper for a, b in zip(x, n, strict=True)]
    assert single == pytest.approx(found.upper, abs=1e-12)


def test_score_limits(oracle):
    for x, n in zip(*samples(), strict=True):
        lower, upper = oracle(x, n, alpha=0.05, method="wilson")
        found = wilson_interval(int(x), int(n))
        assert (found.lower, found.upper) == pytest.approx((lower, upper), abs=1e-10)
