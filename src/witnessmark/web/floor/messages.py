"""What a phone sends and what it is answered, as plain JSON, read with every doubt."""

from typing import Any, TypeVar

import msgspec
from django.http import HttpRequest, JsonResponse

from witnessmark.audit.act import now
from witnessmark.audit.event import BrokenEventError, moment_of
from witnessmark.audit.journal import Payload
from witnessmark.errors import WitnessmarkError

MOST_ITEMS = 200
LONGEST_TRIP_MS = 60_000
MessageT = TypeVar("MessageT", bound="Message")


class UnreadableError(WitnessmarkError):
    """A request that is not what the notebook sends."""


class Message(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What every delivery says.

    Args:
        sent_at: By the phone's clock, as it was sent.
        round_trip_ms: How long the question before it took, there and back.
    """

    sent_at: str
    round_trip_ms: int = 0

    @property
    def clock_offset_s(self) -> int:
        """What must be added to the phone's clock, by ours.

        Raises:
            UnreadableError: `sent_at` is no instant.
        """
        try:
            sent = moment_of(self.sent_at)
        except BrokenEventError as error:
            raise UnreadableError(str(error)) from error
        trip = min(max(self.round_trip_ms, 0), LONGEST_TRIP_MS) / 1000
        return round((now() - sent).total_seconds() - trip / 2)


class Chained(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One event in the phone's chain, with the texts that it only marks."""

    event: str
    signature: str = ""
    payloads: dict[str, Payload] = {}


class Delivered(Message, frozen=True, kw_only=True):
    """Events that the phone chained itself."""

    device: str = ""
    key: str = ""
    items: list[Chained]


class Told(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One thing told by a page that cannot chain; the installation chains it at receipt."""

    id: str
    at: str
    kind: str
    body: dict[str, Any]
    texts: dict[str, str] = {}
    supersedes: str = ""


class Plain(Message, frozen=True, kw_only=True):
    """What such a page hands over."""

    items: list[Told]


def read(request: HttpRequest, kind: type[MessageT]) -> MessageT:
    """The request's body as a message.

    Raises:
        UnreadableError: It is none, or brings more than is taken at once.
    """
    try:
        message = msgspec.json.decode(request.body, type=kind)
    except (msgspec.DecodeError, UnicodeError, RecursionError) as error:
        raise UnreadableError(f"This is not what the notebook sends: {error}.") from error
    items: list[object] = getattr(message, "items", [])
    if len(items) > MOST_ITEMS:
        raise UnreadableError(f"{len(items)} items at once; at most {MOST_ITEMS} are taken.")
    return message


def refusal(status: int, message: str) -> JsonResponse:
    """A no in words."""
    return JsonResponse({"message": message}, status=status)
