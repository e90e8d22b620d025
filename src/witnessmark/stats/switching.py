"""Normal, tightened, reduced: the switching rules of MIL-STD-105E as a small state machine.

Pure: a state and a lot give the next state. Knows no record and no plan.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats.result import counted

Severity = Literal["normal", "tightened", "reduced", "discontinued"]
WINDOW, REJECTED_IN_WINDOW = 5, 2
ACCEPTED_TO_NORMAL = 5
ACCEPTED_TO_REDUCED = 10
REJECTED_TO_STOP = 5


@dataclass(frozen=True)
class LotResult:
    """What one lot showed on original inspection (never a lot that was presented again).

    Args:
        accepted: The lot was accepted.
        between: Reduced inspection only: more than the acceptance number and fewer than the
            rejection number were found.
        steady: Production ran at a steady rate.
        reduced_allowed: The limit number for reduced inspection is kept over the last ten lots,
            and the responsible authority wants reduced inspection.
    """

    accepted: bool
    between: bool = False
    steady: bool = True
    reduced_allowed: bool = False


@dataclass(frozen=True)
class InspectionState:
    """The severity for the next lot, and what it remembers.

    Args:
        severity: Severity for the next lot.
        recent: The last lots on normal inspection, newest last, at most four; True is accepted.
        accepted_in_row: Lots accepted in a row at this severity.
        rejected_tightened: Lots rejected since tightened inspection began.
        why: Why the severity is what it is.
    """

    severity: Severity = "normal"
    recent: tuple[bool, ...] = ()
    accepted_in_row: int = 0
    rejected_tightened: int = 0
    why: str = "inspection begins as normal"
    method: str = "switching rules of MIL-STD-105E, 4.7 and 4.8"
    assumptions: tuple[str, ...] = (
        "Only original inspections count, each lot once, in the order of production.",
    )

    @property
    def sentence(self) -> str:
        """The severity and its reason."""
        if self.severity == "discontinued":
            return f"Acceptance by these plans is discontinued: {self.why}."
        row = counted(self.accepted_in_row, "lot")
        return (
            f"The next lot falls under {self.severity} inspection: {self.why}; {row} accepted in "
            "a row at this severity."
        )


def next_state(state: InspectionState, lot: LotResult) -> InspectionState:
    """Gives the severity for the next lot after one more result.

    Normal to tightened: 2 of 5 or fewer consecutive lots rejected. Tightened to normal: 5 accepted
    in a row. Tightened to discontinued: 5 rejected since it began. Normal to reduced: 10 accepted
    in a row, steady production, limit number kept and wanted. Reduced to normal: a lot rejected or
    found between the two numbers, or production not steady.

    Args:
        state: State before the lot; `InspectionState()` at the start.
        lot: What the lot showed.

    Returns:
        The state after it.

    Raises:
        UnfitNumbersError: "between" outside reduced inspection, or on a rejected lot.

    Shapes:
        A state and one lot.

    Units:
        Lots.

    Source:
        MIL-STD-105E (1989), 4.7 and 4.8 (memory).

    Examples:
        >>> state = InspectionState()
        >>> for accepted in (True, False, True, False):
        ...     state = next_state(state, LotResult(accepted))
        >>> state.severity, state.why
        ('tightened', '2 of 5 or fewer consecutive lots were rejected')
    """
    if lot.between and (state.severity != "reduced" or not lot.accepted):
        raise UnfitNumbersError(
            f"a lot between the numbers under {state.severity} inspection",
            "reduced inspection and an accepted lot",
        )
    after = replace(state, accepted_in_row=state.accepted_in_row + 1 if lot.accepted else 0)
    if state.severity == "normal":
        return _after_normal(after, lot)
    if state.severity == "tightened":
        return _after_tightened(after, lot)
    if state.severity == "reduced":
        return _after_reduced(after, lot)
    return state


def severities(lots: Sequence[LotResult]) -> tuple[InspectionState, ...]:
    """Gives the state before each lot of a series, and the one after the last.

    Args:
        lots: Results in the order of production; none gives the start alone.

    Returns:
        One state more than lots.

    Raises:
        UnfitNumbersError: As `next_state`.

    Shapes:
        lots: (n_lots,); returns (n_lots + 1,)

    Units:
        Lots.

    Source:
        As `next_state`.

    Examples:
        >>> [state.severity for state in severities([LotResult(accepted=False)] * 2)]
        ['normal', 'normal', 'tightened']
    """
    states = [InspectionState()]
    for lot in lots:
        states.append(next_state(states[-1], lot))
    return tuple(states)


def _after_normal(state: InspectionState, lot: LotResult) -> InspectionState:
    seen = (*state.recent, lot.accepted)
    if seen.count(False) >= REJECTED_IN_WINDOW:
        return _switch("tightened", "2 of 5 or fewer consecutive lots were rejected")
    if state.accepted_in_row >= ACCEPTED_TO_REDUCED and lot.steady and lot.reduced_allowed:
        return _switch("reduced", "10 lots in a row were accepted and the conditions are met")
    return replace(state, recent=seen[-(WINDOW - 1) :])


def _after_tightened(state: InspectionState, lot: LotResult) -> InspectionState:
    rejected = state.rejected_tightened + (not lot.accepted)
    if rejected >= REJECTED_TO_STOP:
        return _switch("discontinued", "5 lots were rejected under tightened inspection")
    if state.accepted_in_row >= ACCEPTED_TO_NORMAL:
        return _switch("normal", "5 lots in a row were accepted under tightened inspection")
    return replace(state, rejected_tightened=rejected)


def _after_reduced(state: InspectionState, lot: LotResult) -> InspectionState:
    if not lot.accepted:
        return _switch("normal", "a lot was rejected under reduced inspection")
    if lot.between:
        return _switch("normal", "a lot was between the two numbers under reduced inspection")
    if not lot.steady:
        return _switch("normal", "production was not steady")
    return state


def _switch(severity: Severity, why: str) -> InspectionState:
    return InspectionState(severity=severity, why=why)
