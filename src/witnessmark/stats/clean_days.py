"""How many clean days in a row show that red days have become rarer.

Knows no record; which days are comparable is for the caller to say.
"""

from dataclasses import dataclass

from witnessmark.stats.detection import detection_sample
from witnessmark.stats.result import counted, percent


@dataclass(frozen=True)
class CleanDays:
    """How many clean days in a row show that days have become better.

    Args:
        days: Clean days in a row needed.
        share: Share of red days before.
        confidence: Confidence.
    """

    days: int
    share: float
    confidence: float
    method: str = "ln(1 - confidence) / ln(1 - share), rounded up"
    assumptions: tuple[str, ...] = (
        "The days are comparable to those before: weekdays prove nothing about weekends.",
        "Days are independent, and the share before is known, not itself an estimate of few days.",
    )

    @property
    def sentence(self) -> str:
        """The days in words."""
        return (
            f"If {percent(self.share)} of days were red, {counted(self.days, 'clean day')} in a "
            f"row, comparable ones, are needed before chance alone explains them in less than "
            f"{percent(1 - self.confidence)} of cases."
        )


def clean_days_needed(share: float, confidence: float = 0.95) -> CleanDays:
    """Gives how many clean days in a row are needed to say that red days have become rarer.

    Args:
        share: Share of red days before.
        confidence: One-sided confidence.

    Returns:
        The number of days.

    Raises:
        UnfitNumbersError: Shares outside (0, 1).

    Shapes:
        All single numbers.

    Units:
        Share 0..1; comparable days.

    Assumes:
        Comparable, independent days.

    Source:
        Binomial law, as `detection_sample`.

    Examples:
        >>> [clean_days_needed(share).days for share in (0.1, 0.2, 0.3, 0.5)]
        [29, 14, 9, 5]
    """
    return CleanDays(detection_sample(share, confidence).n, share, confidence)
