"""What every result of `stats` can say for itself, and the words they share.

Knows no statistic: only how a number is stated.
"""

import math
from typing import Protocol

import numpy as np

LEAST_SAID = 0.0001


class Stated(Protocol):
    """A result that a report can quote: its method, its assumptions, its sentence."""

    @property
    def method(self) -> str:
        """How it was found, in a few words."""

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What must hold for it to mean what it says, each with what was checked of it."""

    @property
    def sentence(self) -> str:
        """The result as a careful statistician would write it in a report."""


def percent(share: float) -> str:
    """Gives a share as a percentage with as many digits as it deserves.

    Units:
        Share 0..1 in, text in percent out.

    Examples:
        >>> percent(0.0951), percent(0.0042), percent(1.0), percent(0.00003), percent(0.5)
        ('9.5 %', '0.42 %', '100 %', '0.003 %', '50 %')
        >>> percent(0.9999), percent(0.0)
        ('99.99 %', '0 %')
    """
    value = 100 * share
    from_the_end = min(value, 100 - value)
    if from_the_end <= 0 or from_the_end >= 1:
        return f"{value:.1f} %".replace(".0 %", " %")
    places = max(2, -math.floor(math.log10(from_the_end)))
    return f"{value:.{places}f} %"


def counted(n: float, one: str, many: str | None = None) -> str:
    """Gives a number with its noun.

    Examples:
        >>> counted(1, "check"), counted(0, "check"), counted(1200, "lot")
        ('1 check', '0 checks', '1,200 lots')
    """
    return f"{n:,.0f} {one if n == 1 else many or one + 's'}"


def amount(value: float) -> str:
    """Gives an exposure, a rate or a ratio with three figures at least, never as a power of ten.

    Units:
        Its own, unchanged.

    Examples:
        >>> amount(1234567.0), amount(1234.56), amount(30), amount(0.0000123456), amount(2.0)
        ('1,234,567', '1,234.6', '30', '0.0000123', '2')
    """
    if value == round(value):
        return f"{value:,.0f}"
    if abs(value) >= 1000:  # noqa: PLR2004 - as many figures as three say less than the whole part
        return f"{value:,.1f}"
    return np.format_float_positional(value, precision=3, fractional=False, trim="-")


def chance(probability: float) -> str:
    """Gives a small probability with its sign, never as a power of ten.

    Units:
        Probability 0..1 in, text out.

    Examples:
        >>> chance(0.0384), chance(0.00001), chance(0.5)
        ('= 0.038', '< 0.0001', '= 0.5')
    """
    return "< 0.0001" if probability < LEAST_SAID else f"= {probability:.2g}"
