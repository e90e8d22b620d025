"""How surprising a count would be at an allowed rate.

Pure arithmetic over scipy; knows no record.
"""

from dataclasses import dataclass

from scipy.stats import binom, binomtest

from witnessmark.stats import require
from witnessmark.stats.result import counted, percent


@dataclass(frozen=True)
class AgainstRate:
    """A share held against an allowed rate.

    Args:
        x: Number found.
        n: Number looked at.
        allowed: The rate it is held against.
        p_above: Probability of x or more at the allowed rate.
        p_below: Probability of x or fewer at the allowed rate.
        p_two_sided: Probability of any count no more likely than x at the allowed rate.
    """

    x: int
    n: int
    allowed: float
    p_above: float
    p_below: float
    p_two_sided: float
    method: str = "exact binomial test; two-sided by minimum likelihood"
    assumptions: tuple[str, ...] = (
        "Independent items that stand for what the rate is about.",
        "The allowed rate was fixed before the items were looked at.",
    )

    @property
    def sentence(self) -> str:
        """What was found and how surprising it is at the allowed rate."""
        return (
            f"{self.x:,} of {counted(self.n, 'item')}: at a true rate of {percent(self.allowed)} "
            f"this many or more would be found in {percent(self.p_above)} of such samples, this "
            f"many or fewer in {percent(self.p_below)}. A large share proves no conformity."
        )


def against_rate(x: int, n: int, allowed: float) -> AgainstRate:
    """Says how surprising x of n would be if the true rate were the allowed one.

    Args:
        x: Number found.
        n: Number looked at; 0 surprises nobody and gives 1 for each probability.
        allowed: The rate it is held against.

    Returns:
        Probabilities of as many or more, as few or fewer, and both ways.

    Raises:
        UnfitNumbersError: Counts impossible or missing, or the rate outside (0, 1).

    Shapes:
        All single numbers.

    Units:
        Shares 0..1.

    Assumes:
        Independent items; the allowed rate not chosen after looking.

    Source:
        Conover, Practical Nonparametric Statistics, 1971, section 3.1; scipy.stats.binomtest.

    Examples:
        >>> round(against_rate(26, 200, 0.10).p_above, 4)
        0.1005
    """
    x, n = require.found_of(x, n)
    require.share("allowed", allowed)
    if n == 0:
        return AgainstRate(x, n, allowed, 1.0, 1.0, 1.0)
    above = float(binom.sf(x - 1, n, allowed))
    both = float(binomtest(x, n, allowed).pvalue)
    return AgainstRate(x, n, allowed, above, float(binom.cdf(x, n, allowed)), both)
