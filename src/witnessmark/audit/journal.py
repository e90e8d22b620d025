"""The journal: received events in one chain per audit, and the check that nothing was changed.

An entry names the hash of its event and of the entry before it, so that no event can be changed,
left out, added or moved without the check naming the first place. This module knows no kinds of
events and no database: `Store` says what a database must do.
"""

from collections.abc import Iterable, Mapping
from contextlib import AbstractContextManager
from typing import Protocol

import msgspec

from witnessmark.audit.canonical import GENESIS, NotCanonicalError, hash_of
from witnessmark.audit.event import BrokenEventError, Event, checked, is_hash, moment_of
from witnessmark.audit.signing import is_signed
from witnessmark.errors import WitnessmarkError

VERSION = 1
CLOCK_MATTERS_S = 120
"""A device's clock within two minutes of the receiver's is taken as right."""


class BrokenChainError(WitnessmarkError):
    """A journal that is not as it was written; names the first entry that differs."""

    def __init__(self, seq: int, what: str) -> None:
        super().__init__(f"Entry {seq} of the journal differs: {what}")
        self.seq = seq


class Entry(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The receipt of one event.

    Args:
        audit: UUID of the audit.
        seq: Place in the journal, from 1.
        event_hash: Of the event received.
        previous: Hash of the entry before; 64 zeros for the first.
        received_at: By the receiver's clock, as events write instants.
        clock_offset_s: What must be added to the device's clock; 0 within two minutes.
        event_key: Public key of the device that signed the event; empty where it has none.
        event_signature: Its signature over the event's hash; empty likewise. Then the
            installation alone vouches, at receipt.
        key: Public key of the installation that received it.
        v: Version of this form.
    """

    audit: str
    seq: int
    event_hash: str
    previous: str
    received_at: str
    clock_offset_s: int
    event_key: str
    event_signature: str
    key: str
    v: int = VERSION

    @property
    def hash(self) -> str:
        """SHA-256 over the canonical bytes."""
        return hash_of({name: getattr(self, name) for name in self.__struct_fields__})


class Received(msgspec.Struct, frozen=True):
    """An entry with its signature by the installation, and its event where it is at hand.

    Args:
        entry: The receipt.
        signature: The installation's, over the entry's hash.
        event: None only where a sealed file withholds it.
    """

    entry: Entry
    signature: str
    event: Event | None


class Payload(msgspec.Struct, frozen=True):
    """A text that stands in an event as its commitment only."""

    salt: str
    text: str


class Store(Protocol):
    """What keeps journals. `web.store` keeps them in a database, `memory` for one process."""

    def locked(self, audit: str) -> AbstractContextManager[None]:
        """Nobody else appends to this audit until it ends; all or nothing is kept."""

    def received(self, audit: str, after: int = 0) -> list[Received]:
        """Entries in order, from the one after `after`."""

    def head(self, audit: str) -> Entry | None:
        """The last entry; None in an empty journal."""

    def find(self, event_id: str) -> Received | None:
        """The entry of an event, in whatever audit."""

    def last_of(self, audit: str, device: str) -> Event | None:
        """A device's last event in an audit."""

    def add(self, received: Received, payloads: Mapping[str, Payload]) -> None:
        """Keeps an entry with its event's texts, each under a key of its own; inside `locked`."""

    def reveal(self, commitment: str) -> str | None:
        """The text of a commitment; None where it was destroyed or never came."""

    def payload(self, commitment: str) -> Payload | None:
        """The text with its salt, as a sealed file carries it; None likewise."""

    def destroy(self, commitment: str) -> None:
        """Destroys the key of a text, and with it the text; inside `locked`."""


class _Chain:
    """What was seen of a journal so far: its last entry, its devices, its withheld events."""

    def __init__(self) -> None:
        self.audit = ""
        self.count = 0
        self.previous = GENESIS
        self.devices: dict[str, tuple[int, str]] = {}
        self.withheld: set[str] = set()

    def take(self, item: Received) -> None:
        """Holds the next entry against those before it."""
        self.count += 1
        self.audit = self.audit or item.entry.audit
        try:
            _check_entry(item, self)
            if item.event is None:
                self.withheld.add(item.entry.event_hash)
            else:
                _check_event(item.event, item.entry, self)
        except (BrokenEventError, NotCanonicalError) as error:
            raise BrokenChainError(self.count, str(error)) from error
        self.previous = item.entry.hash


def check_chain(received: Iterable[Received]) -> int:
    """Holds every entry and event against the chain; gives the number of entries.

    Raises:
        BrokenChainError: The first entry that is not as it was written.
    """
    chain = _Chain()
    for item in received:
        chain.take(item)
    return chain.count


def _check_entry(item: Received, chain: _Chain) -> None:
    entry, seq = item.entry, chain.count
    if entry.v != VERSION:
        raise BrokenChainError(seq, f"it is of version {entry.v}; this version reads {VERSION}.")
    if entry.seq != seq:
        raise BrokenChainError(seq, f"it says it is number {entry.seq}.")
    if entry.audit != chain.audit:
        raise BrokenChainError(seq, "it belongs to another audit.")
    if entry.previous != chain.previous:
        raise BrokenChainError(seq, "the entry before it is not the one it names.")
    if not is_hash(entry.event_hash):
        raise BrokenChainError(seq, "it names no event.")
    moment_of(entry.received_at)
    if not is_signed(entry.key, entry.hash, item.signature):
        raise BrokenChainError(seq, "the installation's signature does not hold.")
    if entry.event_key and not is_signed(entry.event_key, entry.event_hash, entry.event_signature):
        raise BrokenChainError(seq, "the device's signature does not hold.")


def _check_event(event: Event, entry: Entry, chain: _Chain) -> None:
    checked(event)
    if event.hash != entry.event_hash:
        raise BrokenChainError(entry.seq, f"its event ({event.kind}) is not the one received.")
    if event.audit != entry.audit:
        raise BrokenChainError(entry.seq, "its event belongs to another audit.")
    seq, last = chain.devices.get(event.device, (0, GENESIS))
    if event.device_seq <= seq:
        raise BrokenChainError(entry.seq, "its device's events are out of order.")
    follows = event.device_seq == seq + 1 and event.previous == last
    # A withheld event leaves a hole in its device's chain; its hash still stands in its entry.
    if not follows and (event.device_seq == seq + 1 or event.previous not in chain.withheld):
        raise BrokenChainError(entry.seq, "its device wrote another event before it.")
    chain.devices[event.device] = (event.device_seq, entry.event_hash)
