"""Single sampling plans: how likely a lot passes, which quality passes how often, which plan fits.

Computed, never from a table; knows no record. Plans by the public tables stand in `indexed_plans`.
An accept-on-zero plan is `detection_sample` with nothing accepted.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import betaincinv
from scipy.stats import binom, hypergeom

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.detection import DetectionSample, detection_sample
from witnessmark.stats.result import counted, percent

RANDOM = "The sample is drawn at random from the lot, and deviations are seen when looked at."
MOST_ACCEPTED = 500


@dataclass(frozen=True)
class AcceptanceCurve:
    """How likely lots of different quality pass a single sampling plan.

    Args:
        rates: Shares of deviations in the lot or of the process.
        chances: Chance to pass for each.
        n: Sample.
        accept: Deviations that still pass.
        lot: Number in the lot; None for the process behind the lots.
    """

    rates: tuple[float, ...]
    chances: tuple[float, ...]
    n: int
    accept: int
    lot: int | None
    assumptions: tuple[str, ...] = (RANDOM,)

    @property
    def method(self) -> str:
        """Which law gave the chances."""
        return "binomial (type B)" if self.lot is None else "hypergeometric (type A)"

    @property
    def sentence(self) -> str:
        """What the plan lets pass at the ends of the curve."""
        plan = f"Of {counted(self.n, 'item')} looked at, {self.accept:,} may deviate"
        if not self.rates:
            return f"{plan}; no rate was asked for."
        ends = sorted({min(self.rates), max(self.rates)})
        said = " and ".join(
            f"{percent(self.chances[self.rates.index(rate)])} of lots with {percent(rate)}"
            for rate in ends
        )
        return f"{plan}: {said} deviating pass. That a lot passed does not give its rate."


def acceptance_curve(
    n: int, accept: int, rates: ArrayLike, lot: int | None = None
) -> AcceptanceCurve:
    """Gives how likely lots of different quality pass a single sampling plan (its OC curve).

    Chance = P(X <= accept), X binomial, or hypergeometric for a lot with rate * lot deviations,
    rounded up.

    Args:
        n: Sample; 0 lets everything pass.
        accept: Deviations that still pass.
        rates: Shares of deviations, 0 and 1 included.
        lot: Number in the lot; None for the process behind the lots.

    Returns:
        The chance to pass for each rate.

    Raises:
        UnfitNumbersError: Counts missing or not whole, n above the lot, rates outside 0..1.

    Shapes:
        rates: (n_rates,)

    Units:
        Shares 0..1.

    Assumes:
        Random draw; deviations are seen when looked at.

    Source:
        Schilling and Neubauer, Acceptance Sampling in Quality Control, 2nd ed. 2009, chapter 5
        (memory).

    Examples:
        >>> [round(chance, 3) for chance in acceptance_curve(52, 3, [0.01, 0.05, 0.12]).chances]
        [0.998, 0.738, 0.115]
    """
    n, accept = require.count("n", n), require.count("accept", accept)
    row = require.numbers("rates", rates, 0)
    if np.any((row < 0) | (row > 1)):
        raise UnfitNumbersError("rates outside 0..1", "shares")
    if lot is None:
        chances = binom.cdf(accept, n, row)
    else:
        if n > require.count("lot", lot, 1):
            raise UnfitNumbersError(f"n = {n} drawn from a lot of {lot}", "a sample within it")
        deviations = np.ceil(np.round(row * lot, 9))
        chances = hypergeom.cdf(accept, lot, deviations, n)
    passed = np.clip(chances, 0, 1).tolist() if len(row) else []
    return AcceptanceCurve(tuple(row.tolist()), tuple(passed), n, accept, lot)


@dataclass(frozen=True)
class QualityAt:
    """The quality that passes a plan with a given chance.

    Args:
        rate: Share of deviations.
        chance: Chance to pass at that rate.
        n: Sample.
        accept: Deviations that still pass.
    """

    rate: float
    chance: float
    n: int
    accept: int
    method: str = "inverse of the binomial curve: beta(1 - chance; accept + 1, n - accept)"
    assumptions: tuple[str, ...] = (RANDOM,)

    @property
    def sentence(self) -> str:
        """The rate in words."""
        return (
            f"Lots with {percent(self.rate)} deviating pass in {percent(self.chance)} of cases "
            f"(sample {self.n:,}, accept {self.accept:,})."
        )


def quality_at(n: int, accept: int, chance: float) -> QualityAt:
    """Gives the rate at which a plan lets lots pass with a given chance.

    At 0.95 it is the quality a supplier must have; at 0.10 the quality the plan seldom lets pass.

    Args:
        n: Sample, more than `accept`.
        accept: Deviations that still pass.
        chance: Chance to pass.

    Returns:
        The rate.

    Raises:
        UnfitNumbersError: Counts not whole, a plan that accepts everything, chance outside (0, 1).

    Shapes:
        All single numbers.

    Units:
        Shares 0..1.

    Assumes:
        Random draw; deviations are seen when looked at.

    Source:
        MIL-STD-105E, table X (how its tabulated values are defined); beta quantiles.

    Examples:
        >>> round(100 * quality_at(80, 2, 0.10).rate, 2)
        6.52
    """
    n, accept = require.count("n", n), require.count("accept", accept)
    if accept >= n:
        raise UnfitNumbersError(f"accept = {accept} of n = {n}", "a plan that can reject")
    rate = float(betaincinv(accept + 1, n - accept, 1 - require.share("chance", chance)))
    return QualityAt(rate, chance, n, accept)


@dataclass(frozen=True)
class PlanSearch:
    """The single plan that keeps two promises.

    Args:
        n: Sample.
        accept: Deviations that still pass.
        chance_good: Chance to pass at the good rate.
        chance_bad: Chance to pass at the bad rate.
        good: Rate that should pass.
        bad: Rate that should not.
        alpha: Chance allowed to reject at the good rate.
        beta: Chance allowed to pass at the bad rate.
    """

    n: int
    accept: int
    chance_good: float
    chance_bad: float
    good: float
    bad: float
    alpha: float
    beta: float
    method: str = "smallest binomial plan through two points"
    assumptions: tuple[str, ...] = (RANDOM, "Lots are large against the sample.")

    @property
    def sentence(self) -> str:
        """The plan and what it promises."""
        return (
            f"Look at {counted(self.n, 'item')} and accept with at most {self.accept:,} deviating: "
            f"lots with {percent(self.good)} pass in {percent(self.chance_good)} of cases, lots "
            f"with {percent(self.bad)} in {percent(self.chance_bad)}."
        )


def find_plan(good: float, bad: float, alpha: float = 0.05, beta: float = 0.10) -> PlanSearch:
    """Gives the smallest single plan that passes good lots and stops bad ones.

    Smallest accept, then smallest n with P(pass | bad) <= beta, that also has
    P(pass | good) >= 1 - alpha.

    Args:
        good: Rate that should pass.
        bad: Rate that should not; above `good`.
        alpha: Chance allowed to reject at the good rate.
        beta: Chance allowed to pass at the bad rate.

    Returns:
        The plan with the chances it really has.

    Raises:
        UnfitNumbersError: Rates or risks outside (0, 1), bad not above good, or rates so close
            that more than 500 deviations would have to be accepted.

    Shapes:
        All single numbers.

    Units:
        Shares 0..1.

    Assumes:
        Large lots; random draw.

    Source:
        NIST/SEMATECH e-Handbook of Statistical Methods, section 6.2.3.2.

    Examples:
        >>> plan = find_plan(0.01, 0.05)
        >>> plan.n, plan.accept
        (132, 3)
    """
    for name, value in (("good", good), ("bad", bad), ("alpha", alpha), ("beta", beta)):
        require.share(name, value)
    if bad <= good:
        raise UnfitNumbersError(f"bad = {bad}, good = {good}", "a bad rate above the good one")
    for accept in range(MOST_ACCEPTED):
        found = detection_sample(bad, 1 - beta, accept)
        chance = float(binom.cdf(accept, found.n, good))
        if chance >= 1 - alpha:
            missed = found.chance_to_miss
            return PlanSearch(found.n, accept, chance, missed, good, bad, alpha, beta)
    raise UnfitNumbersError(f"rates {good} and {bad}", "rates further apart, or larger risks")


def accept_on_zero_like(n: int, accept: int, lot: int | None = None) -> DetectionSample:
    """Gives the accept-on-zero sample that protects as well as a plan which accepts some.

    It stops, with the same chance of 90 %, the rate that the given plan lets pass in 10 % of
    cases. Good lots pass it less often; that is the price.

    Args:
        n: Sample of the given plan.
        accept: Deviations that it accepts.
        lot: Number in the lot; None for large lots.

    Returns:
        The sample in which no deviation is accepted.

    Raises:
        UnfitNumbersError: Counts not whole, or a plan that accepts everything.

    Shapes:
        All single numbers.

    Units:
        Items.

    Assumes:
        Random draw; deviations are seen when looked at.

    Source:
        Equal protection at the 10 % point; computed, no table.

    Examples:
        >>> accept_on_zero_like(80, 2).n, accept_on_zero_like(80, 2, lot=500).n
        (35, 33)
    """
    return detection_sample(quality_at(n, accept, 0.10).rate, 0.90, lot=lot)
