"""Survival curve and log-rank against an independent library, on random inputs."""

import warnings

import numpy as np
import pytest

from witnessmark.stats.logrank import logrank
from witnessmark.stats.survival import restricted_mean, survival_curve

with warnings.catch_warnings():
    # Deprecations of the library's own imports are not ours to mend.
    warnings.simplefilter("ignore")
    lifelines = pytest.importorskip("lifelines")
    lifelines_statistics = pytest.importorskip("lifelines.statistics")
    lifelines_utils = pytest.importorskip("lifelines.utils")

pytestmark = [
    pytest.mark.oracle,
    pytest.mark.filterwarnings("ignore::DeprecationWarning:lifelines"),
    pytest.mark.filterwarnings("ignore::FutureWarning:lifelines"),
]


def _data(seed, n):
    generator = np.random.default_rng(seed)
    return generator.exponential(20, n).round(), generator.random(n) < 0.6


@pytest.mark.parametrize("seed", range(5))
def test_curve_limits_median_and_mean(seed):
    days, closed = _data(seed, 40)
    fit = lifelines.KaplanMeierFitter().fit(days, closed)
    found = survival_curve(days, closed)
    limits = fit.confidence_interval_
    for row in found.rows:
        assert row.open_share == pytest.approx(fit.predict(row.time))
        if row.open_share > 0:
            lower, upper = limits.loc[row.time]
            assert (row.lower, row.upper) == pytest.approx((lower, upper))
    want = fit.median_survival_time_
    assert found.median == (None if np.isinf(want) else want)
    mean = lifelines_utils.restricted_mean_survival_time(fit, t=20)
    assert restricted_mean(days, closed, 20).mean == pytest.approx(mean)


@pytest.mark.parametrize("seed", range(4))
def test_logrank_of_three_groups(seed):
    generator = np.random.default_rng(seed)
    groups = [_data(100 * seed + k, int(generator.integers(8, 30))) for k in range(3)]
    days = np.concatenate([g[0] for g in groups])
    closed = np.concatenate([g[1] for g in groups])
    names = np.repeat([0, 1, 2], [len(g[0]) for g in groups])
    want = lifelines_statistics.multivariate_logrank_test(days, names, closed)
    found = logrank(groups)
    assert found.chi2 == pytest.approx(want.test_statistic)
    assert found.p == pytest.approx(want.p_value)
