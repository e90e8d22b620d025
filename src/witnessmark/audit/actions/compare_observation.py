"""An observation is held against records that were frozen later."""

from typing import ClassVar, Literal

from witnessmark.audit.action import ADDS, Action, Stamp
from witnessmark.audit.items import Comparison
from witnessmark.audit.people import DESK, Actor, Allowed
from witnessmark.audit.state import AuditState

Result = Literal["agrees", "contradicts", "not-assessable"]


class CompareObservation(Action, frozen=True, kw_only=True):
    """Keeps what the records of that moment say; the words come from `compare`.

    Args:
        field_name: Which answer of the form, with the machine for a grid: `grid/T3`.
        seen: What was seen, in words.
        recorded: What the records show, in words, with why it could not be said.
        rows: Refs of the rows read.
    """

    kind: ClassVar = "observation-compared"
    does: ClassVar = "hold an observation against the records"
    allowed: ClassVar[Allowed] = DESK
    phase: ClassVar = ADDS

    observation: str
    freeze: str
    field_name: str
    result: Result
    seen: str
    recorded: str
    rows: tuple[str, ...] = ()

    def check(self, state: AuditState, actor: Actor) -> None:
        """The observation exists."""
        state.need(state.observations, self.observation, "observation")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Adds what the records say."""
        if item := state.observations.get(self.observation):
            told = {k: v for k, v in self.body.items() if k not in {"observation", "rows"}}
            item.compared.append(Comparison(**stamp.base, **told, rows=self.rows))
        else:
            state.orphans.add(stamp.id)
