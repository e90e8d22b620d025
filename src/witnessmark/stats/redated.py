"""Which share of actions had a due date moved."""

from dataclasses import dataclass

from witnessmark.stats import require
from witnessmark.stats.proportion import exact_interval
from witnessmark.stats.result import counted, percent


@dataclass(frozen=True)
class RedatedShare:
    """Share of actions whose due date was moved.

    Args:
        redated: Actions with a moved date.
        n: Actions.
        share: redated / n; None where n is 0.
        lower: Lower limit.
        upper: Upper limit.
        limit: Share above which the way actions are run is in question.
        confidence: Two-sided confidence of the limits.
        assumptions: What must hold.
    """

    redated: int
    n: int
    share: float | None
    lower: float
    upper: float
    limit: float
    confidence: float
    assumptions: tuple[str, ...]
    method: str = "exact (Clopper-Pearson) limits of a share"

    @property
    def sentence(self) -> str:
        """The share in words."""
        if self.share is None:
            return "No action was looked at, so nothing can be said of moved dates."
        if self.lower > self.limit:
            verdict = f"above the {percent(self.limit)} from which the loop itself is in question"
        elif self.upper <= self.limit:
            verdict = f"not above {percent(self.limit)}"
        else:
            verdict = f"whether it is above {percent(self.limit)} in the long run is not shown"
        return (
            f"{self.redated:,} of {counted(self.n, 'action')} had a due date moved "
            f"({percent(self.share)}; {percent(self.lower)} to {percent(self.upper)} with "
            f"{percent(self.confidence)} confidence): {verdict}. It does not show why dates were "
            "moved."
        )


def redated_share(
    redated: int, n: int, limit: float = 0.25, confidence: float = 0.95
) -> RedatedShare:
    """Answers which share of actions had a due date moved, against a limit.

    Args:
        redated: Actions whose due date was moved at least once.
        n: Actions looked at. 0 gives no share and the limits 0 and 1.
        limit: Share above which the way actions are run is in question; 0.25 is common practice,
            no source.
        confidence: Two-sided confidence.

    Returns:
        The share with exact limits.

    Raises:
        UnfitNumbersError: Not 0 <= redated <= n, or a limit or confidence outside (0, 1).

    Shapes:
        Single numbers.

    Units:
        Shares 0..1.

    Assumes:
        Actions are independent; every change of date was recorded.

    Source:
        Clopper and Pearson, Biometrika 26 (1934) 404-413.

    Examples:
        >>> round(redated_share(9, 20).lower, 2)
        0.23
    """
    redated, n = require.found_of(redated, n)
    interval = exact_interval(redated, n, require.share("confidence", confidence))
    return RedatedShare(
        redated=redated,
        n=n,
        share=interval.rate,
        lower=interval.lower,
        upper=interval.upper,
        limit=require.share("limit", limit),
        confidence=confidence,
        assumptions=(
            "Actions are taken as independent.",
            "Every change of a date was recorded; one that was overwritten is not seen.",
        ),
    )
