"""Run rules as data that a plant adopts, and the points of a chart that signal under them.

One automaton per rule: it reads a standardised point and says whether the pattern is complete. The
same automata make the chains of `rule_run_lengths`. Knows no chart: standardised points come in.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np
from numpy.typing import ArrayLike

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.control_chart import ROUNDING
from witnessmark.stats.result import counted

Kind = Literal[
    "beyond", "same-side", "rising-or-falling", "alternating", "within", "beyond-on-both-sides"
]
State = tuple[float, ...]
ZONE_KINDS = ("beyond", "same-side", "within", "beyond-on-both-sides")


@dataclass(frozen=True)
class RunRule:
    """One rule: `count` of the last `of` points show the pattern `kind`.

    Args:
        kind: "beyond": beyond `limit` on one side, the last point among them. "same-side": on
            one side of the centre. "rising-or-falling": each above (below) the one before.
            "alternating": up and down in turn. "within": nearer the centre than `limit`.
            "beyond-on-both-sides": beyond `limit`, with both sides among them.
        count: Points that show it.
        of: Points looked at; above `count` only for "beyond".
        limit: In standard errors; 0 where the kind has none.
    """

    kind: Kind
    count: int
    of: int
    limit: float = 0.0

    def __post_init__(self) -> None:
        if self.kind not in get_args(Kind):
            raise UnfitNumbersError(f"kind = {self.kind}", f"one of {', '.join(get_args(Kind))}")
        least = 1 if self.kind == "beyond" else 2
        require.count("count", self.count, least=least)
        if self.of < self.count or (self.of > self.count and self.kind != "beyond"):
            raise UnfitNumbersError(
                f"{self.count} of {self.of} points {self.kind}",
                "as many points as counted, or more for the kind beyond",
            )
        if self.kind in {"beyond", "within", "beyond-on-both-sides"}:
            require.above("limit", self.limit)

    def __str__(self) -> str:
        many = counted(self.count, "point")
        if self.kind == "beyond":
            among = "" if self.of == self.count else f" of {self.of} in a row"
            side = "" if self.of == 1 else " on one side"
            return f"{many}{among} beyond {self.limit:g} sigma{side}"
        words = {
            "same-side": "on one side of the centre",
            "rising-or-falling": "steadily rising or falling",
            "alternating": "alternating up and down",
            "within": f"within {self.limit:g} sigma",
            "beyond-on-both-sides": f"beyond {self.limit:g} sigma on both sides",
        }
        return f"{many} in a row {words[self.kind]}"


WESTERN_ELECTRIC = (  # Western Electric, Statistical Quality Control Handbook, 1956 (memory)
    RunRule("beyond", 1, 1, 3.0),
    RunRule("beyond", 2, 3, 2.0),
    RunRule("beyond", 4, 5, 1.0),
    RunRule("same-side", 8, 8),
)
NELSON = (  # Nelson, Journal of Quality Technology 16 (1984) 237-239 (memory)
    RunRule("beyond", 1, 1, 3.0),
    RunRule("same-side", 9, 9),
    RunRule("rising-or-falling", 6, 6),
    RunRule("alternating", 14, 14),
    RunRule("beyond", 2, 3, 2.0),
    RunRule("beyond", 4, 5, 1.0),
    RunRule("within", 15, 15, 1.0),
    RunRule("beyond-on-both-sides", 8, 8, 1.0),
)


def step(rule: RunRule, state: State, z: float) -> tuple[State, bool]:
    """Reads one standardised point: gives what the rule remembers next, and whether it signals.

    The memory starts empty, (); a signal does not clear it, so a pattern that goes on signals at
    each further point.

    Args:
        rule: The rule.
        state: What it remembers.
        z: The point, in standard errors from its centre.

    Returns:
        The next memory and whether the pattern is complete with this point.

    Shapes:
        z: one number.

    Units:
        Standard errors.

    Source:
        Champ and Woodall, Technometrics 29 (1987) 393-399, the idea of a rule as a chain.

    Examples:
        >>> step(RunRule("same-side", 2, 2), (1.0,), 0.4)
        ((1.0,), True)
    """
    if rule.kind in {"beyond", "beyond-on-both-sides"}:
        side = _side(z) if abs(z) > rule.limit + ROUNDING else 0.0
        return _beyond(rule, state, side)
    last = state[-1] if state else 0.0
    if rule.kind == "within":
        run = last + 1 if abs(z) < rule.limit - ROUNDING else 0.0
        return (min(run, rule.count - 1),), run >= rule.count
    if rule.kind == "same-side":
        side = _side(z)
        run = last + side if last * side >= 0 and side else side
        kept = min(abs(run), rule.count - 1) * side
        return (kept + 0.0,), abs(run) >= rule.count
    return _moving(rule, state, z)


def _beyond(rule: RunRule, state: State, side: float) -> tuple[State, bool]:
    seen = (*state, side)[-rule.of :]
    if rule.kind == "beyond":
        return seen[1 - rule.of :] if rule.of > 1 else (), bool(side) and (
            seen.count(side) >= rule.count
        )
    if not side:
        return (), False
    signal = len(seen) == rule.count and len(set(seen)) == len((1, -1))
    return seen[1 - rule.count :], signal


def _moving(rule: RunRule, state: State, z: float) -> tuple[State, bool]:
    """Memory: points in the run so far, direction of the last move, last point."""
    if not state:
        return (1.0, 0.0, z), False
    run, direction, last = state
    move = _side(z - last)
    wanted = direction if rule.kind == "rising-or-falling" else -direction
    if not move:
        run = 1.0
    elif direction and move == wanted:
        run += 1
    else:
        run = 2.0
    return (run, move, z), run >= rule.count


def _side(value: float) -> float:
    return float(np.sign(value)) if abs(value) > ROUNDING else 0.0


@dataclass(frozen=True)
class Signals:
    """The points that signal under each rule.

    Args:
        n: Points looked at.
        by_rule: Rule with the positions (from 0) of the points that complete its pattern.
    """

    n: int
    by_rule: tuple[tuple[RunRule, tuple[int, ...]], ...]
    method: str = "run rules on standardised points, strict limits, no reset after a signal"
    assumptions: tuple[str, ...] = (
        "Centre and standard error of each point known, from limits set before.",
        "Points independent and in time order (not checked here).",
        "Only rules that the plant adopted are looked at: each further rule adds false signals.",
    )

    @property
    def points(self) -> tuple[int, ...]:
        """Positions (from 0) of all points that signal under any rule."""
        return tuple(sorted({place for _, places in self.by_rule for place in places}))

    @property
    def sentence(self) -> str:
        """The signals in words."""
        looked_at = f"{counted(self.n, 'point')} under {counted(len(self.by_rule), 'rule')}"
        found = [
            f"{rule}: {', '.join(str(place + 1) for place in places)}"
            for rule, places in self.by_rule
            if places
        ]
        if not found:
            return f"{looked_at}: none signals. This does not show that the process did not change."
        return (
            f"{looked_at}: {len(self.points)} signal (counting from 1): {'; '.join(found)}. A "
            "signal asks for a look; some come by chance alone."
        )


def signals(z: ArrayLike, rules: Iterable[RunRule] = WESTERN_ELECTRIC) -> Signals:
    """Gives the points that complete a pattern of the rules that a plant adopted.

    Args:
        z: Standardised points in time order (`ControlChart.z`).
        rules: The rules.

    Returns:
        For each rule the positions, from 0; empty where nothing signals.

    Raises:
        UnfitNumbersError: No point, missing or infinite ones, or no rule.

    Shapes:
        z: (n_points,)

    Units:
        Standard errors from the centre.

    Assumes:
        Limits set before; points in time order. A point exactly on a limit is not beyond it, one
        exactly on the centre breaks a run.

    Source:
        Western Electric, Statistical Quality Control Handbook, 1956; Nelson, Journal of Quality
        Technology 16 (1984) 237-239 (memory).

    Examples:
        >>> signals([0.5, -0.2, 3.2, 2.1, 0.4, 2.5]).points
        (2, 3, 5)
    """
    row = require.numbers("z", z)
    adopted = some_rules(rules)
    return Signals(len(row), tuple((rule, _signals(rule, row.tolist())) for rule in adopted))


def some_rules(rules: Iterable[RunRule]) -> tuple[RunRule, ...]:
    """Gives the rules, of which there must be one.

    Args:
        rules: The rules.

    Returns:
        The same.

    Raises:
        UnfitNumbersError: There is none.

    Shapes:
        rules: any number.

    Units:
        None.

    Source:
        None: a refusal.

    Examples:
        >>> len(some_rules(NELSON))
        8
    """
    adopted = tuple(rules)
    if not adopted:
        raise UnfitNumbersError("rules: none", "at least one rule")
    return adopted


def _signals(rule: RunRule, z: Sequence[float]) -> tuple[int, ...]:
    state: State = ()
    places = []
    for place, value in enumerate(z):
        state, signal = step(rule, state, value)
        if signal:
            places.append(place)
    return tuple(places)
