"""Declared against recomputed: how often they agree, and to which side they part.

Knows no record. The agreement of judges of parts stands in `agreement`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.stats import binom

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.agreement import Kappa, cohen_kappa
from witnessmark.stats.proportion import Interval, exact_interval
from witnessmark.stats.result import chance, counted, percent


@dataclass(frozen=True)
class PairedDirection:
    """Whether changes between two verdicts on the same items lean to one side.

    Args:
        b: Changes one way.
        c: Changes the other way.
        p_two_sided: Probability of at least so uneven a split by chance.
        p_more_b: Probability of b or more of the changes by chance.
        p_more_c: Probability of c or more of the changes by chance.
    """

    b: int
    c: int
    p_two_sided: float
    p_more_b: float
    p_more_c: float
    method: str = "exact paired test (McNemar): changes split like a fair coin"
    assumptions: tuple[str, ...] = (
        "Pairs are independent of each other; the days of one week may share a cause.",
    )

    @property
    def sentence(self) -> str:
        """The split and how often chance makes one as uneven."""
        changes = self.b + self.c
        if not changes:
            return "No pair differs, so no direction can be seen."
        return (
            f"Of {counted(changes, 'pair')} that differ, {self.b:,} go one way and {self.c:,} the "
            f"other; a fair coin splits at least so unevenly with probability "
            f"p {chance(self.p_two_sided)}."
        )


def paired_direction(b: int, c: int) -> PairedDirection:
    """Says whether changes between two verdicts on the same items lean to one side, exactly.

    Given b + c changes, b is binomial with share 1/2 if neither side is favoured.

    Args:
        b: Changes one way.
        c: Changes the other way.

    Returns:
        Probabilities, two-sided and to each side; each is 1 without any change.

    Raises:
        UnfitNumbersError: Counts missing, negative or not whole.

    Shapes:
        All single numbers.

    Units:
        Probabilities 0..1.

    Assumes:
        Independent pairs.

    Source:
        McNemar, Psychometrika 12 (1947) 153-157, in its exact form.

    Examples:
        >>> round(paired_direction(9, 2).p_two_sided, 4)
        0.0654
    """
    b, c = require.count("b", b), require.count("c", c)
    more_b, more_c = (float(binom.sf(one - 1, b + c, 1 / 2)) for one in (b, c))
    return PairedDirection(b, c, min(1.0, 2 * min(more_b, more_c)), more_b, more_c)


@dataclass(frozen=True)
class DeclaredAgreement:
    """Declared verdicts held against recomputed ones.

    Args:
        table: Rows as declared, columns as recomputed, both in the order of `verdicts`.
        verdicts: Names of the verdicts, from the most to the least favourable.
        agree: Share that agrees, with exact limits.
        too_good: Declared more favourable than recomputed.
        too_bad: Declared less favourable than recomputed.
        direction: The paired test on the two.
        worst: Declared and recomputed verdict of the fullest cell that is too good; None if empty.
        worst_count: Number in that cell.
        worst_share: Its share of all that were recomputed as that verdict, with exact limits.
        kappa: Agreement beyond chance, beside the rest and never alone; None for an empty table.
    """

    table: tuple[tuple[int, ...], ...]
    verdicts: tuple[str, ...]
    agree: Interval
    too_good: int
    too_bad: int
    direction: PairedDirection
    worst: tuple[str, str] | None
    worst_count: int
    worst_share: Interval
    kappa: Kappa | None
    method: str = "share that agrees (exact limits); direction by the exact paired test"
    assumptions: tuple[str, ...] = (
        "The recomputation uses the plant's own rule as it stood then, and final data.",
        "Items are independent; the days of one week may share a cause.",
    )

    @property
    def sentence(self) -> str:
        """How many agree, which side the others lean to, and the cell that matters."""
        if self.agree.rate is None:
            return "Nothing was declared and recomputed both, so nothing can be compared."
        agreed = (
            f"{self.agree.x:,.0f} of {counted(self.agree.n, 'item')} agree "
            f"({percent(self.agree.rate)}; {percent(self.agree.confidence)} limits "
            f"{percent(self.agree.lower)} to {percent(self.agree.upper)})"
        )
        apart = (
            f"{self.too_good:,} were declared better than recomputed and {self.too_bad:,} worse "
            f"(p {chance(self.direction.p_two_sided)} for the direction)"
        )
        if self.worst is None:
            return f"{agreed}; {apart}."
        return (
            f"{agreed}; {apart}. {self.worst_count:,} of {self.worst_share.n:,.0f} recomputed as "
            f"{self.worst[1]} stand declared as {self.worst[0]}."
        )


def declared_agreement(
    table: ArrayLike, verdicts: tuple[str, ...] = ("green", "red"), confidence: float = 0.95
) -> DeclaredAgreement:
    """Says how declared verdicts agree with recomputed ones, and to which side they part.

    Args:
        table: Counts; rows as declared, columns as recomputed.
        verdicts: Names, from the most to the least favourable.
        confidence: Two-sided confidence of the shares.

    Returns:
        Share that agrees, direction, the cell that matters, and kappa beside them. An empty table
        has no share and no kappa.

    Raises:
        UnfitNumbersError: A table that is not square or does not fit the verdicts, or counts
            missing, negative or not whole.

    Shapes:
        table: (verdicts, verdicts)

    Units:
        Shares 0..1.

    Assumes:
        Independent items, judged by the rule and the data of their time.

    Source:
        McNemar 1947 (exact); kappa as `cohen_kappa`.

    Examples:
        >>> found = declared_agreement([[40, 9], [1, 10]])
        >>> found.worst, found.worst_count, round(found.agree.rate, 3)
        (('green', 'red'), 9, 0.833)
    """
    cells = np.asarray(table, dtype=float)
    if len(verdicts) <= 1 or cells.shape != (len(verdicts), len(verdicts)):
        raise UnfitNumbersError(
            f"a table of shape {cells.shape} for {len(verdicts)} verdicts",
            "as many rows and columns as verdicts, two or more",
        )
    if not np.all(np.isfinite(cells) & (cells >= 0) & (cells == np.floor(cells))):
        raise UnfitNumbersError("missing, negative or broken counts", "whole numbers from 0")
    counts = cells.astype(int)
    better = np.triu(counts, 1)
    too_good, too_bad = int(better.sum()), int(np.tril(counts, -1).sum())
    row, column = (int(place) for place in np.unravel_index(better.argmax(), better.shape))
    worst_count, total = int(better[row, column]), int(counts.sum())
    return DeclaredAgreement(
        tuple(tuple(line) for line in counts.tolist()),
        tuple(verdicts),
        exact_interval(int(np.trace(counts)), total, confidence),
        too_good,
        too_bad,
        paired_direction(too_good, too_bad),
        (verdicts[row], verdicts[column]) if worst_count else None,
        worst_count,
        exact_interval(worst_count, int(counts[:, column].sum()), confidence),
        cohen_kappa(counts, confidence=confidence) if total else None,
    )
