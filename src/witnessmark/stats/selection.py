"""Which items to look at: a random draw that anyone can repeat; a chosen sample without a rate.

Knows no record: an item is its reference. The draw needs no random number generator: references
are put in the order of a hash of the seed and the reference, so it depends neither on the order
they arrive in nor on the machine or the version of a library.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from hashlib import sha256
from typing import Literal, NoReturn

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.result import counted

Allocation = Literal["proportional", "equal", "given"]


@dataclass(frozen=True)
class StratumDraw:
    """What was drawn from one stratum.

    Args:
        name: The stratum.
        size: Items in it.
        refs: Items drawn, in the order of the draw.
        reserve: Items that take the place of missing ones, in order.
    """

    name: str
    size: int
    refs: tuple[str, ...]
    reserve: tuple[str, ...]


@dataclass(frozen=True)
class Replacement:
    """An item that could not be looked at, and the one that took its place.

    Args:
        missing: The item; an exception until its absence is explained.
        by: The item that took its place; None where the reserve was used up.
        reason: What is known of the absence; empty while unexplained.
    """

    missing: str
    by: str | None
    reason: str = ""


@dataclass(frozen=True)
class StratifiedDraw:
    """A random sample by strata, repeatable from its seed.

    Args:
        seed: The seed that was used.
        allocation: How the sample was spread over the strata.
        strata: What was drawn from each.
        replacements: Missing items and what took their place, in order.
    """

    seed: int
    allocation: Allocation
    strata: tuple[StratumDraw, ...]
    replacements: tuple[Replacement, ...] = ()
    method: str = "random by strata: references in the order of SHA-256 of 'seed:reference'"
    assumptions: tuple[str, ...] = (
        "The list of references is complete: what is not on it cannot be drawn.",
        "The seed was fixed before the list was seen.",
        "A missing item is an exception until explained; its replacement does not mend that.",
    )

    @property
    def refs(self) -> tuple[str, ...]:
        """All items to look at, replacements at the end."""
        drawn = [ref for stratum in self.strata for ref in stratum.refs]
        return (*drawn, *(one.by for one in self.replacements if one.by is not None))

    @property
    def unexplained(self) -> tuple[str, ...]:
        """Missing items whose absence is not explained: each counts as an exception."""
        return tuple(one.missing for one in self.replacements if not one.reason)

    @property
    def sentence(self) -> str:
        """How the sample was drawn and how to draw it again."""
        size = sum(stratum.size for stratum in self.strata)
        drawn = sum(len(stratum.refs) for stratum in self.strata)
        strata = counted(len(self.strata), "stratum", "strata")
        said = (
            f"{drawn:,} of {counted(size, 'item')} drawn at random from {strata} "
            f"({self.allocation} allocation, seed {self.seed})"
        )
        if not self.replacements:
            return f"{said}; none reported missing."
        return (
            f"{said}; {len(self.replacements):,} missing, of which {len(self.unexplained):,} "
            "unexplained and counted as exceptions."
        )


def draw_sample(
    refs: Iterable[str],
    n: int | Mapping[str, int],
    seed: int,
    strata: Sequence[str] | None = None,
    allocation: Allocation = "proportional",
    minimum: int = 0,
    reserve: int = 5,
) -> StratifiedDraw:
    """Draws a random sample by strata that anyone can repeat from the printed seed.

    In each stratum the references stand in the order of SHA-256("seed:reference"); the first are
    drawn, the next are the reserve. A larger sample from the same seed contains the smaller one.

    Args:
        refs: References of all items; each once.
        n: Number to draw in all, or for `allocation="given"` the number for each stratum.
        seed: A whole number, fixed beforehand and printed.
        strata: Stratum of each item; None puts all in one, named "all".
        allocation: "proportional" to size, "equal", or "given".
        minimum: Least number from each stratum (all of a smaller one).
        reserve: Number of replacements kept for each stratum.

    Returns:
        The items of each stratum in the order of the draw, with reserve. No item gives no stratum.

    Raises:
        UnfitNumbersError: A reference twice, lengths that differ, more asked than there is, a
            minimum that needs more than n, or strata that are not there.

    Shapes:
        refs, strata: (n_items,)

    Units:
        Items.

    Assumes:
        The list of references is complete and was not made to fit the seed.

    Source:
        Rivest, consistent sampling by hash tickets, 2018 (memory); Cochran, Sampling Techniques,
        3rd ed. 1977, section 5.5 (allocation).

    Examples:
        >>> draw = draw_sample([f"C{i}" for i in range(40)], 6, seed=2024)
        >>> draw.strata[0].refs[:3], draw.sentence[:31]
        (('C2', 'C14', 'C29'), '6 of 40 items drawn at random f')
    """
    members = _members(list(refs), strata)
    sizes = {name: len(items) for name, items in sorted(members.items())}
    seed, reserve = require.count("seed", seed), require.count("reserve", reserve)
    if allocation == "given":
        shares = _given(n, sizes)
    else:
        shares = allocate(sizes, _total(n), allocation, minimum)
    drawn = []
    for name, size in sizes.items():
        order = sorted(members[name], key=lambda ref: (_ticket(seed, ref), ref))
        taken = shares[name]
        kept = tuple(order[taken : taken + reserve])
        drawn.append(StratumDraw(name, size, tuple(order[:taken]), kept))
    return StratifiedDraw(seed, allocation, tuple(drawn))


def allocate(
    sizes: Mapping[str, int], n: int, allocation: Allocation = "proportional", minimum: int = 0
) -> dict[str, int]:
    """Spreads a sample over strata, in proportion or equally, with a least number for each.

    Whole numbers by largest remainder; ties go to the stratum first in the alphabet.

    Args:
        sizes: Items in each stratum.
        n: Number to draw in all.
        allocation: "proportional" or "equal".
        minimum: Least number from each stratum (all of a smaller one).

    Returns:
        Number for each stratum; they add up to n.

    Raises:
        UnfitNumbersError: n above the population, below the sum of the minima, or an allocation
            that is none of the two.

    Shapes:
        sizes: one number per stratum.

    Units:
        Items.

    Source:
        Cochran, Sampling Techniques, 3rd ed. 1977, section 5.5; largest remainders.

    Examples:
        >>> allocate({"early": 60, "late": 30, "night": 10}, 10)
        {'early': 6, 'late': 3, 'night': 1}
        >>> allocate({"early": 60, "late": 30, "night": 2}, 12, minimum=3)
        {'early': 7, 'late': 3, 'night': 2}
    """
    if allocation not in {"proportional", "equal"}:
        raise UnfitNumbersError(f"allocation = {allocation!r}", "'proportional' or 'equal'")
    population = sum(sizes.values())
    least = {name: min(minimum, size) for name, size in sizes.items()}
    if not sum(least.values()) <= require.count("n", n) <= population:
        raise UnfitNumbersError(
            f"n = {n} of {population} with at least {minimum} from each stratum",
            f"a number from {sum(least.values())} to {population}",
        )
    weights = {name: size if allocation == "proportional" else 1 for name, size in sizes.items()}
    whole = sum(weights.values()) or 1
    quota = {name: n * weight / whole for name, weight in weights.items()}
    taken = {name: min(sizes[name], max(least[name], int(quota[name]))) for name in sorted(sizes)}
    while (short := n - sum(taken.values())) != 0:
        step = 1 if short > 0 else -1
        room = sizes if short > 0 else least
        open_to_it = [name for name in taken if taken[name] != room[name]]
        best = max(open_to_it, key=lambda name: step * (quota[name] - taken[name]))
        taken[best] += step
    return taken


def replace_missing(draw: StratifiedDraw, missing: str, reason: str = "") -> StratifiedDraw:
    """Marks a drawn item as missing and takes the next of the reserve in its place.

    Args:
        draw: The draw.
        missing: The item that could not be looked at.
        reason: What explains its absence; empty keeps it an exception.

    Returns:
        A new draw with the replacement at its end; the missing item stays listed.

    Raises:
        UnfitNumbersError: The item was not drawn, or is missing already.

    Shapes:
        A draw and one reference.

    Units:
        Items.

    Source:
        Common practice, no source: missing items are exceptions until explained.

    Examples:
        >>> draw = draw_sample([f"C{i}" for i in range(40)], 2, seed=2024)
        >>> again = replace_missing(draw, draw.refs[0])
        >>> again.unexplained == (draw.refs[0],), again.refs[-1] == draw.strata[0].reserve[0]
        (True, True)
    """
    if missing not in draw.refs or missing in {one.missing for one in draw.replacements}:
        raise UnfitNumbersError(f"{missing!r}", "a drawn item that is not missing already")
    used = {one.by for one in draw.replacements}
    home = next(s for s in draw.strata if missing in s.refs or missing in s.reserve)
    spare = next((ref for ref in home.reserve if ref not in used), None)
    return replace(draw, replacements=(*draw.replacements, Replacement(missing, spare, reason)))


@dataclass(frozen=True)
class TargetedSample:
    """Items chosen for a reason: they can show that something happens, never how often.

    Args:
        refs: Items chosen.
        why: What they were chosen for.
        exceptions: Those among them that are exceptions.
    """

    refs: tuple[str, ...]
    why: str
    exceptions: tuple[str, ...] = field(default=())
    method: str = "items chosen for a reason"
    assumptions: tuple[str, ...] = (
        "Nothing is claimed of items that were not chosen: no rate, no limits.",
    )

    def __post_init__(self) -> None:
        """Refuses a sample without reason, and exceptions that were not chosen."""
        if not self.why.strip():
            raise UnfitNumbersError("a targeted sample without reason", "what it was chosen for")
        strangers = set(self.exceptions) - set(self.refs)
        if strangers:
            raise UnfitNumbersError(f"exceptions {sorted(strangers)}", "items that were chosen")

    @property
    def rate(self) -> NoReturn:
        """Refused: chosen items give no rate.

        Raises:
            UnfitNumbersError: Always.
        """
        raise UnfitNumbersError("a rate from items chosen for a reason", "a random sample")

    @property
    def sentence(self) -> str:
        """What the chosen items show, and that they show no rate."""
        return (
            f"{counted(len(self.refs), 'item')} chosen because {self.why}: "
            f"{counted(len(self.exceptions), 'exception')} among them. As they were chosen for "
            "this, they say that it happens, not how often."
        )


def _members(refs: list[str], strata: Sequence[str] | None) -> dict[str, list[str]]:
    twice = [ref for ref, times in Counter(refs).items() if times > 1]
    if twice:
        raise UnfitNumbersError(
            f"{counted(len(twice), 'reference')} more than once, such as {min(twice)!r}",
            "each item once",
        )
    names = ["all"] * len(refs) if strata is None else list(strata)
    require.same_length(refs=refs, strata=names)
    members: dict[str, list[str]] = defaultdict(list)
    for ref, name in zip(refs, names, strict=True):
        members[name].append(ref)
    return members


def _total(n: int | Mapping[str, int]) -> int:
    if isinstance(n, Mapping):
        raise UnfitNumbersError("numbers for each stratum", "allocation='given'")
    return n


def _given(n: int | Mapping[str, int], sizes: Mapping[str, int]) -> dict[str, int]:
    if not isinstance(n, Mapping):
        raise UnfitNumbersError(f"n = {n} with allocation='given'", "a number for each stratum")
    wrong = [name for name, number in n.items() if not 0 <= number <= sizes.get(name, -1)]
    if wrong:
        raise UnfitNumbersError(
            f"numbers given for {sorted(wrong)}",
            "strata that are there, and no more than they hold",
        )
    return {name: require.count(name, n.get(name, 0)) for name in sizes}


def _ticket(seed: int, ref: str) -> bytes:
    return sha256(f"{seed}:{ref}".encode()).digest()
