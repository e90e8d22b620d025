"""How long actions stay open, those that are still open counted: survival curve, median, mean.

An action still open has lasted at least so long; leaving it out, or taking the mean age of the
closed ones, makes closing look quicker than it is. Groups are compared in `logrank`,
moved due dates counted in `redated`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.stats import CensoredData, ecdf, norm

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.require import Numbers
from witnessmark.stats.result import counted, percent

HALF = 0.5
ROUNDING = 1e-12
NOT_SHOWN = "It does not show whether the actions were effective."


@dataclass(frozen=True)
class SurvivalRow:
    """The curve after one time at which actions were closed.

    Args:
        time: The time.
        at_risk: Actions that were still open and looked at just before it.
        closed: Actions closed at it.
        open_share: Estimated share still open after it.
        se: Greenwood standard error; None where the share is 0 and it is not defined.
        lower: Lower limit of the share.
        upper: Upper limit of the share.
    """

    time: float
    at_risk: int
    closed: int
    open_share: float
    se: float | None
    lower: float
    upper: float


@dataclass(frozen=True)
class SurvivalCurve:
    """How long actions stay open.

    Args:
        rows: The curve, one row per time with a closure; before the first the share is 1.
        n: Actions.
        closed: Actions closed.
        median: Time by which half are closed; None where the curve does not come down to half.
        median_lower: Its lower limit; None where there is none.
        median_upper: Its upper limit; None where there is none.
        longest: Longest time looked at, closed or open.
        confidence: Two-sided confidence of the limits.
        assumptions: What must hold.
    """

    rows: tuple[SurvivalRow, ...]
    n: int
    closed: int
    median: float | None
    median_lower: float | None
    median_upper: float | None
    longest: float
    confidence: float
    assumptions: tuple[str, ...]
    method: str = "Kaplan-Meier curve, Greenwood standard errors, log-log limits"

    @property
    def still_open(self) -> int:
        """Actions that are still open."""
        return self.n - self.closed

    @property
    def sentence(self) -> str:
        """The time to closure in words."""
        start = (
            f"Of {counted(self.n, 'action')}, {self.closed:,} were closed with verification and "
            f"{self.still_open:,} {'is' if self.still_open == 1 else 'are'} still open."
        )
        if self.median is None:
            return (
                f"{start} The curve does not come down to half within {self.longest:g} days, the "
                f"longest time seen: no median time to verified closure can be given. {NOT_SHOWN}"
            )
        lower = "no lower limit" if self.median_lower is None else f"at least {self.median_lower:g}"
        upper = "no upper limit" if self.median_upper is None else f"at most {self.median_upper:g}"
        return (
            f"{start} The median time to verified closure, open ones counted, is "
            f"{self.median:g} days ({lower}, {upper}; {percent(self.confidence)} confidence). "
            f"{NOT_SHOWN}"
        )


@dataclass(frozen=True)
class RestrictedMean:
    """Mean time open within a span.

    Args:
        mean: Mean time open, counting at most `until` of each action.
        lower: Lower limit.
        upper: Upper limit.
        se: Standard error.
        until: The span.
        confidence: Two-sided confidence of the limits.
        assumptions: What must hold.
    """

    mean: float
    lower: float
    upper: float
    se: float
    until: float
    confidence: float
    assumptions: tuple[str, ...]
    method: str = "area under the Kaplan-Meier curve, normal limits"

    @property
    def sentence(self) -> str:
        """The mean in words."""
        return (
            f"Of its first {self.until:g} days an action stays open {self.mean:.1f} on average "
            f"({self.lower:.1f} to {self.upper:.1f}; {percent(self.confidence)} confidence). "
            f"{NOT_SHOWN}"
        )


def survival_curve(days: ArrayLike, closed: ArrayLike, confidence: float = 0.95) -> SurvivalCurve:
    """Answers which share of actions is still open after a time, open ones counted.

    S(t) = product over closing times t_i <= t of (1 - closed_i / at_risk_i);
    se = S sqrt(sum of closed_i / (at_risk_i (at_risk_i - closed_i))).

    Args:
        days: Time from opening to verified closure, or to the end of the data where still open.
        closed: Whether each was closed (with verification); False: still open at that time.
        confidence: Two-sided confidence of the limits.

    Returns:
        The curve and the median. The median is the first time at which the share is at most one
        half; its limits are the first times at which the limits of the share are. Where the share
        is 0 the log-log limits are not defined: the lower is 0 and the upper stays as before.

    Raises:
        UnfitNumbersError: No action, a missing or negative time, `closed` not yes or no, or rows
            of different length.

    Shapes:
        days, closed: (n,)

    Units:
        Days (any unit of time; the sentence says days); shares 0..1.

    Assumes:
        Actions still open do not differ from closed ones of the same age but for being open; an
        action closed and one last seen at the same time: the closure came first.

    Source:
        Kaplan and Meier, J. Amer. Statist. Assoc. 53 (1958) 457-481; limits: Kalbfleisch and
        Prentice, The Statistical Analysis of Failure Time Data, 1980; of the median: Brookmeyer
        and Crowley, Biometrics 38 (1982) 29-41 (memory).

    Examples:
        >>> found = survival_curve([5, 8, 12, 20, 20], [True, True, False, True, False])
        >>> found.median, found.still_open, round(found.rows[1].open_share, 2)
        (20.0, 2, 0.6)
    """
    times, ended = closures(days, closed)
    require.share("confidence", confidence)
    curve = ecdf(CensoredData.right_censored(times, ~ended)).sf
    share_at = dict(zip(curve.quantiles.tolist(), curve.probabilities.tolist(), strict=True))
    rows = _rows(times, ended, share_at, float(norm.ppf((1 + confidence) / 2)))
    return SurvivalCurve(
        rows=rows,
        n=len(times),
        closed=int(ended.sum()),
        median=_first_at_half([(row.time, row.open_share) for row in rows]),
        median_lower=_first_at_half([(row.time, row.lower) for row in rows]),
        median_upper=_first_at_half([(row.time, row.upper) for row in rows]),
        longest=float(times.max()),
        confidence=confidence,
        assumptions=(
            "Actions still open are like closed ones of the same age, but for being open.",
            f"{int((~ended).sum())} of {len(times)} are still open and counted as open that long.",
            "Only a verified closure ends an action.",
            "Limits hold for large numbers; where few actions are left they are rough.",
        ),
    )


def restricted_mean(
    days: ArrayLike, closed: ArrayLike, until: float, confidence: float = 0.95
) -> RestrictedMean:
    """Answers how long an action stays open on average within a span of time.

    The area under the survival curve from 0 to `until`; its variance is the sum of (area from t_i
    to `until`)^2 x closed_i / (at_risk_i (at_risk_i - closed_i)).

    Args:
        days: As `survival_curve`.
        closed: As `survival_curve`.
        until: The span; not beyond the longest time seen unless all are closed by then.
        confidence: Two-sided confidence.

    Returns:
        The mean with limits, kept within 0 and `until`.

    Raises:
        UnfitNumbersError: As `survival_curve`, or `until` beyond what was seen.

    Shapes:
        days, closed: (n,)

    Units:
        Days.

    Assumes:
        As `survival_curve`; enough actions for the normal limits.

    Source:
        Klein and Moeschberger, Survival Analysis, 2nd ed. 2003, section 4.5 (memory).

    Examples:
        >>> round(restricted_mean([5, 8, 12, 20, 20], [1, 1, 0, 1, 0], until=20).mean, 1)
        14.6
    """
    span = require.above("until", until)
    curve = survival_curve(days, closed, confidence)
    last = curve.rows[-1].open_share if curve.rows else 1.0
    if span > curve.longest and last > 0:
        raise UnfitNumbersError(
            f"until = {until}", f"at most the longest time seen ({curve.longest:g})"
        )
    rows = [row for row in curve.rows if row.time < span]
    edges = np.array([0.0, *(row.time for row in rows), span])
    areas = np.array([1.0, *(row.open_share for row in rows)]) * np.diff(edges)
    after = np.cumsum(areas[::-1])[::-1][1:]
    # After the last closure of all, nothing is left: no area and no variance.
    terms = [
        area**2 * row.closed / (row.at_risk * (row.at_risk - row.closed))
        for area, row in zip(after, rows, strict=True)
        if row.at_risk > row.closed
    ]
    mean, se = float(areas.sum()), float(np.sqrt(np.sum(terms)))
    half = float(norm.ppf((1 + confidence) / 2)) * se
    return RestrictedMean(
        mean=mean,
        lower=max(0.0, mean - half),
        upper=min(span, mean + half),
        se=se,
        until=span,
        confidence=confidence,
        assumptions=curve.assumptions,
    )


def closures(days: ArrayLike, closed: ArrayLike) -> tuple[Numbers, NDArray[np.bool_]]:
    """Gives times and whether each ended, checked.

    Args:
        days: Times of at least 0.
        closed: Yes or no (True, False, 1, 0) for each.

    Returns:
        Both as arrays.

    Raises:
        UnfitNumbersError: No time, missing or negative ones, something else than yes or no, or
            rows of different length.

    Shapes:
        days, closed: (n,)

    Units:
        Any unit of time.

    Source:
        None; a check.

    Examples:
        >>> closures([3, 4], [1, 0])[1].tolist()
        [True, False]
    """
    times, ended = require.numbers("days", days), require.numbers("closed", closed)
    require.same_length(days=times, closed=ended)
    if times.min() < 0:
        raise UnfitNumbersError(
            f"days: {int(np.sum(times < 0))} of {len(times)} are negative",
            "times of at least 0; a closure before the opening is a fault of the record",
        )
    if not np.all((ended == 0) | (ended == 1)):
        raise UnfitNumbersError("closed has other values", "yes or no (1 or 0) for each action")
    return times, ended == 1


def _rows(
    times: Numbers, ended: NDArray[np.bool_], share_at: dict[float, float], z: float
) -> tuple[SurvivalRow, ...]:
    rows: list[SurvivalRow] = []
    variance, upper = 0.0, 1.0
    for time in np.unique(times[ended]).tolist():
        at_risk, closed = int(np.sum(times >= time)), int(np.sum(ended & (times == time)))
        share = share_at[time]
        se, lower = None, 0.0
        if at_risk > closed:
            variance += closed / (at_risk * (at_risk - closed))
            se = share * float(np.sqrt(variance))
            spread = z * float(np.sqrt(variance)) / np.log(share)
            lower, upper = float(share ** np.exp(-spread)), float(share ** np.exp(spread))
        rows.append(SurvivalRow(time, at_risk, closed, share, se, lower, upper))
    return tuple(rows)


def _first_at_half(points: list[tuple[float, float]]) -> float | None:
    return next((time for time, share in points if share <= HALF + ROUNDING), None)
