"""Two rates against statsmodels on random inputs."""

import warnings

import numpy as np
import pytest

from witnessmark.stats.rates import compare_rates, e_test_p, rate_interval

pytestmark = pytest.mark.oracle


@pytest.fixture(scope="module")
def oracle():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the library's own warnings at import
        return pytest.importorskip("statsmodels.stats.rates")


def pairs(times):
    generator = np.random.default_rng(7)
    events = generator.poisson(6, size=(times, 2)).tolist()
    return zip(events, generator.uniform(1, 50, size=(times, 2)).tolist(), strict=True)


def test_conditional_test(oracle):
    for (x1, x2), (t1, t2) in pairs(100):
        found = compare_rates(x1, t1, x2, t2)
        for side, p in (("two-sided", found.p_minimum_likelihood), ("larger", found.p_greater)):
            expected = oracle.test_poisson_2indep(
                x1, t1, x2, t2, method="exact-cond", alternative=side
            )
            assert p == pytest.approx(expected.pvalue, abs=1e-9)


def test_e_test(oracle):
    for (x1, x2), (t1, t2) in pairs(20):
        expected = oracle.test_poisson_2indep(x1, t1, x2, t2, method="etest-wald").pvalue
        assert e_test_p(x1, t1, x2, t2) == pytest.approx(expected, abs=2e-4)


def test_limits_of_one_rate(oracle):
    for (count, _), (exposure, _) in pairs(100):
        lower, upper = oracle.confint_poisson(count, exposure, method="exact-c", alpha=0.1)
        found = rate_interval(count, exposure, 0.9)
        assert (found.lower, found.upper) == pytest.approx((np.nan_to_num(lower), upper), abs=1e-10)
