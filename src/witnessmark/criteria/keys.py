"""Every threshold a record test may use, with its default and where the default comes from.

A plant's own rule always overrides a default; a default that was used is printed with the result
and varied once (`vary_to`). This module knows no test.
"""

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

PRACTICE = "common practice, no source"
SECONDS = 60

Kind = Literal["minutes", "days", "count", "share"]


@dataclass(frozen=True)
class Key:
    """One threshold.

    Args:
        name: As written in criteria.toml; durations end in `_min`.
        kind: What its value is.
        default: Used where the plant states nothing.
        vary_to: The one other value with which a used default is tried.
        about: What it decides.
        source: Where the default comes from.
    """

    name: str
    kind: Kind
    default: Decimal
    vary_to: Decimal
    about: str
    source: str = PRACTICE

    @property
    def unit(self) -> str:
        """Unit as printed."""
        return {"minutes": "min", "days": "d", "count": "", "share": "0..1"}[self.kind]

    @property
    def parameter(self) -> str:
        """Name of the SQL parameter: durations enter as integer seconds."""
        return self.name.removesuffix("_min") + "_s" if self.kind == "minutes" else self.name

    def as_parameter(self, value: Decimal) -> int | Decimal:
        """The value as its SQL parameter: integer seconds, integers, or a decimal share."""
        if self.kind == "minutes":
            return round(value * SECONDS)
        return value if self.kind == "share" else int(value)


def _key(name: str, kind: Kind, default: str, vary_to: str, about: str) -> Key:
    return Key(name, kind, Decimal(default), Decimal(vary_to), about)


_ALL = (
    _key("patrol_grace_share", "share", "0.10", "0.20",
         "Grace on a check interval, as a share of the interval."),
    _key("patrol_grace_least_min", "minutes", "10", "0", "Least grace on a check interval."),
    _key("patrol_grace_most_min", "minutes", "30", "15", "Most grace on a check interval."),
    _key("restart_threshold_min", "minutes", "30", "60",
         "A stop of at least this length asks for a check at restart; a gap below it joins runs."),
    _key("restart_check_running_min", "minutes", "15", "30",
         "Running time within which a restart is to be checked."),
    _key("jam_group_count", "count", "3", "5", "Jams that count as one restart event."),
    _key("jam_group_window_min", "minutes", "30", "60", "Time within which jams form a group."),
    _key("first_off_window_min", "minutes", "30", "60",
         "Time around the end of a set-up in which its first-off belongs."),
    _key("setup_lookback_min", "minutes", "480", "960",
         "How long before a run's start its set-up record may lie."),
    _key("setup_pieces_allowed", "count", "0", "5",
         "Set-up pieces allowed between the end of set-up and release."),
    _key("hold_within_min", "minutes", "60", "120",
         "Time from detection within which suspect product is to be held."),
    _key("reaction_within_running_min", "minutes", "60", "120",
         "Running time within which a value out of limits is to be reacted to."),
    _key("late_entry_min", "minutes", "30", "60", "Delay from a check to its entry."),
    _key("check_while_stopped_min", "minutes", "30", "60",
         "Standstill before a check from which on no piece can be fresh."),
    _key("stop_answer_min", "minutes", "15", "30",
         "Time within which a stop on a machine without attendance is to be answered."),
    _key("unallocated_least_min", "minutes", "10", "20",
         "Shortest stretch of running without allocation that counts."),
    _key("handover_window_min", "minutes", "30", "45",
         "Time around a change of shift in which its handover belongs."),
    _key("gauge_grace_days", "days", "0", "7", "Days that a gauge may be used past its due date."),
    _key("red_action_working_days", "days", "2", "3",
         "Working days within which a red day is to have its action."),
    _key("standing_reds", "count", "3", "4", "Reds of one reason that make it standing."),
    _key("standing_days", "days", "28", "56", "Days over which reds of one reason are counted."),
    _key("alpha", "share", "0.01", "0.001", "Error probability of the exact share test."),
    _key("status_saturated_days", "days", "60", "90",
         "Days of one colour from which on a letter carries no information."),
    _key("status_drift_days", "days", "2", "3",
         "Days that no common threshold of two months explains, from which on it has moved."),
    _key("attainment_green_share", "share", "0.80", "0.90",
         "Share of green days from which on a delivery letter counts as green."),
    _key("delivery_target_share", "share", "1.00", "0.95",
         "Share of order lines to be shipped complete by their original date."),
    _key("stock_cover_days", "days", "0", "7",
         "Days by which stock lets a delivery follow the schedule attainment that feeds it."),
    _key("attainment_drop_share", "share", "0.05", "0.10",
         "Attainment gained by rewriting a schedule that counts as an exception."),
    _key("overtime_weeks", "count", "8", "6", "Weeks with overtime production in thirteen."),
    _key("state_sum_tolerance_share", "share", "0.05", "0.10",
         "Share of a shift by which its states may differ from its length."),
    _key("uncoded_stop_share", "share", "0.15", "0.25",
         "Share of stop time that may stand without a reason."),
    _key("output_over_share", "share", "0.03", "0.10",
         "Share by which output may exceed running time at the ideal rate."),
)  # fmt: skip

KEYS: dict[str, Key] = {key.name: key for key in _ALL}
"""All thresholds by name, in the order of the documentation."""
