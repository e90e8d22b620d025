"""How far a clock stood from true time, from events that two systems both recorded.

Gives what the plant would enter as clock fixes: true time = shown time - offset. Seconds in,
seconds out; knows no record and no calendar.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.stats import binom, median_abs_deviation, theilslopes

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.require import Numbers
from witnessmark.stats.result import counted, percent

HOUR = 3600
DAY = 86400
LEAST_STEP = 1800
NEAR_AN_HOUR = 600
WINDOW = 5
LEAST_BESIDE_A_STEP = 3
MOST_PAIRS = 2000


@dataclass(frozen=True)
class ClockFix:
    """One row for the table of clocks.

    Args:
        valid_from_s: From when it holds, as the clock itself showed it.
        offset_s: Shown minus true time at that instant; a fast clock has a positive offset.
        drift_s_per_day: How much the offset grows in a day; None: taken as steady.
        method: How it was found.
        n_pairs: Number of pairs behind it.
    """

    valid_from_s: float
    offset_s: int
    drift_s_per_day: float | None
    method: str
    n_pairs: int


@dataclass(frozen=True)
class ClockStep:
    """A sudden change of the offset.

    Args:
        after_s: True time of the last pair before it.
        before_s: True time of the first pair after it.
        size_s: By how much the offset changed; whole hours exactly.
        hours: Its size in hours; None where it is not near a whole hour.
    """

    after_s: float
    before_s: float
    size_s: float
    hours: int | None


@dataclass(frozen=True)
class DayOffset:
    """The offset on one day (in days since the origin of the true times)."""

    day: int
    n_pairs: int
    median_s: float


@dataclass(frozen=True)
class ClockOffset:
    """How far a clock stood from true time.

    Args:
        offset_s: Median of shown minus true time, steps taken off; where the clock drifts, that
            at the middle pair, where the drift disturbs it least.
        lower_s: Its lower limit.
        upper_s: Its upper limit.
        residual_s: Scatter of single pairs about it (1.4826 x median absolute deviation).
        drift_s_per_day: Slope; None where the pairs span less than a day.
        drift_lower: Its lower limit.
        drift_upper: Its upper limit.
        steps: Sudden changes.
        by_day: Median by day, nothing taken off.
        fixes: What would be entered for the clock, one from each step on.
        n_pairs: Number of pairs.
        days: Time from the first to the last pair.
        confidence: Two-sided confidence of the limits.
        assumptions: What must hold.
    """

    offset_s: float
    lower_s: float
    upper_s: float
    residual_s: float
    drift_s_per_day: float | None
    drift_lower: float | None
    drift_upper: float | None
    steps: tuple[ClockStep, ...]
    by_day: tuple[DayOffset, ...]
    fixes: tuple[ClockFix, ...]
    n_pairs: int
    days: float
    confidence: float
    assumptions: tuple[str, ...]
    method: str = "median difference of paired events; drift by Theil-Sen"

    @property
    def drifts(self) -> bool:
        """Whether the limits of the drift leave out no drift at all."""
        if self.drift_lower is None or self.drift_upper is None:
            return False
        return self.drift_lower > 0 or self.drift_upper < 0

    @property
    def sentence(self) -> str:
        """The offset in words."""
        way = "ahead of" if self.offset_s >= 0 else "behind"
        before = " before its first step" if self.steps else ""
        low, high = sorted((abs(self.lower_s), abs(self.upper_s)))
        if self.lower_s < 0 < self.upper_s:
            limits = f"{self.lower_s:.0f} to {self.upper_s:.0f} s"
        else:
            limits = f"{low:.0f} to {high:.0f} s"
        return (
            f"By {counted(self.n_pairs, 'pair')} of events over {self.days:.1f} days the clock "
            f"stood {abs(self.offset_s):.0f} s {way} true time{before} ({limits}, "
            f"{percent(self.confidence)} confidence); single pairs scatter by about "
            f"{self.residual_s:.0f} s. {self._drift_words()} {self._step_words()} This holds for "
            "the time that the pairs cover and for this clock only."
        )

    def _drift_words(self) -> str:
        if self.drift_s_per_day is None:
            return "The pairs lie too close together to show a drift."
        limits = f"{self.drift_lower:.2f} to {self.drift_upper:.2f} s a day"
        if self.drifts:
            return f"It drifts by {self.drift_s_per_day:.2f} s a day ({limits})."
        return f"No drift is demonstrated ({limits})."

    def _step_words(self) -> str:
        if not self.steps:
            return "No step was found."
        sizes = ", ".join(
            f"{step.size_s:+.0f} s" if step.hours is None else f"{step.hours:+d} h"
            for step in self.steps
        )
        return f"It was set or changed to summer or winter time: {sizes}."


def clock_offset(shown_s: ArrayLike, true_s: ArrayLike, confidence: float = 0.95) -> ClockOffset:
    """Answers how far a clock stood from true time, whether it drifted, and when it was set.

    Differences d = shown - true. A step is where the medians of the 5 pairs before and after
    differ by more than half an hour (and four times the scatter of neighbours); near a whole hour
    it counts as whole hours. With steps taken off, drift is the median of all pairwise slopes and
    the offset the median of what is left.

    Args:
        shown_s: When the clock showed each event.
        true_s: When it happened by the reference clock.
        confidence: Two-sided confidence of the limits.

    Returns:
        Offset, drift, steps, scatter, and the rows to enter, one from the first pair and from
        each step on. Drift enters a row only where its limits leave out 0.

    Raises:
        UnfitNumbersError: Fewer pairs than limits on a median need (6 at 95 %), missing values,
            or rows of different length.

    Shapes:
        shown_s, true_s: (n_pairs,), in any order.

    Units:
        Seconds since one origin for both, such as 1970-01-01 in UTC.

    Assumes:
        Both systems recorded the same event, at the same moment of it; pairs are independent;
        the clock runs evenly between its steps, and little (below half an hour) over ten pairs.

    Source:
        Theil 1950, Sen, J. Amer. Statist. Assoc. 63 (1968) 1379-1389 (drift); limits of the median
        by order statistics: Conover, Practical Nonparametric Statistics, 3rd ed. 1999, 3.2.

    Examples:
        >>> true = [0, 5_000, 40_000, 90_000, 130_000, 170_000, 260_000]
        >>> off = [268, 275, 270, 271, 266, 272, 270]
        >>> found = clock_offset([t + d for t, d in zip(true, off)], true)
        >>> found.fixes[0].offset_s, found.drifts, found.steps
        (270, False, ())
    """
    shown, true = require.numbers("shown_s", shown_s), require.numbers("true_s", true_s)
    require.same_length(shown_s=shown, true_s=true)
    require.share("confidence", confidence)
    # Fewer pairs give no two-sided limits on a median: 2 x 0.5^n must be below 1 - confidence.
    least = math.floor(1 - math.log2(1 - confidence)) + 1
    if len(true) < least:
        raise UnfitNumbersError(
            f"{counted(len(true), 'pair')} of events",
            f"at least {least} to give the offset with limits of {percent(confidence)} confidence",
        )
    order = np.argsort(true, kind="stable")
    shown, true = shown[order], true[order]
    difference = shown - true
    starts, steps = _steps(true, difference)
    taken_off = _level(len(true), starts, steps)
    days = (true - true[0]) / DAY
    level = difference - taken_off
    drift = _drift(level, days, confidence)
    entered = drift[0] if drift is not None and (drift[1] > 0 or drift[2] < 0) else 0.0
    middle = float(np.median(days))
    rest = level - entered * (days - middle)
    offset = float(np.median(rest))
    lower, upper = _median_limits(rest, confidence)
    residual = float(median_abs_deviation(rest, scale="normal"))
    return ClockOffset(
        offset_s=offset,
        lower_s=lower,
        upper_s=upper,
        residual_s=residual,
        drift_s_per_day=None if drift is None else drift[0],
        drift_lower=None if drift is None else drift[1],
        drift_upper=None if drift is None else drift[2],
        steps=steps,
        by_day=_by_day(true, difference),
        fixes=_fixes(shown, days - middle, starts, offset + taken_off, entered),
        n_pairs=len(true),
        days=float(days[-1]),
        confidence=confidence,
        assumptions=_assumptions(shown, true, starts, residual, rest - offset),
    )


def _steps(true: Numbers, difference: Numbers) -> tuple[list[int], tuple[ClockStep, ...]]:
    """Index of the first pair after each step, and the steps."""
    neighbours = np.abs(np.diff(difference))
    least = max(LEAST_STEP, 4 * 1.4826 * float(np.median(neighbours)) / math.sqrt(2))
    n, starts, group = len(true), [], []
    for i in range(LEAST_BESIDE_A_STEP, n - LEAST_BESIDE_A_STEP + 1):
        if abs(_jump(difference, i)) > least:
            group.append(i)
        elif group:
            starts.append(_clearest(difference, group))
            group = []
    if group:
        starts.append(_clearest(difference, group))
    steps = []
    for i in starts:
        size = _jump(difference, i)
        hours = round(size / HOUR)
        whole = hours != 0 and abs(size - HOUR * hours) <= NEAR_AN_HOUR
        steps.append(
            ClockStep(
                after_s=float(true[i - 1]),
                before_s=float(true[i]),
                size_s=float(HOUR * hours) if whole else size,
                hours=hours if whole else None,
            )
        )
    return starts, tuple(steps)


def _jump(difference: Numbers, i: int) -> float:
    before, after = difference[max(0, i - WINDOW) : i], difference[i : i + WINDOW]
    return float(np.median(after) - np.median(before))


def _clearest(difference: Numbers, group: list[int]) -> int:
    """Of neighbouring places the one that leaves the least distance to the medians beside it."""
    low, high = max(0, group[0] - WINDOW), group[-1] + WINDOW

    def left(i: int) -> float:
        parts = difference[low:i], difference[i:high]
        return float(sum(np.sum(np.abs(part - np.median(part))) for part in parts))

    return min(group, key=left)


def _level(n: int, starts: list[int], steps: tuple[ClockStep, ...]) -> Numbers:
    """Summed size of the steps up to each pair."""
    level = np.zeros(n)
    for start, step in zip(starts, steps, strict=True):
        level[start:] += step.size_s
    return level


def _median_limits(rest: Numbers, confidence: float) -> tuple[float, float]:
    """Order statistics between which the median lies with at least this confidence."""
    outside = int(binom.ppf((1 - confidence) / 2, len(rest), 0.5))
    ordered = np.sort(rest)
    return float(ordered[outside - 1]), float(ordered[-outside])


def _drift(level: Numbers, days: Numbers, confidence: float) -> tuple[float, float, float] | None:
    if days[-1] < 1:
        return None
    every = math.ceil(len(days) / MOST_PAIRS)
    found = theilslopes(level[::every], days[::every], alpha=confidence)
    return float(found.slope), float(found.low_slope), float(found.high_slope)


def _by_day(true: Numbers, difference: Numbers) -> tuple[DayOffset, ...]:
    day: NDArray[np.int64] = np.floor(true / DAY).astype(np.int64)
    return tuple(
        DayOffset(int(one), int(np.sum(day == one)), float(np.median(difference[day == one])))
        for one in np.unique(day)
    )


def _fixes(
    shown: Numbers, days_from_middle: Numbers, starts: list[int], offset: Numbers, drift: float
) -> tuple[ClockFix, ...]:
    fixes = []
    ends = [*starts, len(shown)]
    for start, end in zip([0, *starts], ends, strict=True):
        fixes.append(
            ClockFix(
                valid_from_s=float(shown[start]),
                offset_s=round(float(offset[start] + drift * days_from_middle[start])),
                drift_s_per_day=round(drift, 3) if drift else None,
                method=f"median difference of {len(shown)} paired events",
                n_pairs=end - start,
            )
        )
    return tuple(fixes)


def _assumptions(
    shown: Numbers, true: Numbers, starts: list[int], residual: float, rest: Numbers
) -> tuple[str, ...]:
    far = int(np.sum(np.abs(rest) > max(5 * residual, 60.0)))
    said = [
        "Both systems recorded the same moment of the same event; pairs are independent.",
        f"{far} of {len(rest)} pairs lie far off (5 x the scatter, a minute at least).",
        "Pairs far off may be wrong pairs; the median is hardly moved by a few of them.",
        f"A step with fewer than {LEAST_BESIDE_A_STEP} pairs on either side is not seen.",
        "Before the first and after the last pair nothing was measured.",
    ]
    if len(true) > MOST_PAIRS:
        said.append(f"The drift uses every {math.ceil(len(true) / MOST_PAIRS)}th pair.")
    if any(shown[start] < shown[start - 1] for start in starts):
        said.append(
            "The clock was set back: times that it showed twice belong to the later fix from its "
            "first pair on, which is not certain for single records."
        )
    return tuple(said)
