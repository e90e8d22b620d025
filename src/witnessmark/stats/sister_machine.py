"""Whether a countermeasure shows against a sister machine that was left alone.

What changed for both (season, mix, detection) cancels. Knows no record.
"""

from dataclasses import dataclass

import numpy as np
import scipy

from witnessmark.stats import require
from witnessmark.stats.before_after import ONE_LOOK, Verdict, one_sided_error, ratio_said
from witnessmark.stats.rates import POISSON
from witnessmark.stats.result import amount, chance, counted, percent

Count = tuple[int, float]


@dataclass(frozen=True)
class SisterComparison:
    """The change of one machine held against the change of its sister.

    Args:
        before: Events and exposure of the machine before.
        after: Events and exposure of the machine after.
        sister_before: Events and exposure of the sister before.
        sister_after: Events and exposure of the sister after.
        verdict: "shown", "not yet demonstrable" or "worse".
        ratio: Ratio of the machine's change to the sister's; None where it is endless or unknown.
        lower: Lower limit of the ratio at the same one-sided confidence.
        upper: Upper limit, likewise; None where there is none.
        p_better: Chance of so few events after, or fewer, if both changed alike.
        p_worse: Chance of so many events after, or more, if both changed alike.
        confidence: One-sided confidence of each verdict.
    """

    before: Count
    after: Count
    sister_before: Count
    sister_after: Count
    verdict: Verdict
    ratio: float | None
    lower: float
    upper: float | None
    p_better: float
    p_worse: float
    confidence: float
    method: str = "exact, given all margins (noncentral hypergeometric); one-sided for each verdict"
    assumptions: tuple[str, ...] = (
        POISSON,
        "What changed besides the action changed for both machines alike.",
        "The sister was not treated, and was not chosen after looking at its events.",
        "The period that set the action off is in none of the four counts.",
        ONE_LOOK,
    )

    @property
    def sentence(self) -> str:
        """Both changes and the verdict."""
        ratio = ratio_said(self.ratio, self.lower, self.upper, self.confidence)
        said = (
            f"Machine: {_events(self.before)} before, {_events(self.after)} after; sister: "
            f"{_events(self.sister_before)} before, {_events(self.sister_after)} after{ratio}"
        )
        sure = f"at {percent(self.confidence)} confidence"
        if self.verdict == "shown":
            return (
                f"{said}. A fall beyond the sister's is shown {sure} (p {chance(self.p_better)})."
            )
        if self.verdict == "worse":
            return f"{said}. Worse than the sister {sure} (p {chance(self.p_worse)})."
        yet = f"A fall beyond the sister's is not yet demonstrable {sure}"
        return f"{said}. {yet} (p {chance(self.p_better)})."


def against_sister(
    before: Count,
    after: Count,
    sister_before: Count,
    sister_after: Count,
    confidence: float = 0.95,
) -> SisterComparison:
    """Says whether a machine's events fell by more than those of a sister left alone.

    Given the events of each machine and of each period, the machine's events after follow the
    noncentral hypergeometric law with odds
    ratio * (t_after / t_before) / (t_sister_after / t_sister_before).

    Args:
        before: Events and exposure of the machine before.
        after: Events and exposure of the machine after.
        sister_before: Events and exposure of the sister before.
        sister_after: Events and exposure of the sister after.
        confidence: One-sided confidence of each verdict, above 0.5; the limits leave out as much on
            each side.

    Returns:
        Verdict, and the ratio of the two changes with limits. Where a margin has no event nothing
        can be said: ratio None, limits 0 and None, p 1, "not yet demonstrable".

    Raises:
        UnfitNumbersError: Counts missing, negative or not whole; exposures not above 0.

    Shapes:
        Four pairs (events, exposure).

    Units:
        Exposure in one unit for each machine; the ratio is a number.

    Assumes:
        Poisson events; other changes hit both alike.

    Source:
        Breslow and Day, Statistical Methods in Cancer Research II, 1987, section 3.6; Fisher's
        noncentral law with an offset (memory).

    Examples:
        >>> found = against_sister((14, 100), (3, 100), (12, 100), (11, 100))
        >>> found.verdict, round(found.ratio, 2), round(found.p_better, 3)
        ('shown', 0.24, 0.048)
    """
    error = one_sided_error(confidence)
    named = {"before": before, "after": after}
    named |= {"sister_before": sister_before, "sister_after": sister_after}
    counts = {name: require.count(f"{name} events", pair[0]) for name, pair in named.items()}
    times = {name: require.above(f"{name} exposure", pair[1]) for name, pair in named.items()}
    a, b, c, d = (counts[k] for k in ("after", "before", "sister_after", "sister_before"))
    if 0 in {a + b, c + d, a + c, b + d}:
        ratio, lower, upper, better, worse = None, 0.0, None, 1.0, 1.0
    else:
        odds = times["after"] / times["before"] * times["sister_before"] / times["sister_after"]
        law = scipy.stats.nchypergeom_fisher(a + b + c + d, a + b, a + c, odds)
        better, worse = min(1.0, float(law.cdf(a))), min(1.0, float(law.sf(a - 1)))
        estimate = scipy.stats.contingency.odds_ratio(np.array([[a, b], [c, d]]))
        limits = estimate.confidence_interval(1 - 2 * error)
        ratio, upper = _finite(estimate.statistic / odds), _finite(limits.high / odds)
        lower = float(limits.low) / odds
    verdict: Verdict = "not yet demonstrable"
    if better <= error or worse <= error:
        verdict = "shown" if better <= error else "worse"
    return SisterComparison(
        before,
        after,
        sister_before,
        sister_after,
        verdict,
        ratio,
        lower,
        upper,
        better,
        worse,
        confidence,
    )


def _events(pair: Count) -> str:
    return f"{counted(pair[0], 'event')} in {amount(pair[1])}"


def _finite(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
