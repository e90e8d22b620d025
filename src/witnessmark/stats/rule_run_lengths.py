"""How long a chart under run rules runs before it signals, and the chance of false signals.

Rules that look only at zones make a Markov chain that is solved exactly; rules that compare a
point with the one before need simulation. Knows no data.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array, eye_array
from scipy.sparse.linalg import spsolve
from scipy.special import ndtr

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.proportion import exact_interval
from witnessmark.stats.require import Numbers
from witnessmark.stats.result import counted, percent
from witnessmark.stats.run_lengths import RunLength, solved
from witnessmark.stats.run_rules import ZONE_KINDS, RunRule, State, some_rules, step

MOST_STATES = 50_000
INDEPENDENT = ("Points independent and normal, limits known without error.",)


@dataclass(frozen=True)
class FalseSignals:
    """The chance of at least one signal in n points of a process that did not change.

    Args:
        n: Points.
        chance: The chance, 0..1.
        lower: Lower 95 % limit of a simulated chance; the chance itself where it is exact.
        upper: Upper limit, likewise.
        method: Exact by Markov chain, or simulation.
    """

    n: int
    chance: float
    lower: float
    upper: float
    method: str
    assumptions: tuple[str, ...] = INDEPENDENT

    @property
    def sentence(self) -> str:
        """The chance in words."""
        return (
            f"In {counted(self.n, 'point')} of a process that does not change, the chance of at "
            f"least one signal is {percent(self.chance)} ({self.method}). A single signal is a "
            "reason to look, not proof of a change."
        )


def rules_run_length(rules: Iterable[RunRule], shift: float = 0.0) -> RunLength:
    """Gives how many points pass on average before a chart under run rules signals.

    Args:
        rules: Rules of zones ("beyond", "same-side", "within", "beyond-on-both-sides").
        shift: Lasting shift of the plotted point, from the first point on.

    Returns:
        The average run length, exact for known limits.

    Raises:
        UnfitNumbersError: No rule, a rule that compares neighbours, or rules whose chain would
            be too large.

    Shapes:
        shift: one number.

    Units:
        Points; shift in standard errors of the plotted point.

    Assumes:
        Independent normal points; limits known without error.

    Source:
        Champ and Woodall, Technometrics 29 (1987) 393-399.

    Examples:
        >>> from witnessmark.stats.run_rules import WESTERN_ELECTRIC
        >>> round(rules_run_length(WESTERN_ELECTRIC).average, 2)
        91.75
    """
    chain = _chain(some_rules(rules), shift)
    lengths = spsolve(
        eye_array(chain.shape[0], format="csc") - chain.tocsc(), np.ones(chain.shape[0])
    )
    return RunLength(
        solved(float(np.atleast_1d(lengths)[0])),
        shift,
        "Markov chain of the run rules",
        INDEPENDENT,
    )


def false_signal_chance(
    rules: Iterable[RunRule],
    n: int,
    generator: np.random.Generator | None = None,
    simulations: int = 2000,
) -> FalseSignals:
    """Gives the chance that n points of an unchanged process signal at least once.

    Args:
        rules: The rules adopted.
        n: Points looked at. n = 0 gives 0.
        generator: Needed for rules that compare neighbours ("rising-or-falling", "alternating").
        simulations: Charts drawn where simulation is needed.

    Returns:
        The chance: exact by Markov chain where all rules are of zones, else simulated with its
        limits. The method says which.

    Raises:
        UnfitNumbersError: No rule, n negative, or simulation needed and no generator given.

    Shapes:
        n: one number.

    Units:
        Share 0..1.

    Assumes:
        Independent normal points; limits known without error.

    Source:
        Champ and Woodall, Technometrics 29 (1987) 393-399, the chain; one point beyond 3 sigma
        alone: 1 - 0.9973^n.

    Examples:
        >>> from witnessmark.stats.run_rules import RunRule
        >>> round(false_signal_chance([RunRule("beyond", 1, 1, 3.0)], 60).chance, 3)
        0.15
    """
    adopted, points = some_rules(rules), require.count("n", n)
    if all(rule.kind in ZONE_KINDS for rule in adopted):
        chain = _chain(adopted, 0.0)
        silent: Numbers = np.ones(chain.shape[0])
        for _ in range(points):
            silent = np.asarray(chain @ silent, dtype=float)
        chance = float(1 - silent[0])
        return FalseSignals(points, chance, chance, chance, "exact, by Markov chain")
    if generator is None:
        raise UnfitNumbersError(
            "generator: none, with a rule that compares neighbours",
            "a random generator, because the chance is simulated",
        )
    draws = require.count("simulations", simulations, least=1)
    drawn = generator.standard_normal((draws, points))
    found = sum(_any_signal(adopted, row.tolist()) for row in drawn)
    limits = exact_interval(found, draws)
    return FalseSignals(
        points,
        found / draws,
        limits.lower,
        limits.upper,
        f"{counted(draws, 'simulated chart')}, 95 % limits {percent(limits.lower)} to "
        f"{percent(limits.upper)}",
    )


def _any_signal(rules: tuple[RunRule, ...], z: list[float]) -> bool:
    states: list[State] = [()] * len(rules)
    for value in z:
        for place, rule in enumerate(rules):
            states[place], signal = step(rule, states[place], value)
            if signal:
                return True
    return False


def _chain(rules: tuple[RunRule, ...], shift: float) -> csr_array:
    """Transitions among all memories that can be reached without a signal; the first is empty."""
    unfit = [str(rule) for rule in rules if rule.kind not in ZONE_KINDS]
    if unfit:
        raise UnfitNumbersError(
            f"rule '{unfit[0]}' compares neighbours", "rules of zones only, or simulation"
        )
    points, chances = _zones(rules, shift)
    start: tuple[State, ...] = ((),) * len(rules)
    numbers, waiting = {start: 0}, [start]
    rows, columns, values = [], [], []
    while waiting:
        states = waiting.pop()
        for z, chance in zip(points, chances, strict=True):
            moved = [step(rule, state, z) for rule, state in zip(rules, states, strict=True)]
            if any(signal for _, signal in moved):
                continue
            reached = tuple(state for state, _ in moved)
            if reached not in numbers:
                numbers[reached] = len(numbers)
                waiting.append(reached)
            rows.append(numbers[states])
            columns.append(numbers[reached])
            values.append(chance)
        if len(numbers) > MOST_STATES:
            raise UnfitNumbersError(
                f"rules with more than {MOST_STATES} memories", "fewer or shorter rules"
            )
    return csr_array((values, (rows, columns)), shape=(len(numbers), len(numbers)))


def _zones(rules: tuple[RunRule, ...], shift: float) -> tuple[list[float], list[float]]:
    """A point within each zone between the limits of the rules, and the chance of that zone."""
    cuts = np.array(sorted({0.0} | {side * rule.limit for rule in rules for side in (-1, 1)}))
    edges = np.concatenate([[-np.inf], cuts, [np.inf]])
    within: Numbers = np.concatenate([[cuts[0] - 1], (cuts[1:] + cuts[:-1]) / 2, [cuts[-1] + 1]])
    return within.tolist(), np.diff(ndtr(edges - shift)).tolist()
