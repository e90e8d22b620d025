"""A store in memory: for tests, for reading a sealed file, for trying something out.

It keeps the same promises as a database within one process, and forgets everything at its end.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from threading import RLock

from witnessmark.audit.event import Event
from witnessmark.audit.journal import Entry, Payload, Received


class MemoryStore:
    """Journals in memory."""

    def __init__(self) -> None:
        self._lock = RLock()
        self._journals: dict[str, list[Received]] = defaultdict(list)
        self._by_event: dict[str, Received] = {}
        self._payloads: dict[str, Payload] = {}

    @contextmanager
    def locked(self, audit: str) -> Iterator[None]:
        """One writer at a time; what a failed block added is taken back."""
        with self._lock:
            length, payloads = len(self._journals[audit]), dict(self._payloads)
            try:
                yield
            except BaseException:
                for item in self._journals[audit][length:]:
                    if item.event is not None:
                        self._by_event.pop(item.event.id)
                del self._journals[audit][length:]
                self._payloads = payloads
                raise

    def received(self, audit: str, after: int = 0) -> list[Received]:
        """Entries in order, from the one after `after`."""
        return self._journals[audit][after:]

    def head(self, audit: str) -> Entry | None:
        """The last entry."""
        journal = self._journals[audit]
        return journal[-1].entry if journal else None

    def find(self, event_id: str) -> Received | None:
        """The entry of an event, in whatever audit."""
        return self._by_event.get(event_id)

    def last_of(self, audit: str, device: str) -> Event | None:
        """A device's last event in an audit."""
        events = [item.event for item in self._journals[audit] if item.event is not None]
        mine = [event for event in events if event.device == device]
        return max(mine, key=lambda event: event.device_seq, default=None)

    def add(self, received: Received, payloads: Mapping[str, Payload]) -> None:
        """Keeps an entry and its event's texts."""
        self._journals[received.entry.audit].append(received)
        if received.event is not None:
            self._by_event[received.event.id] = received
        self._payloads |= payloads

    def reveal(self, commitment: str) -> str | None:
        """The text of a commitment; None where there is none."""
        payload = self._payloads.get(commitment)
        return payload.text if payload else None

    def payload(self, commitment: str) -> Payload | None:
        """The text with its salt; None where there is none."""
        return self._payloads.get(commitment)

    def destroy(self, commitment: str) -> None:
        """Forgets a text and its salt."""
        self._payloads.pop(commitment, None)
