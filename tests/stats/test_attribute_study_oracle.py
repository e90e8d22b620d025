"""Kappas of random tables against statsmodels."""

import warnings

import numpy as np
import pytest

from witnessmark.stats.agreement import cohen_kappa, fleiss_kappa

pytestmark = pytest.mark.oracle

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # what the library warns of on import is its own
    inter_rater = pytest.importorskip("statsmodels.stats.inter_rater")


@pytest.mark.parametrize("seed", range(20))
def test_kappa_of_two_judges_equals_the_library(seed):
    table = np.random.default_rng(seed).integers(1, 30, (4, 4))
    for weights, given in (("none", None), ("linear", "linear"), ("quadratic", "quadratic")):
        found = cohen_kappa(table, weights)
        other = inter_rater.cohens_kappa(table, wt=given)
        assert found.kappa == pytest.approx(other.kappa, rel=1e-9)
        assert found.se == pytest.approx(other.std_kappa, rel=1e-9)
        assert found.se0 == pytest.approx(other.std_kappa0, rel=1e-9)


@pytest.mark.parametrize("seed", range(20))
def test_kappa_of_many_judges_equals_the_library(seed):
    generator = np.random.default_rng(seed)
    table = generator.multinomial(7, [0.4, 0.3, 0.2, 0.1], size=25)
    found = fleiss_kappa(table)
    assert found.kappa == pytest.approx(inter_rater.fleiss_kappa(table), rel=1e-9)
