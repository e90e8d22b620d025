"""Whether a countermeasure shows: events per exposure before and after, and a sister machine.

Three verdicts, no others: shown, not yet demonstrable, worse. Knows no record; the caller says
which periods are before and after, and leaves out the one that set the action off, for the worst
week is followed by a better one in any case.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import betaincinv

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.rates import POISSON, SAME_EXPOSURE, compare_rates
from witnessmark.stats.result import amount, chance, counted, percent

Verdict = Literal["shown", "not yet demonstrable", "worse"]
Phase = Literal["before", "trigger", "after", "left out"]
PHASES: tuple[Phase, ...] = ("before", "trigger", "after", "left out")
MOST_FURTHER_EVENTS = 2000
EVENTS_AT_ONCE = 100
SAME_MIX = (
    "Before and after are comparable: same parts, same kinds of days; nothing else was changed."
)
ONE_LOOK = (
    "The verdict was looked at once, at a time fixed beforehand; looking every week until it is "
    "shown finds falls that are not there."
)
TRIGGER_OUT = "The period that set the action off is not in 'before'."


@dataclass(frozen=True)
class BeforeAfter:
    """Events before and after a countermeasure, with a verdict.

    Args:
        x_before: Events before.
        t_before: Exposure before.
        x_after: Events after.
        t_after: Exposure after.
        verdict: "shown", "not yet demonstrable" or "worse".
        ratio: Rate after over rate before; None without events before or exposure after.
        lower: Lower limit of the ratio at the same one-sided confidence.
        upper: Upper limit, likewise; None where there is none.
        p_better: Chance of so few events or fewer after if nothing had changed.
        p_worse: Chance of so many events or more after if nothing had changed.
        further_if_clean: Further exposure that would show it if no event comes; None if none can.
        further_as_now: Further exposure that would show it if events come as they do now; None if
            none can.
        confidence: One-sided confidence of each verdict.
        assumptions: What must hold, with what was checked.
    """

    x_before: int
    t_before: float
    x_after: int
    t_after: float
    verdict: Verdict
    ratio: float | None
    lower: float
    upper: float | None
    p_better: float
    p_worse: float
    further_if_clean: float | None
    further_as_now: float | None
    confidence: float
    assumptions: tuple[str, ...] = (POISSON, SAME_EXPOSURE, SAME_MIX, TRIGGER_OUT, ONE_LOOK)
    method: str = "exact conditional comparison of two Poisson rates, one-sided for each verdict"

    @property
    def sentence(self) -> str:
        """Both periods, the verdict, and what would settle it."""
        ratio = ratio_said(self.ratio, self.lower, self.upper, self.confidence)
        said = (
            f"{counted(self.x_before, 'event')} in an exposure of {amount(self.t_before)} before, "
            f"{self.x_after:,} in {amount(self.t_after)} after{ratio}"
        )
        sure = f"at {percent(self.confidence)} confidence"
        if self.verdict == "shown":
            return (
                f"{said}: a lower rate is shown {sure} (p {chance(self.p_better)}). Not its cause."
            )
        if self.verdict == "worse":
            return f"{said}: worse; the rate is higher {sure} (p {chance(self.p_worse)})."
        return f"{said}: not yet demonstrable {sure} (p {chance(self.p_better)}). {self._further()}"

    def _further(self) -> str:
        if self.further_if_clean is None:
            return "Without an event before, no exposure after can show a fall."
        clean = f"A further exposure of {_up(self.further_if_clean)} without an event would show it"
        if self.further_as_now is None:
            return f"{clean}; as events come now, no further exposure would."
        if self.further_as_now == self.further_if_clean:
            return f"{clean}."
        return f"{clean}; as events come now, {_up(self.further_as_now)}."


def before_after(
    x_before: int, t_before: float, x_after: int, t_after: float, confidence: float = 0.95
) -> BeforeAfter:
    """Says whether events per exposure fell after a countermeasure, or what is still missing.

    "shown" where so few events after have probability <= 1 - confidence under an unchanged rate;
    "worse" where so many have; else "not yet demonstrable". Exposure T that shows it with x events
    after in all: T = t_before * q / (1 - q), q the upper (1 - confidence) point of
    beta(x + 1, x_before).

    Args:
        x_before: Events before, without the period that set the action off.
        t_before: Their exposure (running hours, pieces, set-ups), above 0.
        x_after: Events after the action took effect, not after it was closed.
        t_after: Their exposure; 0 where nothing ran yet, which shows nothing.
        confidence: One-sided confidence of each verdict, above 0.5; the limits leave out as much on
            each side, so that they and the verdict agree.

    Returns:
        Verdict, ratio with limits, and further exposure needed.

    Raises:
        UnfitNumbersError: Counts missing, negative or not whole, exposures missing or negative,
            no exposure before, or events without exposure.

    Shapes:
        All single numbers.

    Units:
        Exposure in one unit throughout; the further exposure is in it too.

    Assumes:
        Poisson events; exposure and detection alike; comparable days; no other change.

    Source:
        Przyborowski and Wilenski, Biometrika 31 (1940) 313-323.

    Examples:
        >>> found = before_after(6, 20, 0, 10)
        >>> found.verdict, round(found.p_better, 2), round(found.further_if_clean, 2)
        ('not yet demonstrable', 0.09, 2.95)
        >>> before_after(12, 30, 4, 30).verdict
        'shown'
    """
    error = one_sided_error(confidence)
    x_before, x_after = require.count("x_before", x_before), require.count("x_after", x_after)
    if t_after == 0 and x_after == 0:
        t_before = require.above("t_before", t_before)
        ratio, lower, upper, better, worse = None, 0.0, None, 1.0, 1.0
    else:
        found = compare_rates(x_after, t_after, x_before, t_before, 1 - 2 * error)
        ratio, lower, upper = found.ratio, found.lower, found.upper
        better, worse = found.p_less, found.p_greater
    verdict = _verdict(better, worse, error)
    clean = as_now = None
    if verdict == "not yet demonstrable":
        clean, as_now = _further(x_before, t_before, x_after, t_after, error)
    return BeforeAfter(
        x_before,
        float(t_before),
        x_after,
        float(t_after),
        verdict,
        ratio,
        lower,
        upper,
        better,
        worse,
        clean,
        as_now,
        confidence,
    )


def before_after_periods(
    events: ArrayLike, exposures: ArrayLike, phases: Sequence[Phase], confidence: float = 0.95
) -> BeforeAfter:
    """Says the same from a row of periods, leaving out the one that set the action off.

    Args:
        events: Events of each period.
        exposures: Exposure of each period; periods without exposure add nothing.
        phases: For each "before", "trigger", "after" or "left out".
        confidence: One-sided confidence of each verdict.

    Returns:
        As `before_after`; its assumptions also say what was left out, and how much the periods
        vary against what chance alone makes them vary.

    Raises:
        UnfitNumbersError: Missing values, different lengths, an unknown phase, no period before,
            or events in a period without exposure.

    Shapes:
        events, exposures, phases: (periods,)

    Units:
        Exposure in one unit throughout.

    Assumes:
        As `before_after`.

    Source:
        As `before_after`; variation: Cochran, Biometrics 10 (1954) 417-451 (index of dispersion).

    Examples:
        >>> found = before_after_periods(
        ...     [3, 4, 9, 1, 0], [10, 10, 10, 10, 10],
        ...     ["before", "before", "trigger", "after", "after"],
        ... )
        >>> found.x_before, found.x_after, found.verdict
        (7, 1, 'shown')
    """
    x, t = require.numbers("events", events), require.numbers("exposures", exposures)
    phase = np.asarray(phases, dtype=object)
    require.same_length(events=x, exposures=t, phases=list(phases))
    unknown = sorted(set(phases) - set(PHASES))
    if unknown:
        raise UnfitNumbersError(f"phase {unknown[0]!r}", f"one of {', '.join(PHASES)}")
    if np.any((x < 0) | (t < 0) | ((t == 0) & (x > 0))):
        raise UnfitNumbersError(
            "negative numbers, or events without exposure", "events only where there is exposure"
        )
    sums = {name: (int(x[phase == name].sum()), float(t[phase == name].sum())) for name in PHASES}
    found = before_after(*sums["before"], *sums["after"], confidence)
    out = [
        f"{name}: {counted(sums[name][0], 'event')} in {amount(sums[name][1])}, not counted"
        for name in ("trigger", "left out")
        if np.any(phase == name)
    ]
    spread = [_spread(x, t, phase, name) for name in ("before", "after")]
    excluded = f"Excluded periods: {'; '.join(out) if out else 'none'}."
    return replace(found, assumptions=(*found.assumptions, excluded, *spread))


def one_sided_error(confidence: float) -> float:
    """Gives the error left to one side, for a confidence that deserves the name.

    Args:
        confidence: One-sided, above 0.5 and below 1.

    Raises:
        UnfitNumbersError: It is not.

    Shapes:
        A single number.

    Units:
        Shares 0..1.

    Source:
        Definition.

    Examples:
        >>> round(one_sided_error(0.95), 3)
        0.05
    """
    if not 1 / 2 < confidence < 1:
        raise UnfitNumbersError(f"confidence = {confidence}", "a number between 0.5 and 1")
    return 1 - confidence


def ratio_said(ratio: float | None, lower: float, upper: float | None, confidence: float) -> str:
    """Gives a ratio with its limits in words, nothing where it is unknown.

    Args:
        ratio: The ratio; None where it is unknown.
        lower: Lower limit.
        upper: Upper limit; None where there is none.
        confidence: One-sided confidence of each limit.

    Shapes:
        All single numbers.

    Units:
        The ratio is a number.

    Source:
        None; wording only.

    Examples:
        >>> ratio_said(0.3333, 0.0992, 0.939, 0.95)
        ' (ratio 0.333; 95 % one-sided limits 0.0992 and 0.939)'
    """
    if ratio is None:
        return ""
    above = "none" if upper is None else amount(upper)
    limits = f"{percent(confidence)} one-sided limits {amount(lower)} and {above}"
    return f" (ratio {amount(ratio)}; {limits})"


def _verdict(better: float, worse: float, error: float) -> Verdict:
    if better <= error:
        return "shown"
    return "worse" if worse <= error else "not yet demonstrable"


def _further(
    x1: int, t1: float, x2: int, t2: float, error: float
) -> tuple[float | None, float | None]:
    """Further exposure that shows a fall: without an event, and with events as they come now."""
    if x1 == 0:
        return None, None
    q = float(betaincinv(x2 + 1, x1, 1 - error))
    clean = max(0.0, t1 * q / (1 - q) - t2)
    if x2 == 0:
        return clean, clean
    rate = x2 / t2
    if rate >= x1 / t1:
        return clean, None
    for first in range(x2, x2 + MOST_FURTHER_EVENTS, EVENTS_AT_ONCE):
        events = np.arange(first, first + EVENTS_AT_ONCE)
        share = betaincinv(events + 1, x1, 1 - error)
        reached = np.maximum(t1 * share / (1 - share), events / rate)
        enough = reached < (events + 1) / rate
        if enough.any():
            return clean, float(reached[enough][0] - t2)
    return clean, None


def _spread(x: require.Numbers, t: require.Numbers, phase: np.ndarray, name: Phase) -> str:
    """How much the periods of a phase vary against chance."""
    inside = (phase == name) & (t > 0)
    n, total = int(inside.sum()), float(x[inside].sum())
    if n < 2 or total == 0:  # noqa: PLR2004 - one period cannot vary
        return f"Variation between periods {name}: cannot be seen."
    expected = total * t[inside] / t[inside].sum()
    index = float(np.sum((x[inside] - expected) ** 2 / expected)) / (n - 1)
    return f"Variation between the {n} periods {name}: {index:.1f} times what chance makes (1)."


def _up(exposure: float) -> str:
    """An exposure with three figures, rounded up so that it suffices."""
    if exposure <= 0:
        return "0"
    step = 10.0 ** (np.floor(np.log10(exposure)) - 2)
    return amount(float(np.ceil(exposure / step * (1 - 1e-12)) * step))
