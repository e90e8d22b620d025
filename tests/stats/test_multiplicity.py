"""Many looks: expected false alarms, and the share of false ones among those kept."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.stats.multiplicity import expected_false_alarms, false_discovery

probabilities = st.lists(st.floats(0, 1), max_size=40)
BENJAMINI_HOCHBERG = [
    *(0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459),
    *(0.3240, 0.4262, 0.5719, 0.6528, 0.7590, 1.0),
]


def test_sixty_tests_on_twelve_machines():
    """720 looks: 36 false alarms at 5 %, 0.7 at 0.1 %: hand calculation."""
    assert expected_false_alarms(720, 0.05).expected == pytest.approx(36)
    assert round(expected_false_alarms(720, 0.001).expected, 1) == 0.7
    assert expected_false_alarms(0, 0.05).chance_of_any == 0


def test_one_chart_of_sixty_points():
    """1 - 0.9973 ** 60 = 15 %: hand calculation."""
    assert round(expected_false_alarms(60, 0.0026998).chance_of_any, 2) == 0.15


def test_the_worked_example_keeps_four():
    """Benjamini and Hochberg, JRSS B 57 (1995), section 3.2: four of fifteen at 0.05 (memory)."""
    assert sum(false_discovery(BENJAMINI_HOCHBERG, dependence="positive").kept) == 4


@given(probabilities, st.floats(0.01, 0.5))
def test_what_is_kept_is_the_step_up_rule(p, rate):
    found = false_discovery(p, rate, "positive")
    ordered = np.sort(p)
    below = np.flatnonzero(ordered <= rate * np.arange(1, len(p) + 1) / max(len(p), 1) + 1e-15)
    assert sum(found.kept) >= (below.max() + 1 if len(below) else 0) - 1
    strict = false_discovery(p, rate)
    assert all(one or not other for one, other in zip(found.kept, strict.kept, strict=True))
    assert len(found.kept) == len(p)


def test_false_ones_stay_below_their_share():
    generator, shares = np.random.default_rng(7), []
    for _ in range(1500):
        p = np.concatenate([generator.uniform(size=80), generator.beta(0.05, 5, size=20)])
        kept = np.array(false_discovery(p, 0.1, "positive").kept)
        shares.append(kept[:80].sum() / max(kept.sum(), 1))
    assert np.mean(shares) <= 0.1, f"{np.mean(shares):.4f}"
    assert np.mean(shares) > 0.05


def test_sentences():
    assert "about 36 false alarms" in expected_false_alarms(720, 0.05).sentence
    found = false_discovery(BENJAMINI_HOCHBERG, dependence="positive")
    assert found.sentence.startswith("Of 15 looks, 4 stand out")
    assert found.method.endswith("Hochberg")


def test_refusals():
    with pytest.raises(ValueError, match=r"outside 0\.\.1"):
        false_discovery([0.1, 1.2])
    with pytest.raises(ValueError, match="missing or infinite"):
        false_discovery([0.1, np.nan])
    with pytest.raises(ValueError, match="'positive' or 'any'"):
        false_discovery([0.1], dependence="none")
    with pytest.raises(ValueError, match="alpha = 0"):
        expected_false_alarms(3, 0)
