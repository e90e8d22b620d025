"""Outcomes kept beside a freeze come back as they were."""

from datetime import datetime
from decimal import Decimal

import pytest

from witnessmark.errors import UnusableInputError
from witnessmark.record_tests.kept import NAME, keep, load_kept
from witnessmark.record_tests.outcome import Contrast, Counts, Outcome, Sensitivity, UsedCriterion
from witnessmark.stats.proportion import exact_interval

OUTCOME = Outcome(
    slug="late-entry",
    status="assessed",
    counts=Counts(5, 2, {"no time": 3}, {"void": 1}, 1, 0),
    interval=exact_interval(2, 7),
    design_effect=1.5,
    range_low=0.2,
    range_high=0.5,
    strata={"shift": {"night": Counts(1, 2)}},
    contrast=Contrast(1, 4, 1, 3, 0.5, 0.9),
    criteria=(UsedCriterion("late_entry_min", Decimal(30), "min", "WI-021", False),),
    sensitivity=(Sensitivity("late_entry_min", Decimal(30), Decimal(60), "min", 2, 1),),
    rows=({"ref": "C-1", "sentence": "Late.", "lines": ["10", "20"], "n": 4, "none": None},),
    rows_total=2,
    digest="abc",
)


def test_an_outcome_comes_back_whole(tmp_path):
    keep([OUTCOME], tmp_path)
    assert load_kept(tmp_path) == (OUTCOME,)


def test_times_and_decimals_of_rows_come_back_as_they_are_printed(tmp_path):
    row = {
        "ref": "C-1",
        "done_at": datetime.fromisoformat("2026-03-01 05:04"),
        "value": Decimal("12.70"),
    }
    keep([Outcome("late-entry", "assessed", rows=(row,))], tmp_path)
    kept = load_kept(tmp_path)[0].rows[0]
    assert kept == {"ref": "C-1", "done_at": "2026-03-01 05:04:00", "value": "12.70"}


def test_no_run_is_no_outcome_and_a_broken_file_says_what_to_do(tmp_path):
    assert load_kept(tmp_path) == ()
    (tmp_path / NAME).write_text('{"tool_version": 3}')
    with pytest.raises(UnusableInputError, match="Run the tests again"):
        load_kept(tmp_path)
