"""Several tables against statsmodels on random inputs."""

import warnings

import numpy as np
import pytest

from witnessmark.stats.declared_recomputed import declared_agreement
from witnessmark.stats.odds_ratio import mantel_haenszel

pytestmark = pytest.mark.oracle


@pytest.fixture(scope="module")
def oracle():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the library's own warnings at import
        return pytest.importorskip("statsmodels.stats.contingency_tables")


def test_mantel_haenszel(oracle):
    generator = np.random.default_rng(7)
    for _ in range(40):
        tables = generator.integers(1, 30, size=(generator.integers(1, 6), 2, 2))
        found = mantel_haenszel(tables)
        expected = oracle.StratifiedTable([table.astype(float) for table in tables])
        assert found.odds_ratio == pytest.approx(expected.oddsratio_pooled)
        limits = expected.oddsratio_pooled_confint()
        assert (found.lower, found.upper) == pytest.approx(limits)
        test = expected.test_null_odds(correction=True)
        if found.statistic > 0:
            assert found.statistic == pytest.approx(test.statistic)
            assert found.p_two_sided == pytest.approx(test.pvalue)


def test_paired_direction(oracle):
    generator = np.random.default_rng(7)
    for _ in range(40):
        table = generator.integers(0, 30, size=(2, 2))
        expected = oracle.mcnemar(table, exact=True).pvalue
        found = declared_agreement(table).direction.p_two_sided
        assert found == pytest.approx(expected)
