"""Clean days in a row: figures of practice."""

import pytest

from witnessmark.stats.clean_days import clean_days_needed


@pytest.mark.parametrize(("share", "days"), [(0.1, 29), (0.2, 14), (0.3, 9), (0.5, 5)])
def test_clean_days_in_a_row(share, days):
    found = clean_days_needed(share)
    assert found.days == days
    assert "weekdays prove nothing about weekends" in found.assumptions[0]
    assert (1 - share) ** days <= 0.05 < (1 - share) ** (days - 1)


def test_a_share_that_is_none_is_refused():
    with pytest.raises(ValueError, match="a number between 0 and 1"):
        clean_days_needed(0)
