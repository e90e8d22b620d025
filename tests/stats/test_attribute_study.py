"""Kappas against published values, attribute studies by hand and by simulation."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats.agreement import cohen_kappa, fleiss_kappa
from witnessmark.stats.attribute_study import attribute_study

TOPIC = "attribute_agreement"


def _cohen(inputs):
    found = cohen_kappa(inputs["counts_row_judge1_col_judge2"])
    return {
        "po": found.observed,
        "pe": found.expected,
        "kappa": found.kappa,
        "se_kappa": found.se,
        "ci95": [found.lower, found.upper],
        "se0": found.se0,
        "z": found.z,
        "printed_kappa": (found.kappa, "printed"),
    }


def _weighted(inputs):
    return {
        weights: cohen_kappa(inputs["counts"], weights).kappa for weights in ("linear", "quadratic")
    }


def _printout(inputs):
    plain, linear = (cohen_kappa(inputs["counts"], weights) for weights in ("none", "linear"))
    return {
        "kappa": plain.kappa,
        "ase": plain.se,
        "ci95": [plain.lower, plain.upper],
        "ase0": plain.se0,
        "z": plain.z,
        "p_two_sided": plain.p,
        "weighted_linear_kappa": linear.kappa,
        "weighted_ase": linear.se,
        "weighted_ci95": [linear.lower, linear.upper],
        "weighted_ase0": linear.se0,
        "weighted_z": linear.z,
    }


def _fleiss(inputs):
    found = fleiss_kappa(inputs["rows_patients_counts_per_category"])
    return {
        "kappa": found.kappa,
        "P_bar": found.agreement,
        "P_e": found.expected,
        "p_j": list(found.shares),
        "kappa_by_category": list(found.by_category),
        "se0_overall": found.se0,
        "z_overall": found.z,
        "z_by_category": list(found.z_by_category),
    }


def _fourteen(inputs):
    found = fleiss_kappa(inputs["counts"])
    return {
        "kappa": found.kappa,
        "P_bar": found.agreement,
        "P_e": found.expected,
        "P_i": list(found.by_unit),
    }


def _crosstabs(inputs):
    found = {pair: cohen_kappa(counts) for pair, counts in inputs.items()}
    values = {}
    for pair, kappa in found.items():
        values |= {
            f"{pair}.kappa": kappa.kappa,
            f"{pair}.po": kappa.observed,
            f"{pair}.pe": kappa.expected,
            f"{pair}.printed": (kappa.kappa, "printed"),
        }
    return values


FOUND = {
    "kappa-cohen-matrix": _cohen,
    "kappa-linear-quadratic": _weighted,
    "kappa-3x3-printout": _printout,
    "kappa-fleiss-1971": _fleiss,
    "kappa-fleiss-14-raters": _fourteen,
    "kappa-aiag-crosstabs": _crosstabs,
    "kappa-edge": lambda inputs: {
        "kappa": [cohen_kappa(table).kappa for table in inputs["tables"]]
    },
}


def test_published(item, agrees):
    agrees(item, FOUND[item["id"]](item["inputs"]))


@pytest.mark.parametrize("weights", ["none", "linear"])
def test_limits_of_kappa_cover_nearly_what_they_say(weights):
    """Normal limits: two points below the level are allowed at n = 150."""
    generator = np.random.default_rng(7)
    chances = np.array([[0.30, 0.06, 0.02], [0.05, 0.22, 0.05], [0.02, 0.06, 0.22]])
    true = cohen_kappa(np.round(chances * 10_000), weights).kappa
    drawn = generator.multinomial(150, chances.ravel(), size=1500).reshape(-1, 3, 3)
    found = [cohen_kappa(table, weights) for table in drawn]
    inside = np.mean([one.lower <= true <= one.upper for one in found])
    assert inside >= 0.93 - 3 * math.sqrt(0.05 * 0.95 / 1500), f"{weights}: {inside:.4f}"


def test_judges_who_guess_are_found_to_agree_beyond_chance_as_seldom_as_said():
    generator = np.random.default_rng(7)
    chances = np.outer([0.5, 0.3, 0.2], [0.4, 0.4, 0.2])
    drawn = generator.multinomial(200, chances.ravel(), size=2000).reshape(-1, 3, 3)
    below = np.mean([cohen_kappa(table).p < 0.05 for table in drawn])
    assert below == pytest.approx(0.05, abs=3 * math.sqrt(0.05 * 0.95 / 2000)), below


tables = st.lists(
    st.lists(st.integers(0, 30), min_size=3, max_size=3), min_size=3, max_size=3
).filter(lambda table: sum(map(sum, table)) > 0)


@given(tables)
def test_kappa_does_not_change_when_judges_swap_or_categories_turn(table):
    counts = np.array(table)
    for weights in ("none", "linear", "quadratic"):
        one = cohen_kappa(counts, weights)
        for other in (cohen_kappa(counts.T, weights), cohen_kappa(counts[::-1, ::-1], weights)):
            assert (one.kappa is None) == (other.kappa is None)
            if one.kappa is not None:
                assert other.kappa == pytest.approx(one.kappa, abs=1e-9)
                assert other.se == pytest.approx(one.se, abs=1e-7)
        if one.kappa is not None:
            assert not math.isnan(one.se)
            assert -1 <= one.lower <= one.kappa + 1e-12
            assert one.kappa - 1e-12 <= one.upper <= 1


def test_two_categories_weigh_alike():
    plain = cohen_kappa([[44, 6], [3, 97]])
    for weights in ("linear", "quadratic"):
        assert cohen_kappa([[44, 6], [3, 97]], weights).kappa == pytest.approx(plain.kappa)


def test_one_category_throughout_is_said():
    found = cohen_kappa([[20, 0], [0, 0]])
    assert (found.kappa, found.se, found.z) == (None, None, None)
    assert "kappa is not defined" in found.sentence
    many = fleiss_kappa([[3, 0], [3, 0]])
    assert (many.kappa, many.by_category) == (None, (None, None))
    assert "kappa is not defined" in many.sentence


def test_complete_agreement_of_many_is_one():
    found = fleiss_kappa([[4, 0, 0], [0, 4, 0], [0, 0, 4]])
    assert found.kappa == pytest.approx(1)
    assert found.by_category == pytest.approx((1, 1, 1))


REFERENCE = [1] * 12 + [0] * 12


def _judged(generator, misses, alarms, trials=3):
    chance = np.where(np.array(REFERENCE) == 1, 1 - alarms, misses)
    return (generator.random((24, trials)) < chance[:, None]).astype(int)


def test_counts_of_a_study_are_those_made_by_hand():
    decisions = {
        "A": [[1, 1]] * 12 + [[0, 0]] * 10 + [[0, 1], [1, 1]],
        "night": [[1, 1]] * 9 + [[0, 1], [0, 0], [0, 0]] + [[0, 0]] * 12,
    }
    found = attribute_study(decisions, REFERENCE)
    one, two = found.by_appraiser["A"], found.by_appraiser["night"]
    assert (one.misses.rate, one.false_alarms.rate) == (3 / 24, 0)
    assert (one.effectiveness.rate, one.consistency.rate) == (22 / 24, 23 / 24)
    assert one.missed_parts == 2
    assert (two.misses.rate, two.false_alarms.rate) == (0, 5 / 24)
    assert two.misses.upper == pytest.approx(1 - 0.025 ** (1 / 24))  # 0 of 24, exact
    assert two.effectiveness.rate == 21 / 24
    assert (found.parts, found.bad_parts, found.trials) == (24, 12, 2)
    assert one.kappa.kappa == pytest.approx(1 - 2 * 3 / 48)  # 45 of 48 right, half by chance
    assert found.between.raters == 4
    assert "night: bad parts accepted 0 of 24 (0 %, 0 % to 14.2 %)" in found.sentence


def test_limits_of_misses_cover_at_least_what_they_say():
    generator = np.random.default_rng(7)
    inside = 0
    for _ in range(400):
        found = attribute_study({"A": _judged(generator, 0.1, 0.05)}, REFERENCE)
        limits = found.by_appraiser["A"].misses
        inside += limits.lower <= 0.1 <= limits.upper
    assert inside / 400 >= 0.95 - 3 * math.sqrt(0.05 * 0.95 / 400), inside / 400


def test_a_study_of_good_parts_only_says_nothing_of_misses():
    found = attribute_study({"A": [[1, 1]] * 5}, [1] * 5)
    one = found.by_appraiser["A"]
    assert (one.misses.rate, one.misses.lower, one.misses.upper) == (None, 0, 1)
    assert one.kappa.kappa is None
    assert "bad parts accepted not seen (no such part)" in found.sentence
    assert "each with 95 % limits" in one.sentence
    assert "0, fewer than 10" in found.assumptions[1]


@given(st.permutations(range(24)))
def test_the_order_of_parts_does_not_matter(order):
    generator = np.random.default_rng(7)
    decisions = {name: _judged(generator, 0.2, 0.1) for name in ("A", "B")}
    turned = {name: rows[order] for name, rows in decisions.items()}
    one = attribute_study(decisions, REFERENCE)
    other = attribute_study(turned, np.array(REFERENCE)[order])
    assert other.by_appraiser["A"].misses == one.by_appraiser["A"].misses
    assert other.between.kappa == pytest.approx(one.between.kappa)


def test_appraisers_stand_in_the_order_given():
    generator = np.random.default_rng(7)
    worse, better = _judged(generator, 0.5, 0.5), _judged(generator, 0, 0)
    found = attribute_study({"night": worse, "day": better}, REFERENCE)
    assert list(found.by_appraiser) == ["night", "day"]
    assert found.sentence.index("night") < found.sentence.index("day")


@pytest.mark.parametrize(
    ("call", "why"),
    [
        (lambda: cohen_kappa([[1, 2, 3], [1, 2, 3]]), "the same categories for both judges"),
        (lambda: cohen_kappa([1, 2]), "1 dimensions: needs a table"),
        (lambda: cohen_kappa([[0, 0], [0, 0]]), "no unit"),
        (lambda: cohen_kappa([[1, -2], [0, 0]]), "counts = -2"),
        (lambda: cohen_kappa([[1, math.nan], [0, 0]]), "counts = nan"),
        (lambda: cohen_kappa([[1, 0.5], [0, 0]]), "counts = 0.5"),
        (lambda: cohen_kappa([[1, 0], [0, 1]], "cubic"), "none, linear or quadratic"),
        (lambda: cohen_kappa([[1, 0], [0, 1]], confidence=0), "confidence = 0"),
        (lambda: fleiss_kappa([[1, 2], [3, 1]]), "unequally often"),
        (lambda: fleiss_kappa([[1, 0], [0, 1]]), "unequally often or once"),
        (lambda: fleiss_kappa([[1, 2]]), "at least 2 units"),
        (lambda: attribute_study({}, [1, 0]), "no appraiser"),
        (lambda: attribute_study({"A": [1, 0]}, []), "reference: 0 values"),
        (lambda: attribute_study({"A": [1, 2]}, [1, 0]), "decisions of A: 2"),
        (lambda: attribute_study({"A": [1, math.nan]}, [1, 0]), "1 of 2 values are missing"),
        (lambda: attribute_study({"A": [1, 0, 1]}, [1, 0]), "2 parts by at least 1 trial"),
        (lambda: attribute_study({"A": [[1, 0], [1]]}, [1, 0]), "rows of different length"),
        (lambda: attribute_study({"A": [1, 0], "B": [[1, 0]] * 2}, [1, 0]), "as many trials"),
        (lambda: attribute_study({"A": [1, 0]}, [[1, 0]]), "one value for each part"),
    ],
)
def test_unfit_numbers_are_refused(call, why):
    with pytest.raises(UnfitNumbersError, match=why):
        call()
