"""Taking in what a phone sends: each item is answered for itself, and the same one only once."""

from collections.abc import Callable
from datetime import timedelta
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponseBase, JsonResponse
from django.middleware.csrf import get_token
from django.views.decorators.http import require_POST, require_safe

from witnessmark.audit.act import Delivery, ForkError, now
from witnessmark.audit.action import DECIDES, Action
from witnessmark.audit.catalogue import read_action
from witnessmark.audit.event import BrokenEventError, Event, is_uuid, moment_of, read_event, written
from witnessmark.audit.journal import CLOCK_MATTERS_S, Received
from witnessmark.audit.people import NotAllowedError, RefusedError
from witnessmark.web.desk.audit_page import TEAM, AuditPage, in_audit
from witnessmark.web.floor.messages import (
    Chained,
    Delivered,
    Plain,
    Told,
    UnreadableError,
    read,
    refusal,
)
from witnessmark.web.security.uploads import upload_limit
from witnessmark.web.store.desk import desk

MEGABYTES = 4
BAD_REQUEST = 400
Answer = dict[str, Any]


def answers_in_words(
    view: Callable[..., HttpResponseBase],
) -> Callable[..., HttpResponseBase]:
    """Turns a request that cannot be read into an answer that the notebook can show."""

    @wraps(view)
    def answered(request: HttpRequest, *args: object, **others: object) -> HttpResponseBase:
        try:
            return view(request, *args, **others)
        except UnreadableError as error:
            return refusal(BAD_REQUEST, str(error))

    return answered


@require_safe
@in_audit(roles=TEAM)
def token(request: HttpRequest, page: AuditPage) -> JsonResponse:
    """What a sync starts with: a fresh token, who is signed in, and the time here."""
    told = {"user": page.actor.user, "role": page.actor.role.value, "at": written(now())}
    return JsonResponse({"token": get_token(request), **told})


@upload_limit(MEGABYTES)
@require_POST
@in_audit(roles=TEAM)
@answers_in_words
def sync(request: HttpRequest, page: AuditPage) -> JsonResponse:
    """Takes events of the phone's own chain."""
    message = read(request, Delivered)
    offset = message.clock_offset_s
    items = [_answer(item, page, message.key, offset) for item in message.items]
    return JsonResponse({"items": items, "at": written(now()), "clock_offset_s": offset})


@upload_limit(MEGABYTES)
@require_POST
@in_audit(roles=TEAM)
@answers_in_words
def plain(request: HttpRequest, page: AuditPage) -> JsonResponse:
    """Takes what a page told that cannot chain, and does it at this desk under the same ids."""
    message = read(request, Plain)
    offset = message.clock_offset_s
    items = [_do(item, page, offset) for item in message.items]
    return JsonResponse({"items": items, "at": written(now()), "clock_offset_s": offset})


def _answer(item: Chained, page: AuditPage, key: str, offset: int) -> Answer:
    """What becomes of one chained event."""
    id_ = ""
    try:
        event = read_event(item.event)
        id_ = event.id
        _check_audit(event, page)
        delivery = Delivery(item.event, item.payloads, key, item.signature)
        received, is_new = desk().receive(page.actor, delivery, offset)
    except ForkError as error:
        return {"id": id_, "status": "fork", "message": str(error)}
    except (BrokenEventError, NotAllowedError, RefusedError) as error:
        return {"id": id_, "status": "refused", "message": str(error)}
    return _receipt(id_, received, is_new=is_new)


def _check_audit(event: Event, page: AuditPage) -> None:
    """The sender's role is known in this audit only; an event of another one goes there."""
    if event.audit != page.id:
        raise BrokenEventError("The event belongs to another audit.")


def _do(item: Told, page: AuditPage, offset: int) -> Answer:
    """What becomes of one thing told."""
    try:
        action = _offline_action(item)
        is_new = desk().store.find(item.id) is None
        right = timedelta(seconds=offset if abs(offset) > CLOCK_MATTERS_S else 0)
        received = desk().act(
            page.id,
            page.actor,
            action,
            item.texts,
            item.supersedes,
            at=moment_of(item.at) + right,
            event_id=item.id,
        )
    except (BrokenEventError, NotAllowedError, RefusedError) as error:
        return {"id": item.id, "status": "refused", "message": str(error)}
    return _receipt(item.id, received, is_new=is_new)


def _offline_action(item: Told) -> Action:
    if not is_uuid(item.id):
        raise BrokenEventError("The item's id is no UUID.")
    action = read_action(item.kind, item.body)
    if action is None or action.phase == DECIDES:
        raise BrokenEventError(f"{item.kind} is nothing that a notebook writes.")
    if any(getattr(action, name) for name in action.sealed):
        raise BrokenEventError("A text came without its words.")
    return action


def _receipt(id_: str, received: Received, *, is_new: bool) -> Answer:
    status = "received" if is_new else "known"
    entry = received.entry
    return {"id": id_, "status": status, "seq": entry.seq, "hash": entry.event_hash, "message": ""}
