"""Values as an auditor types them: shares and percentages, `3 of 40`, `12/30`.

A bare 5 is refused as a share, so that nobody is off by a hundred. This module knows no command.
"""

import re
from collections.abc import Sequence
from typing import Annotated, Any

from cyclopts import Parameter, Token

from witnessmark.errors import UnfitNumbersError

NUMBER = r"[+-]?(?:\d+(?:[.,]\d+)?|[.,]\d+)"
PAIR = re.compile(rf"\s*({NUMBER})\s*(?:\bof\b|\bin\b|\bper\b|/|\s)\s*({NUMBER})\s*")


def share(text: str) -> float:
    """A share from `5%`, `5 %`, `0.05` or `0,05`.

    Raises:
        ValueError: It is none, or a bare number from 1 on, which may be meant either way.
    """
    found = re.fullmatch(rf"\s*({NUMBER})\s*(%?)\s*", text)
    if found is None:
        raise ValueError(f'"{text}" is no share. Needs a percentage such as 5% or a share 0.05.')
    value = _number(found[1])
    if found[2]:
        return value / 100
    if value >= 1:
        raise ValueError(
            f'"{text}" may be a share or a percentage. Needs {text.strip()}% or a share below 1.'
        )
    return value


def pair(text: str, first: str, second: str) -> tuple[float, float]:
    """Two numbers from `3 of 40`, `3/40`, `12 in 30` or `3 40`.

    Args:
        text: As typed.
        first: What the first number is, for the refusal.
        second: What the second is.

    Raises:
        UnfitNumbersError: It is not two numbers.
    """
    found = PAIR.fullmatch(text)
    if found is None:
        raise UnfitNumbersError(f'"{text}"', f"{first} and {second}, such as 3/40 or 3 of 40")
    return _number(found[1]), _number(found[2])


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _share_of(_kind: Any, tokens: Sequence[Token]) -> float:
    return share(tokens[0].value)


Share = Annotated[float, Parameter(converter=_share_of, metavar="SHARE")]
"""A share typed as 5% or 0.05."""
