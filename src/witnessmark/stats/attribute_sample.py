"""A sample planned for a test in which a few deviations are expected.

Knows no record. What was found is then stated by `exact_interval`, one-sided.
"""

from dataclasses import dataclass

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.detection import RANDOM, SEEN, detection_sample
from witnessmark.stats.finite_lot import EVEN
from witnessmark.stats.result import counted, percent

MOST_EXPECTED = 200


@dataclass(frozen=True)
class AttributeSample:
    """A sample planned with a few deviations expected in it.

    Args:
        n: Number to look at.
        expected: Deviations that may be found.
        expected_rate: Rate expected.
        tolerable_rate: Rate that would be too much.
        risk: Chance to pass although the rate is the tolerable one.
    """

    n: int
    expected: int
    expected_rate: float
    tolerable_rate: float
    risk: float
    method: str = "smallest binomial sample for the expected deviations"
    assumptions: tuple[str, ...] = (RANDOM, SEEN, "The population is large against the sample.")

    @property
    def sentence(self) -> str:
        """The plan in words."""
        return (
            f"Look at {counted(self.n, 'item')} drawn at random: with at most {self.expected:,} "
            f"found, a rate of {percent(self.tolerable_rate)} or more is excluded at "
            f"{percent(1 - self.risk)} confidence."
        )


def attribute_sample(
    expected_rate: float, tolerable_rate: float, risk: float = 0.05
) -> AttributeSample:
    """Gives the sample for a test in which a few deviations are expected.

    Smallest k and its smallest n with P(X <= k | tolerable) <= risk such that n * expected_rate
    does not exceed k.

    Args:
        expected_rate: Rate expected, from 0.
        tolerable_rate: Rate that would be too much; above the expected one.
        risk: Chance to pass although the rate is the tolerable one.

    Returns:
        Number to look at, and number of deviations that may be found.

    Raises:
        UnfitNumbersError: Rates outside their range, or so close that no sample of fewer than
            200 expected deviations keeps them apart.

    Shapes:
        All single numbers.

    Units:
        Shares 0..1; items.

    Assumes:
        Random draw from a large population.

    Source:
        AICPA, Audit Sampling guide, appendix A (recomputed).

    Examples:
        >>> plan = attribute_sample(0.01, 0.05)
        >>> plan.n, plan.expected
        (93, 1)
    """
    require.share("tolerable_rate", tolerable_rate)
    if not 0 <= expected_rate < tolerable_rate:
        raise UnfitNumbersError(f"expected_rate = {expected_rate}", "0 up to the tolerable rate")
    for expected in range(MOST_EXPECTED):
        n = detection_sample(tolerable_rate, 1 - risk, expected).n
        if n * expected_rate <= expected * EVEN:
            return AttributeSample(n, expected, expected_rate, tolerable_rate, risk)
    raise UnfitNumbersError(
        f"expected {percent(expected_rate)} and tolerable {percent(tolerable_rate)}",
        "rates further apart",
    )
