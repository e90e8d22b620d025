"""Whether the last digits of readings are spread as the readings themselves let expect.

Knows counts and readings; whose readings they are, and why a digit is liked, it does not know.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.stats import binom, chi2, norm

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.require import Numbers
from witnessmark.stats.result import counted, percent

DIGITS = 10
LEAST_EXPECTED = 5.0
DRAWS = 9999
WIDE_KERNEL = 3.0

Shape = Literal["kernel", "normal"]


@dataclass(frozen=True)
class TerminalDigits:
    """Last digits against what was to be expected.

    Args:
        counts: How often 0, 1, .. 9 came last.
        expected: How often they were to be expected.
        expected_by: What the expectation rests on.
        chi2: The statistic.
        df: Its degrees of freedom.
        p: Probability of digits as uneven by chance; None where expectations are too small for
            the chi-square distribution and no generator was given.
        std_residuals: (observed - expected) / its standard deviation, for each digit; None where
            a digit was not to be expected at all.
        share_0_or_5: Share of 0 and 5.
        expected_0_or_5: What it was to be.
        p_0_or_5: Probability of so many 0 and 5 or more by chance.
        assumptions: What must hold.
    """

    counts: tuple[int, ...]
    expected: tuple[float, ...]
    expected_by: str
    chi2: float
    df: int
    p: float | None
    std_residuals: tuple[float | None, ...]
    share_0_or_5: float
    expected_0_or_5: float
    p_0_or_5: float
    assumptions: tuple[str, ...]
    method: str = "chi-square of last digits; exact binomial for 0 or 5"

    @property
    def n(self) -> int:
        """Number of readings."""
        return sum(self.counts)

    @property
    def sentence(self) -> str:
        """The digits in words."""
        chance = (
            "too few readings to say how often chance alone would be as uneven"
            if self.p is None
            else f"by chance as uneven with probability {self.p:.2g}"
        )
        return (
            f"Of {counted(self.n, 'reading')}, {percent(self.share_0_or_5)} end in 0 or 5 "
            f"({percent(self.expected_0_or_5)} expected {self.expected_by}); all ten last digits "
            f"together are {chance}. A scale that is read in steps, converted units or rounding "
            "give such digits too; it does not show how the readings came about."
        )


def terminal_digits(
    counts: ArrayLike,
    expected_shares: ArrayLike | None = None,
    generator: np.random.Generator | None = None,
) -> TerminalDigits:
    """Answers whether last digits are spread as expected, from their counts.

    chi2 = sum of (observed - expected)^2 / expected; residual = (observed - expected) /
    sqrt(expected (1 - share)).

    Args:
        counts: How often 0, 1, .. 9 came last.
        expected_shares: Expected share of each digit; None: one tenth each, which holds only
            where readings spread over some tens of steps (`terminal_digits_of` looks at that).
        generator: For the probability by 9,999 draws where a digit is expected less than 5 times.

    Returns:
        Statistic, residuals and probabilities.

    Raises:
        UnfitNumbersError: Not ten counts or shares, negative or not whole counts, no reading,
            shares that do not add up to 1, or a digit counted that was not to be expected at all.

    Shapes:
        counts, expected_shares: (10,)

    Units:
        Counts and shares 0..1.

    Assumes:
        Readings are independent of one another.

    Source:
        Pearson 1900; adjusted residuals: Haberman, Biometrics 29 (1973) 205-220.

    Examples:
        >>> found = terminal_digits([46, 8, 14, 9, 12, 33, 10, 11, 13, 4])
        >>> found.chi2, found.share_0_or_5
        (96.0, 0.49375)
    """
    seen = _ten("counts", counts)
    if np.any(seen < 0) or np.any(seen != np.round(seen)):
        raise UnfitNumbersError("counts has other than whole numbers", "counts of at least 0")
    if expected_shares is None:
        shares, by = np.full(DIGITS, 1 / DIGITS), "if every digit were as likely"
    else:
        shares, by = _ten("expected_shares", expected_shares), "from the spread of the readings"
    return _tested(seen, shares, by, generator, ())


def terminal_digits_of(
    readings: ArrayLike,
    resolution: float,
    shape: Shape | None = None,
    generator: np.random.Generator | None = None,
) -> TerminalDigits:
    """Answers whether last digits are spread as the readings' own smooth distribution lets expect.

    Args:
        readings: Readings, each a multiple of the resolution.
        resolution: Step of the scale; the last digit counts these steps.
        shape: kernel: density of the readings smoothed over more than their digits; normal: a
            normal distribution of their mean and spread. None: kernel where its width is at
            least 3 steps (a narrower one would copy the liking it is to show), else normal.
        generator: For the probability by 9,999 draws where a digit is expected less than 5 times.

    Returns:
        As `terminal_digits`, and in the assumptions how many different values there were.

    Raises:
        UnfitNumbersError: Fewer than 20 readings, missing ones, all alike, or readings that are
            no multiples of the resolution.

    Shapes:
        readings: (n,)

    Units:
        Readings and resolution in one unit.

    Assumes:
        Readings are independent of one another and spread smoothly; with `normal`, normally. The
        expectation is fitted to the same readings, which makes the probability rather too large.

    Source:
        Kernel width: Silverman, Density Estimation, 1986, equation 3.31; rounding of a spread:
        Sheppard, Proc. London Math. Soc. 29 (1898) (memory).

    Examples:
        >>> readings = 12.70 + 0.01 * np.round(np.random.default_rng(7).normal(0, 20, 200))
        >>> found = terminal_digits_of(readings, resolution=0.01)
        >>> found.n, found.p > 0.05
        (200, True)
    """
    steps = _steps(readings, resolution)
    shares, by, said = smoothed_digit_shares(steps, shape)
    counts = np.bincount(np.abs(steps) % DIGITS, minlength=DIGITS).astype(float)
    return _tested(counts, shares, by, generator, said)


def smoothed_digit_shares(
    steps: NDArray[np.int64], shape: Shape | None = None
) -> tuple[Numbers, str, tuple[str, ...]]:
    """Gives the share of each last digit that a smooth distribution of the readings would have.

    Args:
        steps: Readings in steps of the scale.
        shape: As `terminal_digits_of`.

    Returns:
        Ten shares, what they rest on, and what must hold for them.

    Raises:
        UnfitNumbersError: All readings alike.

    Shapes:
        steps: (n,); shares: (10,)

    Units:
        Steps of the scale in, shares 0..1 out.

    Source:
        As `terminal_digits_of`.

    Examples:
        >>> shares, by, said = smoothed_digit_shares(np.array([98, 99, 100, 100, 101, 102]))
        >>> bool(shares[0] > 2 * shares[5]), by
        (True, 'from a normal distribution of the readings')
    """
    spread = float(np.std(steps, ddof=1))
    if spread == 0:
        raise UnfitNumbersError(f"all {len(steps)} readings are alike", "some variation")
    quartiles = np.percentile(steps, [25, 75])
    narrow = min(spread, float(quartiles[1] - quartiles[0]) / 1.34) or spread
    width = 0.9 * narrow * len(steps) ** -0.2
    if shape is None:
        shape = "kernel" if width >= WIDE_KERNEL else "normal"
    values, counts = np.unique(steps, return_counts=True)
    if shape == "kernel":
        centres, weights, sd = values.astype(float), counts / counts.sum(), width
        by = "from the smoothed distribution of the readings"
    else:
        # Reading in whole steps has added 1/12 to the variance.
        sd = float(np.sqrt(max(spread**2 - 1 / 12, 1 / 12)))
        centres, weights = np.array([steps.mean()]), np.array([1.0])
        by = "from a normal distribution of the readings"
    reach = int(np.ceil(6 * sd)) + 1
    grid = np.arange(int(values[0]) - reach, int(values[-1]) + reach + 1)
    edges = norm.cdf((np.append(grid, grid[-1] + 1) - 0.5 - centres[:, np.newaxis]) / sd)
    cells = weights @ np.diff(edges, axis=1)
    shares = np.bincount(np.abs(grid) % DIGITS, weights=cells, minlength=DIGITS)
    said = (
        f"The readings take {len(values)} different values, with a spread of {spread:.1f} steps: "
        + ("wide enough to smooth over" if shape == "kernel" else "taken as normally distributed")
        + " the digits.",
        "The expectation is fitted to the same readings: the probability is rather too large.",
    )
    return np.asarray(shares / shares.sum(), dtype=float), by, said


def _ten(name: str, row: ArrayLike) -> Numbers:
    found = require.numbers(name, row)
    if len(found) != DIGITS:
        raise UnfitNumbersError(f"{name}: {len(found)} values", "one for each digit 0 to 9")
    return found


def _steps(readings: ArrayLike, resolution: float) -> NDArray[np.int64]:
    values = require.numbers("readings", readings, 20)
    scaled = values / require.above("resolution", resolution)
    steps: NDArray[np.int64] = np.round(scaled).astype(np.int64)
    between = int(np.sum(np.abs(scaled - steps) > 0.01 + 1e-9 * np.abs(scaled)))
    if between:
        raise UnfitNumbersError(
            f"{between} of {len(values)} readings lie between the steps of {resolution:g}",
            "readings of one resolution; convert units back, or give the finer resolution",
        )
    return steps


def _tested(
    counts: Numbers,
    shares: Numbers,
    by: str,
    generator: np.random.Generator | None,
    said: tuple[str, ...],
) -> TerminalDigits:
    n = require.count("number of readings", float(counts.sum()), 1)
    if np.any(shares < 0) or not np.isclose(shares.sum(), 1):
        raise UnfitNumbersError(f"expected_shares add up to {shares.sum():g}", "shares of 1 in all")
    if np.any(counts[shares == 0] > 0):
        raise UnfitNumbersError(
            "a digit was counted that was not to be expected at all", "a share above 0 for it"
        )
    shares = shares / shares.sum()
    possible = shares > 0
    expected = n * shares
    statistic = _chi2(counts[np.newaxis, :], expected)[0]
    df = int(possible.sum()) - 1
    enough = bool(np.all(expected[possible] >= LEAST_EXPECTED))
    p = float(chi2.sf(statistic, df)) if enough else None
    if p is None and generator is not None:
        drawn = generator.multinomial(n, shares, size=DRAWS).astype(float)
        as_uneven = int(np.sum(_chi2(drawn, expected) >= statistic * (1 - 1e-12)))
        p = (1 + as_uneven) / (DRAWS + 1)
    deviations = np.sqrt(expected * (1 - shares))
    residuals = np.divide(counts - expected, deviations, out=np.zeros(DIGITS), where=deviations > 0)
    rounded = int(counts[0] + counts[5])
    share = float(shares[0] + shares[5])
    return TerminalDigits(
        counts=tuple(int(count) for count in counts),
        expected=tuple(expected.tolist()),
        expected_by=by,
        chi2=float(statistic),
        df=df,
        p=p,
        std_residuals=tuple(
            float(residual) if sd > 0 else None
            for residual, sd in zip(residuals, deviations, strict=True)
        ),
        share_0_or_5=rounded / n,
        expected_0_or_5=share,
        p_0_or_5=float(binom.sf(rounded - 1, n, min(share, 1.0))),
        assumptions=(
            "Readings are independent of one another.",
            *said,
            *_never(counts, expected),
            f"The least expectation of a digit is {expected[possible].min():.1f}"
            + ("." if enough else ", below 5: the chi-square distribution is not used."),
        ),
    )


def _chi2(rows: Numbers, expected: Numbers) -> Numbers:
    due = expected[expected > 0]
    return np.asarray(np.sum((rows[:, expected > 0] - due) ** 2 / due, axis=1), dtype=float)


def _never(counts: Numbers, expected: Numbers) -> tuple[str, ...]:
    never = [str(digit) for digit in np.flatnonzero((counts == 0) & (expected >= LEAST_EXPECTED))]
    if len(never) < 2:  # noqa: PLR2004 - one digit that is missing may be chance
        return ()
    return (f"The digits {', '.join(never)} never come last: the scale may lack such steps.",)
