"""How limits are written on the page of a record test."""

from decimal import Decimal

from witnessmark.record_tests.outcome import Outcome, Sensitivity, UsedCriterion
from witnessmark.report.gather.pages import criteria_of


def test_a_share_is_written_as_a_percentage_and_minutes_as_minutes():
    used = (
        UsedCriterion("patrol_grace_share", Decimal("0.10"), "0..1", "s", is_default=True),
        UsedCriterion("late_entry_min", Decimal("30.0"), "min", "s", is_default=True),
    )
    varied = (
        Sensitivity("patrol_grace_share", Decimal("0.10"), Decimal("0.25"), "0..1", 224, 219),
    )
    found = criteria_of(Outcome("x", "assessed", criteria=used, sensitivity=varied))
    assert [one.value for one in found] == ["10 %", "30 min"]
    assert found[0].sensitivity == "At 25 % there would be 219 exceptions instead of 224."
