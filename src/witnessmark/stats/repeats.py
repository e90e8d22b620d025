"""How many sets of readings repeat another set exactly, against what chance lets expect."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import ArrayLike, NDArray

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.require import Numbers
from witnessmark.stats.result import counted

SHUFFLES = 1999
AT_ONCE = 1_000_000


@dataclass(frozen=True)
class RepeatedSets:
    """Identical sets of readings.

    Args:
        sets: Number of sets.
        pieces: Readings in a set.
        pairs: Pairs of sets that are identical.
        expected: Pairs expected where readings of a place are dealt out at random over the sets.
        repeated: Sets that have at least one identical other.
        largest: Size of the largest group of identical sets.
        p: Probability of as many identical pairs by chance; None without a generator.
        groups: For each group of identical sets their numbers (from 0), largest first.
        assumptions: What must hold.
    """

    sets: int
    pieces: int
    pairs: int
    expected: float
    repeated: int
    largest: int
    p: float | None
    groups: tuple[tuple[int, ...], ...]
    assumptions: tuple[str, ...]
    method: str = "identical pairs of sets against readings dealt out at random within blocks"

    @property
    def sentence(self) -> str:
        """The repeats in words."""
        chance = "" if self.p is None else f"; by chance as many have probability {self.p:.2g}"
        return (
            f"Of {counted(self.sets, 'set')} of {counted(self.pieces, 'reading')}, "
            f"{self.repeated:,} are identical with another one ({counted(self.pairs, 'pair')}, "
            f"{self.expected:.2g} expected by chance{chance}). A coarse scale or a steady process "
            "repeats sets too; it does not show how the readings came about."
        )


def repeated_sets(
    readings: ArrayLike,
    blocks: Sequence[object] | None = None,
    generator: np.random.Generator | None = None,
) -> RepeatedSets:
    """Answers how many sets of readings repeat another set exactly, and how many chance gives.

    Expected pairs = sum over blocks of the expectation under random dealing: within a block
    C(m, 2) x product over places of sum over values of f (f - 1) / (m (m - 1)), f the count of a
    value at that place; pairs of sets in different blocks take f_a f_b / (m_a m_b).

    Args:
        readings: One row per set, readings in the order of their places (piece 1, 2, ..).
        blocks: For each set the stretch in which the process was steady, such as its set-up.
            Readings are dealt out within blocks only, so that a process that moves between blocks
            is not mistaken for repeats. None: all sets are one block.
        generator: For the probability by 1,999 random dealings; None: no probability.

    Returns:
        Identical pairs and groups, and what chance gives. Sets of one reading are refused: there
        every value repeats.

    Raises:
        UnfitNumbersError: Fewer than 2 sets or 2 readings in a set, missing readings, or `blocks`
            of another length.

    Shapes:
        readings: (n_sets, n_pieces); blocks: (n_sets,)

    Units:
        Any; readings are compared as they were written, so give them rounded to the resolution.

    Assumes:
        Within a block sets are independent of one another and the places of a set too. Pieces
        that vary together within a set, or a process that moves within a block, repeat more.

    Source:
        Counting; probability by permutation, exact under random dealing.

    Examples:
        >>> found = repeated_sets([[1, 2, 3], [1, 2, 3], [3, 1, 2], [2, 3, 1]])
        >>> found.pairs, round(found.expected, 3), found.groups
        (1, 0.028, ((0, 1),))
    """
    codes = _codes(readings)
    sets, pieces = codes.shape
    block = np.zeros(sets, dtype=np.int64)
    if blocks is not None:
        require.same_length(readings=codes.tolist(), blocks=blocks)
        names = {name: i for i, name in enumerate(dict.fromkeys(blocks))}
        block = np.array([names[name] for name in blocks], dtype=np.int64)
    groups = _groups(codes)
    pairs = sum(len(group) * (len(group) - 1) // 2 for group in groups)
    return RepeatedSets(
        sets=sets,
        pieces=pieces,
        pairs=pairs,
        expected=_expected(codes, block),
        repeated=sum(len(group) for group in groups),
        largest=max((len(group) for group in groups), default=1),
        p=None if generator is None else _p(codes, block, pairs, generator),
        groups=groups,
        assumptions=(
            "Within a block the sets are independent, and the places of a set too.",
            f"Readings are dealt out within {counted(int(block.max()) + 1, 'block')}.",
            "A process that moves within a block repeats sets more than is expected here.",
            f"The readings take {len(np.unique(codes))} different values.",
        ),
    )


def _codes(readings: ArrayLike) -> NDArray[np.int64]:
    rows = np.asarray(readings, dtype=float)
    if rows.ndim != 2 or rows.shape[0] < 2 or rows.shape[1] < 2:  # noqa: PLR2004 - two of each are the least
        raise UnfitNumbersError(
            f"readings of shape {rows.shape}", "at least 2 sets of at least 2 readings each"
        )
    flat = require.numbers("readings", rows.ravel())
    _, codes = np.unique(flat, return_inverse=True)
    return np.asarray(codes, dtype=np.int64).reshape(rows.shape)


def _groups(codes: NDArray[np.int64]) -> tuple[tuple[int, ...], ...]:
    _, which = np.unique(codes, axis=0, return_inverse=True)
    found: dict[int, list[int]] = {}
    for number, group in enumerate(np.ravel(which).tolist()):
        found.setdefault(group, []).append(number)
    alike = [tuple(group) for group in found.values() if len(group) > 1]
    return tuple(sorted(alike, key=lambda group: (-len(group), group)))


def _expected(codes: NDArray[np.int64], block: NDArray[np.int64]) -> float:
    """Expectation of identical pairs, within blocks and between them."""
    blocks, sizes = np.unique(block, return_counts=True)
    m = sizes.astype(float)
    # Ordered pairs in which a reading agrees, as a share, multiplied up over the places.
    agree: Numbers = np.ones((len(blocks), len(blocks)))
    alone = np.diag(m == 1)
    pairs = np.outer(m, m) - np.diag(m)
    for place in range(codes.shape[1]):
        f = np.zeros((len(blocks), int(codes.max()) + 1))
        np.add.at(f, (block, codes[:, place]), 1.0)
        same = f @ f.T - np.diag(m)
        agree = agree * np.where(alone, 0.0, same / np.where(alone, 1.0, pairs))
    return float(np.sum(pairs * agree) / 2)


def _p(
    codes: NDArray[np.int64], block: NDArray[np.int64], seen: int, generator: np.random.Generator
) -> float:
    """Share of dealings, the sets as they are counted in, with as many identical pairs."""
    # Each reading of each place stands for a random number of 64 bits: sets are identical where
    # the sums are, but for a chance of about 1 in 10^19 per pair.
    pieces = codes.shape[1]
    table = generator.integers(0, 2**64, (pieces, int(codes.max()) + 1), dtype=np.uint64)
    steady = [np.flatnonzero(block == one) for one in np.unique(block)]
    as_many, at_once = 1, max(1, AT_ONCE // len(codes))
    for start in range(0, SHUFFLES, at_once):
        sums = np.zeros((min(at_once, SHUFFLES - start), len(codes)), dtype=np.uint64)
        for rows, place in product(steady, range(pieces)):
            dealt = np.tile(table[place][codes[rows, place]], (len(sums), 1))
            sums[:, rows] += generator.permuted(dealt, axis=1)
        as_many += int(np.sum(_identical_pairs(sums) >= seen))
    return as_many / (SHUFFLES + 1)


def _identical_pairs(sums: NDArray[np.uint64]) -> NDArray[np.int64]:
    """Identical pairs in each row: in a run of equal values every one pairs with those before."""
    ordered = np.sort(sums, axis=1)
    before = np.zeros(len(sums), dtype=np.int64)
    pairs = np.zeros(len(sums), dtype=np.int64)
    for same in (ordered[:, 1:] == ordered[:, :-1]).T:
        before = (before + 1) * same
        pairs += before
    return pairs
