"""Acting: check the permission, append to the journal, return the receipt. The only way in.

`Desk` acts for whoever sits at this installation; `receive` takes what a notebook wrote. This
module knows no database and no page; store, key and clock are handed to it.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any
from uuid import uuid4

import msgspec

from witnessmark.audit.action import CREATES, DECIDES, Action, Creation, permit
from witnessmark.audit.canonical import GENESIS, canonical, commitment, new_salt
from witnessmark.audit.catalogue import catalogue, read_action
from witnessmark.audit.event import BrokenEventError, Event, checked, read_event, written
from witnessmark.audit.fold import fold
from witnessmark.audit.journal import CLOCK_MATTERS_S, Entry, Payload, Received, Store
from witnessmark.audit.people import Actor, RefusedError
from witnessmark.audit.signing import Signer, is_signed
from witnessmark.audit.state import AuditState


def now() -> datetime:
    """This moment, aware, in UTC."""
    return datetime.now(UTC)


class ForkError(BrokenEventError):
    """A device whose next event does not follow its last one; it must start a new chain."""


@dataclass(frozen=True)
class Delivery:
    """What a notebook hands over for one event.

    Args:
        event: Its canonical JSON text.
        payloads: Texts by their commitment.
        key: Public key of the device; empty where the platform has no key store.
        signature: Over the event's hash; empty likewise.
    """

    event: str
    payloads: Mapping[str, Payload]
    key: str = ""
    signature: str = ""


@dataclass(frozen=True)
class Desk:
    """An installation at which people act.

    Args:
        store: Where the journals are.
        device: UUID of the installation.
        signer: Its key.
        clock: Gives this moment.
        state_of: Gives an audit's state; a web server hands in one that remembers.
    """

    store: Store
    device: str
    signer: Signer
    clock: Callable[[], datetime] = now
    state_of: Callable[[str], AuditState] | None = None

    def state(self, audit: str) -> AuditState:
        """The audit as it is now."""
        return self.state_of(audit) if self.state_of else fold(self.store.received(audit))

    def act(
        self,
        audit: str,
        actor: Actor,
        action: Action,
        texts: Mapping[str, str] | None = None,
        supersedes: str = "",
        at: datetime | None = None,
        event_id: str = "",
    ) -> Received:
        """Does one action: permission, check, append.

        Args:
            audit: UUID.
            actor: Who acts, in which role.
            action: What to do; its sealed fields are filled from `texts`.
            texts: Plain texts of the sealed fields, by field.
            supersedes: Id of the item it corrects.
            at: When it happened, where that was not now.
            event_id: UUID that the sender gave it; the same one again is answered with the first
                receipt and not done twice.

        Raises:
            BrokenEventError: The UUID stands for something else.
            NotAllowedError: The role may not.
            RefusedError: The audit, as it is, does not admit it.
        """
        action, payloads = seal_texts(action, texts or {})
        _check_form(action)
        with self.store.locked(audit):
            if event_id and (known := self.store.find(event_id)) is not None:
                return _done_before(known, audit, actor, action)
            state = self.state(audit)
            permit(action, state, actor, supersedes)
            _check_supersedes(action, state, supersedes)
            action.check(state, actor)
            last = self.store.last_of(audit, self.device)
            moment = self.clock()
            event = checked(
                Event(
                    id=event_id or str(uuid4()),
                    audit=audit,
                    device=self.device,
                    device_seq=last.device_seq + 1 if last else 1,
                    previous=last.hash if last else GENESIS,
                    at=written(at or moment),
                    offset_min=0,
                    author=actor.user,
                    kind=action.kind,
                    body=action.body,
                    supersedes=supersedes,
                )
            )
            return self._append(event, payloads, moment)

    def receive(
        self, actor: Actor, delivery: Delivery, clock_offset_s: int = 0
    ) -> tuple[Received, bool]:
        """Takes one event of a notebook; one that is known already is answered with its receipt.

        Args:
            actor: Who sends it.
            delivery: The event with its texts.
            clock_offset_s: Receiver's clock minus the device's, as measured while synchronising.

        Returns:
            The receipt, and whether it is new.

        Raises:
            BrokenEventError: Not an event, a signature that does not hold, a decision (those need
                the journal), or an id that stands for something else.
            ForkError: The device's chain does not continue here; the notebook starts a new one.
            NotAllowedError: The role may not.
            RefusedError: The audit does not admit it.
        """
        event = read_event(delivery.event)
        action = _offline_action(event)
        if event.author != actor.user:
            raise BrokenEventError(
                "The event was written by another account than the one signed in."
            )
        if delivery.key and not is_signed(delivery.key, event.hash, delivery.signature):
            raise BrokenEventError("The device's signature does not hold.")
        payloads = _own_payloads(action, delivery.payloads)
        with self.store.locked(event.audit):
            known = self.store.find(event.id)
            if known is not None:
                return _same(known, event), False
            state = self.state(event.audit)
            permit(action, state, actor, event.supersedes)
            _check_supersedes(action, state, event.supersedes)
            if action.phase == CREATES:  # what adds to an item may come before it, and waits
                action.check(state, actor)
            _check_follows(event, self.store.last_of(event.audit, event.device))
            offset = clock_offset_s if abs(clock_offset_s) > CLOCK_MATTERS_S else 0
            signed = (delivery.key, delivery.signature) if delivery.key else ("", "")
            return self._append(event, payloads, self.clock(), offset, signed), True

    def _append(
        self,
        event: Event,
        payloads: Mapping[str, Payload],
        moment: datetime,
        offset: int = 0,
        signed: tuple[str, str] = ("", ""),
    ) -> Received:
        last = self.store.head(event.audit)
        entry = Entry(
            audit=event.audit,
            seq=last.seq + 1 if last else 1,
            event_hash=event.hash,
            previous=last.hash if last else GENESIS,
            received_at=written(moment),
            clock_offset_s=offset,
            event_key=signed[0],
            event_signature=signed[1],
            key=self.signer.public,
        )
        received = Received(entry, self.signer.sign(entry.hash), event)
        self.store.add(received, payloads)
        return received


def seal_texts(action: Action, texts: Mapping[str, str]) -> tuple[Action, dict[str, Payload]]:
    """Puts commitments into the sealed fields of an action.

    Args:
        action: With its sealed fields empty.
        texts: Plain texts by field; an empty text is none.

    Raises:
        RefusedError: A text for a field that is not sealed.
    """
    filled: dict[str, Any] = {}
    payloads: dict[str, Payload] = {}
    for name, text in texts.items():
        if name not in action.sealed:
            raise RefusedError(f"{name!r} is no sealed text of {action.kind}.")
        if text:
            payload = Payload(new_salt(), text)
            filled[name] = commitment(payload.salt, text)
            payloads[filled[name]] = payload
    return msgspec.structs.replace(action, **filled), payloads


def _check_form(action: Action) -> None:
    """Values that could not be read back must never enter a journal that only grows."""
    try:
        read_action(action.kind, action.body)
    except (BrokenEventError, TypeError) as error:
        raise RefusedError(str(error)) from error


def _offline_action(event: Event) -> Action:
    if event.kind not in catalogue():
        raise BrokenEventError(f"This version does not know events of the kind {event.kind!r}.")
    action = read_action(event.kind, event.body)
    if action is None or action.phase == DECIDES:
        raise BrokenEventError(f"{event.kind} is a decision; it is made at the desk.")
    return action


def _own_payloads(action: Action, payloads: Mapping[str, Payload]) -> dict[str, Payload]:
    """The texts that belong to the action's commitments, each held against its own."""
    wanted = {mark for name in action.sealed if (mark := getattr(action, name))}
    for mark, payload in payloads.items():
        if mark not in wanted or commitment(payload.salt, payload.text) != mark:
            raise BrokenEventError("A text of the event is not the one that its mark stands for.")
    if missing := wanted - set(payloads):
        raise BrokenEventError(f"{len(missing)} text(s) of the event did not come with it.")
    return dict(payloads)


def _done_before(known: Received, audit: str, actor: Actor, action: Action) -> Received:
    """The first receipt; the marks of sealed texts differ each time, so the rest is compared."""
    event = known.event
    told = {k: v for k, v in action.body.items() if k not in action.sealed}
    if event is not None and (event.audit, event.author, event.kind) == (
        audit,
        actor.user,
        action.kind,
    ):
        stored = {k: v for k, v in event.body.items() if k not in action.sealed}
        if canonical(stored) == canonical(told):
            return known
    raise BrokenEventError("The id already stands for another event.")


def _same(known: Received, event: Event) -> Received:
    if known.entry.event_hash == event.hash:
        return known
    stored = known.event
    told = ("audit", "author", "kind", "body", "at", "supersedes")
    if stored is not None and all(getattr(stored, n) == getattr(event, n) for n in told):
        return known  # written anew into another chain after a fork: the same thing told
    raise BrokenEventError(f"The id {event.id} already stands for another event.")


def _check_follows(event: Event, last: Event | None) -> None:
    seq, previous = (last.device_seq + 1, last.hash) if last else (1, GENESIS)
    if (event.device_seq, event.previous) != (seq, previous):
        raise ForkError(
            f"Event {event.device_seq} of this device does not follow the last one, {seq - 1}."
        )


def _check_supersedes(action: Action, state: AuditState, supersedes: str) -> None:
    if not supersedes:
        return
    if not isinstance(action, Creation):
        raise RefusedError(f"{action.kind} corrects nothing.")
    old = getattr(state, action.collection).get(supersedes)
    if old is None:
        raise RefusedError("What is to be corrected is not in this audit, or of another kind.")
    action.check_correction(old)
