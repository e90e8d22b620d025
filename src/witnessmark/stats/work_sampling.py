"""Work sampling: how many looks tell a share of time, and when to go and look.

Knows no record and no clock; times are minutes within a shift.
"""

import math
from dataclasses import dataclass

import numpy as np
from scipy.stats import norm

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.detection import detection_sample
from witnessmark.stats.result import counted, percent

LOOKS = (
    "Looks are independent: machines seen on one round share the hour and its staffing, so a round "
    "counts for less than its machines."
)
PRESENCE = "Being looked at changes nothing; where it may, compare with the records of other days."


@dataclass(frozen=True)
class LooksNeeded:
    """How many looks for a share of time with a margin.

    Args:
        looks: Looks needed, rounded up.
        unrounded: The same before rounding.
        share: Share expected.
        margin: Half width of the limits.
        confidence: Their confidence.
        design_effect: What looks of one round cost.
    """

    looks: int
    unrounded: float
    share: float
    margin: float
    confidence: float
    design_effect: float
    method: str = "normal approximation for a share"
    assumptions: tuple[str, ...] = (LOOKS, PRESENCE)

    @property
    def sentence(self) -> str:
        """The looks in words."""
        return (
            f"A share of about {percent(self.share)} of the time is known to within "
            f"±{100 * self.margin:.3g} percentage points, at {percent(self.confidence)} "
            f"confidence, after {counted(self.looks, 'look')} at random times."
        )


def looks_for_margin(
    share: float, margin: float, confidence: float = 0.95, design_effect: float = 1.0
) -> LooksNeeded:
    """Gives how many random looks tell a share of time to within a margin.

    n = z^2 * share * (1 - share) / margin^2 * design effect.

    Args:
        share: Share expected; 0.5 is the most demanding.
        margin: Half width wanted.
        confidence: Two-sided confidence.
        design_effect: 1 for independent looks; see `planned_design_effect` for rounds.

    Returns:
        Looks needed, at single machines.

    Raises:
        UnfitNumbersError: Shares outside (0, 1), design effect below 1.

    Shapes:
        All single numbers.

    Units:
        Shares 0..1; looks.

    Assumes:
        Random times; looks independent but for the design effect.

    Source:
        Barnes, Motion and Time Study, 7th ed. 1980, chapter on work sampling (memory).

    Examples:
        >>> looks_for_margin(0.20, 0.05).looks
        246
    """
    require.share("share", share)
    require.share("margin", margin)
    if not (np.isfinite(design_effect) and design_effect >= 1):
        raise UnfitNumbersError(f"design_effect = {design_effect}", "a number of at least 1")
    z = float(norm.isf((1 - require.share("confidence", confidence)) / 2))
    n = z**2 * share * (1 - share) / margin**2 * design_effect
    return LooksNeeded(math.ceil(n), n, share, margin, confidence, design_effect)


@dataclass(frozen=True)
class ChanceToSee:
    """The chance that looks meet a state at least once.

    Args:
        chance: Chance to see it at least once.
        share: Share of the time it lasts.
        looks: Independent looks.
    """

    chance: float
    share: float
    looks: int
    method: str = "1 - (1 - share)^looks"
    assumptions: tuple[str, ...] = (LOOKS, PRESENCE)

    @property
    def sentence(self) -> str:
        """The chance in words."""
        return (
            f"A state that lasts {percent(self.share)} of the time is met at least once by "
            f"{counted(self.looks, 'look')} with a chance of {percent(self.chance)}; not having "
            f"met it does not show that it does not occur."
        )


def chance_to_see(share: float, looks: int) -> ChanceToSee:
    """Gives the chance that independent looks meet a state at least once.

    Args:
        share: Share of the time the state lasts.
        looks: Number of looks; 0 gives a chance of 0.

    Returns:
        The chance.

    Raises:
        UnfitNumbersError: Share outside (0, 1), looks not whole.

    Shapes:
        All single numbers.

    Units:
        Shares 0..1.

    Assumes:
        Independent looks at random times.

    Source:
        Binomial law.

    Examples:
        >>> round(chance_to_see(0.15, 10).chance, 2)
        0.8
    """
    require.share("share", share)
    looks = require.count("looks", looks)
    return ChanceToSee(1 - (1 - share) ** looks, share, looks)


def looks_to_see(share: float, confidence: float = 0.95) -> ChanceToSee:
    """Gives how many independent looks meet a state at least once with a given chance.

    Args:
        share: Share of the time the state lasts.
        confidence: Chance demanded.

    Returns:
        The number of looks and the chance they really have.

    Raises:
        UnfitNumbersError: Shares outside (0, 1).

    Shapes:
        All single numbers.

    Units:
        Shares 0..1; looks.

    Assumes:
        Independent looks at random times.

    Source:
        Binomial law, as `detection_sample`.

    Examples:
        >>> looks_to_see(0.15).looks
        19
    """
    return chance_to_see(share, detection_sample(share, confidence).n)


@dataclass(frozen=True)
class RoundTimes:
    """Random times for rounds within a shift.

    Args:
        minutes: Start of each round, minutes from the start of the shift, in order.
        length: Length of the shift.
        least_gap: Least time between two starts.
    """

    minutes: tuple[int, ...]
    length: int
    least_gap: int
    method: str = "uniform over all sets of whole minutes that keep the least gap"
    assumptions: tuple[str, ...] = (
        "The times are not told before, and are kept when inconvenient.",
    )

    @property
    def sentence(self) -> str:
        """The times in words."""
        times = ", ".join(f"{minute // 60}:{minute % 60:02d}" for minute in self.minutes)
        return (
            f"Rounds at {times} after the start of the shift, drawn at random."
            if times
            else ("No round in this shift.")
        )


def round_times(
    length: int, rounds: int, generator: np.random.Generator, least_gap: int = 1
) -> RoundTimes:
    """Draws random times for rounds within a shift, far enough apart to walk them.

    Args:
        length: Length of the shift.
        rounds: Number of rounds; 0 gives no times.
        generator: Source of the draw.
        least_gap: Least time between two starts, at least 1.

    Returns:
        Start of each round, in order.

    Raises:
        UnfitNumbersError: Numbers not whole, or more rounds than fit.

    Shapes:
        All single numbers.

    Units:
        Whole minutes.

    Assumes:
        The shift is in use over its whole length; leave breaks out by drawing for its parts.

    Source:
        Gaps taken out, a random subset drawn, gaps put back; common practice, no source.

    Examples:
        >>> found = round_times(450, 6, np.random.default_rng(7), least_gap=20)
        >>> len(found.minutes), min(np.diff(found.minutes)) >= 20
        (6, np.True_)
    """
    length, rounds = require.count("length", length, 1), require.count("rounds", rounds)
    least_gap = require.count("least_gap", least_gap, 1)
    room = length - max(rounds - 1, 0) * (least_gap - 1)
    if rounds > room:
        raise UnfitNumbersError(
            f"{rounds} rounds {least_gap} min apart in {length} min", "fewer rounds or smaller gaps"
        )
    places = np.sort(generator.choice(room, size=rounds, replace=False))
    minutes = places + np.arange(rounds) * (least_gap - 1)
    return RoundTimes(tuple(minutes.tolist()), length, least_gap)
