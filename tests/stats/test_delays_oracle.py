"""Correction for the number of comparisons against an independent library."""

import numpy as np
import pytest

from witnessmark.stats.delays import compare_delay_groups, compare_delays

multitest = pytest.importorskip("statsmodels.stats.multitest")
pytestmark = pytest.mark.oracle


@pytest.mark.parametrize("seed", range(5))
def test_holm(seed):
    generator = np.random.default_rng(seed)
    groups = {
        name: generator.exponential(mean, 15)
        for name, mean in zip("abcd", (8, 9, 14, 30), strict=True)
    }
    found = compare_delay_groups(groups)
    alone = [compare_delays(groups[a], groups[b]).p for a, b in (one.names for one in found)]
    assert [one.p for one in found] == pytest.approx(
        multitest.multipletests(alone, method="holm")[1]
    )
