"""How many to look at so that deviations would be seen, and what a look can still have missed.

Exact for finite lots (hypergeometric) and endless ones (binomial); knows no record.
"""

import math
from dataclasses import dataclass

from scipy.stats import binom, gamma, hypergeom

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.finite_lot import EVEN, first_that_holds, lot_limits
from witnessmark.stats.proportion import exact_interval
from witnessmark.stats.result import amount, counted, percent

RANDOM = "The items are drawn at random; a sample chosen for a suspicion finds more or fewer."
SEEN = "A deviation in the sample is seen when it is looked at."


def chance_to_miss(n: int, rate: float, accept: int = 0, lot: int | None = None) -> float:
    """Gives the chance that a sample shows at most `accept` deviations although the rate is there.

    Args:
        n: Number looked at.
        rate: Share of deviations; of a lot, rounded up to whole items.
        accept: Number of deviations that still passes.
        lot: Number in the lot; None for an endless one.

    Returns:
        The probability; 1 for n = 0.

    Raises:
        UnfitNumbersError: Counts missing or not whole, n above the lot, rate outside (0, 1).

    Shapes:
        All single numbers.

    Units:
        Shares 0..1.

    Assumes:
        Random draw; deviations are seen when looked at.

    Source:
        Hypergeometric and binomial distribution functions, scipy.

    Examples:
        >>> round(chance_to_miss(5, 0.05), 2)
        0.77
        >>> round(chance_to_miss(16, 0.10, lot=20), 3)
        0.032
    """
    n, accept = require.count("n", n), require.count("accept", accept)
    require.share("rate", rate)
    if lot is None:
        return float(binom.cdf(accept, n, rate))
    if n > require.count("lot", lot, 1):
        raise UnfitNumbersError(f"n = {n} drawn from a lot of {lot}", "a sample within the lot")
    return float(hypergeom.cdf(accept, lot, _whole(rate, lot), n))


@dataclass(frozen=True)
class DetectionSample:
    """How many to look at.

    Args:
        n: Number to look at.
        rate: Rate that is to be seen.
        accept: Number of deviations that still passes; more than these are to be seen.
        lot: Number in the lot; None for an endless one.
        deviations: Deviations in the lot at that rate; None for an endless lot.
        confidence: Chance demanded.
        chance_to_miss: Chance that the sample shows no more than `accept`.
    """

    n: int
    rate: float
    accept: int
    lot: int | None
    deviations: int | None
    confidence: float
    chance_to_miss: float
    assumptions: tuple[str, ...] = (RANDOM, SEEN)

    @property
    def method(self) -> str:
        """Which law gave the number."""
        law = "binomial" if self.lot is None else "hypergeometric"
        return f"smallest sample that detects with {percent(self.confidence)} chance ({law})"

    @property
    def sentence(self) -> str:
        """What to look at, what it would show, and what not."""
        of = "" if self.lot is None else f" of {self.lot:,}"
        there = "" if self.deviations is None else f" ({self.deviations:,} in the lot)"
        seen = (
            "at least one deviation"
            if not self.accept
            else f"more than {counted(self.accept, 'deviation')}"
        )
        return (
            f"To see {seen} with {percent(self.confidence)} chance if the rate is "
            f"{percent(self.rate)}{there} or more, look at {counted(self.n, 'item')}{of}, drawn at "
            f"random. A smaller rate can stay unseen."
        )


def detection_sample(
    rate: float, confidence: float = 0.95, accept: int = 0, lot: int | None = None
) -> DetectionSample:
    """Gives the smallest sample that shows more than `accept` deviations if the rate is there.

    Smallest n with P(X <= accept) <= 1 - confidence; X is binomial, or hypergeometric for a lot
    with rate * lot deviations, rounded up.

    Args:
        rate: Rate that is to be seen.
        confidence: Chance demanded.
        accept: Number of deviations that still passes.
        lot: Number in the lot; None for an endless one.

    Returns:
        The number to look at, with the chance that is left to miss.

    Raises:
        UnfitNumbersError: Rate or confidence outside (0, 1), counts not whole, or a lot that does
            not hold more than `accept` deviations at that rate.

    Shapes:
        All single numbers.

    Units:
        Items; shares 0..1.

    Assumes:
        Random draw; deviations are seen when looked at.

    Source:
        Schilling and Neubauer, Acceptance Sampling in Quality Control, 2nd ed. 2009, chapter 5
        (memory).

    Examples:
        >>> detection_sample(0.05).n, detection_sample(0.10, lot=100).n
        (59, 25)
        >>> detection_sample(0.05, lot=60).sentence[:89]
        'To see at least one deviation with 95 % chance if the rate is 5 % (3 in the lot) or more,'
    """
    error = (1 - require.share("confidence", confidence)) * EVEN
    accept, deviations = require.count("accept", accept), None
    require.share("rate", rate)
    if lot is None:
        high = accept + 1
        while chance_to_miss(high, rate, accept) > error:
            high *= 2
    else:
        high = require.count("lot", lot, 1)
        deviations = _whole(rate, lot)
        if deviations <= accept:
            raise UnfitNumbersError(
                f"{deviations} deviations in a lot of {lot}", f"more than the {accept} that pass"
            )
    n = first_that_holds(lambda size: chance_to_miss(size, rate, accept, lot) <= error, 1, high)
    missed = chance_to_miss(n, rate, accept, lot)
    return DetectionSample(n, rate, accept, lot, deviations, confidence, missed)


def pocket_sample(lot: int, deviations: int, confidence: float = 0.95) -> float:
    """Gives the detection sample of a finite lot by a formula for the pocket, before rounding up.

    n = (1 - (1 - confidence)^(1 / D)) * (N - (D - 1) / 2). For a number that is to stand in a
    report take `detection_sample`, which is exact.

    Args:
        lot: Number in the lot, N.
        deviations: Number of deviations to be seen, D.
        confidence: Chance demanded.

    Returns:
        The number to look at, not rounded.

    Raises:
        UnfitNumbersError: Counts not whole, no deviation, or more than the lot holds.

    Shapes:
        All single numbers.

    Units:
        Items.

    Assumes:
        Random draw; deviations are seen when looked at.

    Source:
        Cannon and Roe, Livestock Disease Surveys, 1982.

    Examples:
        >>> round(pocket_sample(100, 5), 1), detection_sample(0.05, lot=100).n
        (44.2, 45)
    """
    deviations, lot = require.found_of(require.count("deviations", deviations, 1), lot)
    missed = 1 - require.share("confidence", confidence)
    return float((1 - missed ** (1 / deviations)) * (lot - (deviations - 1) / 2))


@dataclass(frozen=True)
class CouldMiss:
    """What may still be there after a look.

    Args:
        n: Number looked at.
        found: Number found.
        lot: Number in the lot; None for an endless one.
        rate: Greatest rate that the look leaves possible.
        unseen: Deviations that may be among the items not looked at; None for an endless lot.
        confidence: Confidence of both.
    """

    n: int
    found: int
    lot: int | None
    rate: float | None
    unseen: int | None
    confidence: float
    method: str = "exact one-sided upper limit"
    assumptions: tuple[str, ...] = (RANDOM, SEEN)

    @property
    def sentence(self) -> str:
        """What the look cannot exclude."""
        if self.rate is None:
            return "The lot is empty: nothing can be hidden in it."
        looked = f"{counted(self.n, 'item')} looked at, {self.found:,} found"
        unseen = "" if self.unseen is None else f", {self.unseen:,} more among those not looked at"
        return (
            f"{looked}: at {percent(self.confidence)} confidence a rate of up to "
            f"{percent(self.rate)} cannot be excluded{unseen}."
        )


def could_miss(
    n: int, found: int = 0, lot: int | None = None, confidence: float = 0.95
) -> CouldMiss:
    """Says what a look with x found can still hide.

    Args:
        n: Number looked at; 0 can hide everything (rate 1).
        found: Number found.
        lot: Number in the lot; None for an endless one.
        confidence: One-sided confidence.

    Returns:
        The greatest rate left possible and, for a lot, how many may be among the rest.

    Raises:
        UnfitNumbersError: Counts missing, not whole or impossible.

    Shapes:
        All single numbers.

    Units:
        Shares 0..1; items.

    Assumes:
        Random draw; deviations are seen when looked at.

    Source:
        As `exact_interval` and `lot_limits`, one-sided.

    Examples:
        >>> round(could_miss(5).rate, 2)
        0.45
        >>> could_miss(60, lot=500).unseen
        22
    """
    found, n = require.found_of(found, n)
    if lot is None:
        rate = exact_interval(found, n, confidence, "upper").upper
        return CouldMiss(n, found, None, rate, None, confidence)
    limits = lot_limits(found, n, lot, confidence, "upper")
    return CouldMiss(n, found, lot, limits.rate_upper, limits.upper - found, confidence)


@dataclass(frozen=True)
class CleanExposure:
    """How much exposure must pass for a rate to be excluded.

    Args:
        exposure: Exposure needed.
        rate: Rate that is to be excluded, per unit.
        events: Events that may occur in it.
        confidence: Confidence of the exclusion.
    """

    exposure: float
    rate: float
    events: int
    confidence: float
    method: str = "exact Poisson limit"
    assumptions: tuple[str, ...] = (
        "Events come independently at a constant rate, and each would be recorded.",
    )

    @property
    def sentence(self) -> str:
        """The exposure in words."""
        seen = "no event" if not self.events else f"at most {counted(self.events, 'event')}"
        return (
            f"A rate of {amount(self.rate)} per unit is excluded at {percent(self.confidence)} "
            f"confidence after an exposure of {amount(self.exposure)} with {seen}."
        )


def clean_exposure(rate: float, confidence: float = 0.95, events: int = 0) -> CleanExposure:
    """Gives the exposure with at most `events` events that excludes a rate (rule of three).

    exposure = gamma(confidence; events + 1) / rate; without any event -ln(1 - confidence) / rate,
    which at 95 % is 3.00 / rate.

    Args:
        rate: Events per unit of exposure.
        confidence: One-sided confidence.
        events: Events that may occur in it.

    Returns:
        The exposure needed.

    Raises:
        UnfitNumbersError: Rate not above 0, events not whole.

    Shapes:
        All single numbers.

    Units:
        The exposure's own unit.

    Assumes:
        Poisson events, all recorded.

    Source:
        Hanley and Lippman-Hand, JAMA 249 (1983) 1743-1745 (memory); Garwood 1936.

    Examples:
        >>> round(clean_exposure(0.01).exposure, 1)
        299.6
    """
    require.above("rate", rate)
    events = require.count("events", events)
    needed = float(gamma.ppf(require.share("confidence", confidence), events + 1))
    return CleanExposure(needed / rate, rate, events, confidence)


def _whole(rate: float, lot: int) -> int:
    """A rate of a lot as whole items, rounded up; what is whole but for rounding stays."""
    return math.ceil(rate * lot / EVEN)
