"""Consecutive production days red on one letter."""

from datetime import date

from tables import derive, pick

BOARD = """
board_statuses
| area | letter | production_date | shift | colour |
|------|--------|-----------------|-------|--------|
| A    | Q      | 2026-03-05      | early | red    |
| A    | Q      | 2026-03-05      | late  | green  |
| A    | Q      | 2026-03-06      | late  | red    |
| A    | Q      | 2026-03-08      |       | none   |
| A    | Q      | 2026-03-09      | early | red    |
| A    | Q      | 2026-03-10      | early | green  |
| A    | Q      | 2026-03-11      | early | red    |
| A    | D      | 2026-03-12      |       | green  |
| A    | Q      | 2026-03-13      |       | red    |
"""


def test_an_episode_spans_days_without_production_and_ends_at_any_other_colour_or_none():
    rows = derive("red_episodes", BOARD)
    assert pick(rows, "production_date", "episode_from", "day_in_episode") == [
        (date(2026, 3, 5), date(2026, 3, 5), 1),
        (date(2026, 3, 6), date(2026, 3, 5), 2),
        (date(2026, 3, 9), date(2026, 3, 5), 3),
        (date(2026, 3, 11), date(2026, 3, 11), 1),
        (date(2026, 3, 13), date(2026, 3, 13), 1),
    ]
