"""The author event: what one person wrote down on one device, in that device's own chain.

The same bytes are made by the notebook in a browser (`web/floor`), so every field is plain JSON.
This module knows neither kinds of events nor where they are kept.
"""

import re
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

import msgspec

from witnessmark.audit.canonical import (
    GENESIS,
    HASH_DIGITS,
    NotCanonicalError,
    canonical,
    hash_of,
)
from witnessmark.errors import WitnessmarkError

VERSION = 1
INSTANT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}(\.[0-9]{3})?Z")
LARGEST = 256_000
"""Bytes of the largest event; what is longer belongs into an attachment."""


class BrokenEventError(WitnessmarkError):
    """Bytes that are no event of this tool, or an event that is not what its hash says."""


class Event(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What one person wrote down, at one moment, on one device.

    Args:
        id: UUID; the name of what it tells of, for good.
        audit: UUID of the audit.
        device: UUID of the device; for the desk, of the installation.
        device_seq: Its number on that device in that audit, from 1.
        previous: Hash of that device's event before; 64 zeros for the first.
        at: When, by the device's clock: UTC, ISO 8601 with Z, seconds or milliseconds.
        offset_min: What the device's wall clock was ahead of UTC, in minutes.
        author: Code of the account that wrote it.
        kind: What happened, in words joined by hyphens; an action of `actions/`.
        body: The fields of that action.
        supersedes: UUID of the event it corrects; empty for none.
        v: Version of this envelope.
    """

    id: str
    audit: str
    device: str
    device_seq: int
    previous: str
    at: str
    offset_min: int
    author: str
    kind: str
    body: dict[str, Any]
    supersedes: str = ""
    v: int = VERSION

    @property
    def hash(self) -> str:
        """SHA-256 over the canonical bytes."""
        return hash_of(self.as_json())

    @property
    def moment(self) -> datetime:
        """When, as an aware UTC instant."""
        return moment_of(self.at)

    def as_json(self) -> dict[str, Any]:
        """Every field, as plain JSON values."""
        return {name: getattr(self, name) for name in self.__struct_fields__}


def moment_of(at: str) -> datetime:
    """An instant of the journal as an aware datetime.

    Raises:
        BrokenEventError: Not an instant in the form of the journal.
    """
    if not INSTANT.fullmatch(at):
        raise BrokenEventError(f"{at!r} is no instant. Expected UTC as 2026-03-29T01:00:00Z.")
    try:
        return datetime.fromisoformat(at)
    except ValueError as error:
        raise BrokenEventError(f"{at!r} is no instant: {error}.") from error


def written(moment: datetime) -> str:
    """An aware datetime as the journal writes it: UTC, whole seconds, Z."""
    utc = moment - (moment.utcoffset() or timedelta())
    return utc.replace(tzinfo=None).isoformat(timespec="seconds") + "Z"


def read_event(data: bytes | str) -> Event:
    """Reads an event and checks its form, not its place in any chain.

    Raises:
        BrokenEventError: Not an event; the message names the field.
    """
    try:
        size = len(data.encode()) if isinstance(data, str) else len(data)
        if size > LARGEST:
            raise BrokenEventError(_too_large(size))
        event = msgspec.json.decode(data, type=Event)
    except (msgspec.DecodeError, UnicodeError, RecursionError) as error:
        raise BrokenEventError(f"This is no event: {error}.") from error
    return checked(event)


def checked(event: Event) -> Event:
    """The event, once its fields are in the form they must have.

    Raises:
        BrokenEventError: The first field that is not.
    """
    if event.v != VERSION:
        raise BrokenEventError(f"An event of version {event.v}; this version reads {VERSION}.")
    for name in ("id", "audit", "device") + (("supersedes",) if event.supersedes else ()):
        if not is_uuid(getattr(event, name)):
            raise BrokenEventError(f"The event's {name} is no UUID: {getattr(event, name)!r}.")
    if event.device_seq < 1:
        raise BrokenEventError(f"The event's number on its device is {event.device_seq}.")
    if not event.author or not event.kind:
        raise BrokenEventError("The event does not say who wrote it, or what it tells of.")
    if not is_hash(event.previous) or (event.device_seq == 1) != (event.previous == GENESIS):
        raise BrokenEventError("The event does not say which event of its device came before.")
    moment_of(event.at)
    try:
        data = canonical(event.as_json())
        size = len(data)
        canonical(msgspec.json.decode(data))  # a float of 2^53 is written as an integer beyond it
    except NotCanonicalError as error:
        raise BrokenEventError(str(error)) from error
    if size > LARGEST:
        raise BrokenEventError(_too_large(size))
    return event


def _too_large(size: int) -> str:
    return f"An event of {size} bytes; the largest is {LARGEST}. Attach what is longer as a file."


def is_uuid(text: str) -> bool:
    """Whether a text is a UUID in its one written form."""
    try:
        return str(UUID(text)) == text
    except ValueError:
        return False


def is_hash(text: str) -> bool:
    """Whether a text is a SHA-256 in its one written form."""
    return len(text) == HASH_DIGITS and set(text) <= set("0123456789abcdef")
