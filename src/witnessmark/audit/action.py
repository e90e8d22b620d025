"""What an action is: the one way in which an audit changes.

An action is one file of `actions/` with one class: the fields are the body of its event, `allowed`
says which roles may do it, `check` what the audit must be like, `apply` what it changes. Web,
command line and notebook all go through it. This module knows no single action.
"""

from dataclasses import dataclass, fields
from typing import Any, ClassVar

import msgspec

from witnessmark.audit.items import Written
from witnessmark.audit.people import Actor, Allowed, NotAllowedError
from witnessmark.audit.state import AuditState

CREATES, ADDS, DECIDES = 0, 1, 2
"""Order of the fold: what makes items, what adds to them, and what decides in the journal's order.

The first two commute: a notebook may write them without the journal at hand."""


@dataclass(frozen=True)
class Stamp:
    """Where an event comes from, as its action sees it.

    Args:
        id: Of the event; for a correction, of the correction.
        author: Code of the account.
        at: When, with the device's clock put right.
        device: UUID.
        supersedes: Id of the item it corrects, or empty.
    """

    id: str
    author: str
    at: str
    device: str
    supersedes: str = ""

    @property
    def base(self) -> dict[str, Any]:
        """The fields that every item takes from its event."""
        return {"id": self.id, "author": self.author, "at": self.at, "device": self.device}


class Action(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """One kind of change. Subclasses say the five things below; see any file of `actions/`.

    `kind` is its name in the journal; `does` completes "may not ..."; `allowed` gives the reach of
    each role; `phase` its place in the fold; `sealed` the fields that hold commitments of texts.
    """

    kind: ClassVar[str]
    does: ClassVar[str]
    allowed: ClassVar[Allowed]
    phase: ClassVar[int] = DECIDES
    sealed: ClassVar[tuple[str, ...]] = ()

    def owner(self, state: AuditState, supersedes: str) -> str | None:
        """The account whose own this is; None where it makes something new."""
        return state.owner_of(supersedes) if supersedes else None

    def check(self, state: AuditState, actor: Actor) -> None:
        """Refuses what the audit, as it is, does not admit.

        Raises:
            RefusedError: With what to do first.
        """

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Changes the state; never refuses, since what is in the journal has happened."""
        raise NotImplementedError

    @property
    def body(self) -> dict[str, Any]:
        """The fields as plain JSON values."""
        built = msgspec.to_builtins(self)
        return dict(built)


class Creation(Action, frozen=True, kw_only=True):
    """An action that makes an item, and with `supersedes` corrects one of the same kind.

    `collection` names where the state keeps it. A correction keeps the item's id, author and time,
    and everything that its body does not name.
    """

    collection: ClassVar[str]
    phase: ClassVar[int] = CREATES
    filled: ClassVar[tuple[str, ...]] = ()
    """Fields of the item that the body fills under another name; sealed ones are known."""

    def check_correction(self, old: Written) -> None:
        """Refuses a correction of what must stand as it is.

        Raises:
            RefusedError: With the reason.
        """

    def build(self, stamp: Stamp) -> Written:
        """The item."""
        raise NotImplementedError

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Keeps the item, or puts the corrected one in the place of the old."""
        items: dict[str, Written] = getattr(state, self.collection)
        new = self.build(stamp)
        if not stamp.supersedes:
            items[new.id] = new
        elif stamp.supersedes in items:
            items[stamp.supersedes] = self._corrected(items[stamp.supersedes], new, stamp.id)
        else:
            state.orphans.add(stamp.id)

    def _corrected(self, old: Written, new: Written, event: str) -> Written:
        own = {field.name for field in fields(Written)}
        named = {*self.__struct_fields__, *(f"{name}_sealed" for name in self.sealed), *self.filled}
        for name in (field.name for field in fields(old)):
            if name in own or name not in named:
                setattr(new, name, getattr(old, name))
        new.history = [*old.history, event]
        return new


def permit(action: Action, state: AuditState, actor: Actor, supersedes: str = "") -> None:
    """Lets the action pass or not, by the actor's role and whose own it is.

    Raises:
        NotAllowedError: The role may not, or not on what is another's.
    """
    reach = action.allowed.get(actor.role)
    if reach is None:
        raise NotAllowedError(actor, action.does, own=False)
    if reach == "own" and action.owner(state, supersedes) not in {None, actor.user}:
        raise NotAllowedError(actor, action.does, own=True)
