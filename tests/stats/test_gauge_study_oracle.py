"""Analyses of variance of random studies against statsmodels."""

import itertools
import warnings

import numpy as np
import pytest

from witnessmark.stats.gauge_anova import crossed_anova
from witnessmark.stats.variance import one_way_anova

pytestmark = pytest.mark.oracle

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # what the library warns of on import is its own
    pytest.importorskip("statsmodels.api")
    pandas = pytest.importorskip("pandas")
    from statsmodels.formula.api import ols
    from statsmodels.stats.anova import anova_lm
    from statsmodels.stats.oneway import anova_oneway


@pytest.mark.parametrize("seed", range(4))
def test_crossed_studies_equal_the_library(seed):
    data = np.random.default_rng(seed).normal(5, 2, (4, 3, 2))
    places = list(itertools.product(*map(range, data.shape)))
    rows = {
        "part": [place[0] for place in places],
        "person": [place[1] for place in places],
        "y": [float(data[place]) for place in places],
    }
    table = anova_lm(ols("y ~ C(part) * C(person)", pandas.DataFrame(rows)).fit())
    found = crossed_anova(data)
    names = ("part", "appraiser", "interaction", "error")
    assert [found.ss[name] for name in names] == pytest.approx(table["sum_sq"].tolist())
    assert [found.df[name] for name in names] == pytest.approx(table["df"].tolist())
    assert found.interaction_p == pytest.approx(table["PR(>F)"].iloc[2])


@pytest.mark.parametrize("seed", range(10))
def test_one_way_analyses_equal_the_library(seed):
    generator = np.random.default_rng(seed)
    groups = [generator.normal(5, 2, size) for size in generator.integers(2, 9, 4)]
    found = one_way_anova(groups)
    other = anova_oneway(groups, use_var="equal")
    assert (found.f, found.p) == pytest.approx((other.statistic, other.pvalue))
