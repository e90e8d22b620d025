"""What the functions of `stats` refuse, in one wording: what was given and what is needed."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from witnessmark.errors import UnfitNumbersError

Numbers = NDArray[np.float64]


def count(name: str, value: float, least: int = 0) -> int:
    """Gives a whole number of at least `least`.

    Raises:
        UnfitNumbersError: It is missing, not whole, or too small.
    """
    if not np.isfinite(value) or value != int(value) or value < least:
        raise UnfitNumbersError(f"{name} = {value}", f"a whole number of at least {least}")
    return int(value)


def found_of(x: float, n: float) -> tuple[int, int]:
    """Gives x of n as whole numbers with 0 <= x <= n.

    Raises:
        UnfitNumbersError: One is missing, not whole or negative, or x is above n.
    """
    whole = count("x", x), count("n", n)
    if whole[0] > whole[1]:
        raise UnfitNumbersError(f"x = {x} found among n = {n}", "x no larger than n")
    return whole


def share(name: str, value: float) -> float:
    """Gives a number strictly between 0 and 1.

    Raises:
        UnfitNumbersError: It is not.
    """
    if not 0 < value < 1:
        raise UnfitNumbersError(f"{name} = {value}", "a number between 0 and 1, such as 0.95")
    return float(value)


def above(name: str, value: float, least: float = 0.0) -> float:
    """Gives a finite number above `least`.

    Raises:
        UnfitNumbersError: It is not.
    """
    if not (np.isfinite(value) and value > least):
        raise UnfitNumbersError(f"{name} = {value}", f"a number above {least:g}")
    return float(value)


def numbers(name: str, values: ArrayLike, least: int = 1) -> Numbers:
    """Gives a row of at least `least` finite numbers.

    Raises:
        UnfitNumbersError: Missing or infinite values, too few, or not a single row.

    Shapes:
        values: (n,)
    """
    row = np.asarray(values, dtype=float)
    if row.ndim != 1:
        raise UnfitNumbersError(f"{name} has {row.ndim} dimensions", "a single row of numbers")
    unfit = int(np.sum(~np.isfinite(row)))
    if unfit:
        raise UnfitNumbersError(
            f"{name}: {unfit} of {len(row)} values are missing or infinite",
            "finite numbers; leave missing ones out and say how many they were",
        )
    if len(row) < least:
        raise UnfitNumbersError(f"{name}: {len(row)} values", f"at least {least}")
    return row


def same_length(**rows: Sequence[object] | Numbers) -> None:
    """Refuses rows of different length.

    Raises:
        UnfitNumbersError: Names every row with its length.
    """
    lengths = {name: len(row) for name, row in rows.items()}
    if len(set(lengths.values())) > 1:
        said = ", ".join(f"{name}: {length}" for name, length in lengths.items())
        raise UnfitNumbersError(f"rows of different length ({said})", "rows of the same length")
