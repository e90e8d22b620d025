"""Look-ups in the standard's tables: structure of the tables, arrows, whole lots, refusals."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.stats.acceptance import acceptance_curve
from witnessmark.stats.indexed_plans import _tables, indexed_plan

AQLS = _tables()["aql"]
LEVELS = _tables()["levels"]


@pytest.mark.parametrize("kind", ["normal", "tightened", "reduced"])
def test_numbers_depend_on_the_diagonal_only(kind):
    """One letter down and one AQL finer has the same plan: how the tables were made (no source)."""
    seen = {}
    for place, (_, cells) in enumerate(_tables()[kind].values()):
        for column, cell in enumerate(cells):
            if isinstance(cell, list):
                seen.setdefault(place + column, set()).add(tuple(cell))
    assert all(len(plans) == 1 for plans in seen.values()), seen
    accepted = [plans.copy().pop()[0] for _, plans in sorted(seen.items())]
    assert accepted == sorted(accepted)


@given(st.integers(2, 10**7), st.sampled_from(AQLS), st.sampled_from(LEVELS))
def test_every_place_leads_to_a_plan(lot, aql, level):
    for kind in ("normal", "tightened"):
        plan = indexed_plan(lot, aql, level, kind)
        assert plan.reject == plan.accept + 1
        assert plan.n <= lot
        assert plan.inspect_all == (plan.n == lot)
        assert plan.checked


@given(st.integers(2, 10**6), st.sampled_from(AQLS), st.sampled_from(LEVELS))
def test_tightened_never_passes_more_than_normal_at_the_same_sample(lot, aql, level):
    normal, tightened = (indexed_plan(lot, aql, level, k) for k in ("normal", "tightened"))
    if normal.plan_letter == tightened.plan_letter:
        assert tightened.accept <= normal.accept


def test_a_lot_at_the_aql_mostly_passes_normal_inspection():
    """Common practice: normal plans accept a lot at the AQL in 85 % of cases or more."""
    for aql in (0.65, 1.0, 2.5, 4.0):
        for lot in (200, 1000, 5000, 40_000):
            plan = indexed_plan(lot, aql)
            chance = acceptance_curve(plan.n, plan.accept, [aql / 100]).chances[0]
            assert chance > 0.85, f"{lot} {aql}: {chance:.3f}"


def test_a_sample_that_reaches_the_lot_looks_at_all():
    plan = indexed_plan(20, 0.065)
    assert (plan.n, plan.inspect_all, plan.accept) == (20, True, 0)
    assert "every one of the 20 items" in plan.sentence


def test_sentence_names_letters_and_warns_of_the_aql():
    assert indexed_plan(60, 1.5).sentence == (
        "Normal inspection, level II, AQL 1.5 (letter E, plan of letter D): look at 8 items of 60, "
        "accept with at most 0, reject with 1 or more. The AQL is no rate that an accepted lot has."
    )


def test_reduced_inspection_says_its_table_is_unchecked():
    plan = indexed_plan(1000, 1.0, inspection="reduced")
    assert (plan.n, plan.accept, plan.reject, plan.checked) == (32, 1, 3, False)
    assert "recalled" in plan.sentence
    assert any("recalled" in one for one in plan.assumptions)


def test_refusals():
    with pytest.raises(ValueError, match="needs a look into table II-C"):
        indexed_plan(10, 1.0, inspection="reduced")
    with pytest.raises(ValueError, match="needs a look into table II-C"):
        indexed_plan(1000, 0.25, inspection="reduced")
    with pytest.raises(ValueError, match=r"aql = 2\.0: needs one of 0\.01, 0\.015"):
        indexed_plan(1000, 2)
    with pytest.raises(ValueError, match="level = IV: needs one of S-1"):
        indexed_plan(1000, 1.0, "IV")
    with pytest.raises(ValueError, match="inspection = strict"):
        indexed_plan(1000, 1.0, inspection="strict")
    with pytest.raises(ValueError, match="lot = 1: needs a whole number of at least 2"):
        indexed_plan(1, 1.0)
