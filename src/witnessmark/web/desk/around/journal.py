"""The journal as people read it: newest first, checked on demand, corrections with what they were.

A text can be destroyed from here; the entry stays, the chain stays whole, the words are gone.
"""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import msgspec
from django import forms
from django.contrib import messages
from django.core.paginator import Page, Paginator
from django.http import Http404, HttpRequest, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from witnessmark.audit.catalogue import catalogue
from witnessmark.audit.event import Event, read_event
from witnessmark.audit.journal import BrokenChainError, Entry, check_chain
from witnessmark.audit.people import NotAllowedError, RefusedError
from witnessmark.audit.withheld import marks_of
from witnessmark.web.desk.around.fields import TextField
from witnessmark.web.desk.around.findings import LEAD
from witnessmark.web.desk.around.people import names_of
from witnessmark.web.desk.around.sentences import WITHHELD, sentence
from witnessmark.web.desk.audit_page import READERS, AuditPage, in_audit
from witnessmark.web.store import models
from witnessmark.web.store.desk import STORE, desk, destroy_text

PER_PAGE = 50
PROTECTED = '"protected":true'
"""How a protected statement stands in the canonical text of its event."""
MINUTE = 60


@dataclass(frozen=True)
class Line:
    """One entry as a line of the journal.

    Args:
        told: Its sentence.
        by: Name or code of the account.
        device: "the desk", or which notebook.
        signed: By what, and by what it was received.
        clock: What is said of the device's clock; empty where it was right.
        event: None where it is withheld from the viewer.
    """

    entry: Entry
    told: str
    by: str
    device: str
    signed: str
    clock: str
    event: Event | None


@require_safe
@in_audit(tab="journal", roles=READERS)
def listed(request: HttpRequest, page: AuditPage) -> HttpResponseBase:
    """Entries, newest first."""
    rows = models.Entry.objects.filter(audit_id=page.id).order_by("-seq")
    pages: Page[models.Entry] = Paginator(rows, PER_PAGE).get_page(request.GET.get("page"))
    hidden = _hidden(page)
    lines = [_line(request, page, row, hidden) for row in pages]
    context = {
        "lines": lines,
        "pages": pages,
        "unknown": sorted(page.state.unknown),
        "orphans": len(page.state.orphans),
        "members": list(page.state.members.values()),
    }
    return render(request, "desk/around/journal.html", context)


@require_POST
@in_audit(tab="journal", roles=READERS)
def check(request: HttpRequest, page: AuditPage) -> HttpResponseBase:
    """Holds every entry, hash and signature against the chain."""
    try:
        count = check_chain(STORE.received(page.id))
    except BrokenChainError as broken:
        messages.error(request, str(broken))
    else:
        messages.success(
            request, f"{count} entries: every hash and every signature holds, none is missing."
        )
    return redirect("desk:journal", page.id)


@require_safe
@in_audit(tab="journal", roles=READERS)
def shown(request: HttpRequest, page: AuditPage, event: object) -> HttpResponseBase:
    """One entry with everything it holds, and what it replaced."""
    row = models.Entry.objects.filter(audit_id=page.id, event_id=str(event)).first()
    if row is None:
        raise Http404
    line = _line(request, page, row, _hidden(page))
    told = line.event
    context = {
        "line": line,
        "fields": list(_fields(told)) if told else [],
        "marks": _marks(page, told) if told else [],
        "replaced": _replaced(page, told) if told else [],
        "later": _later(page, told) if told else [],
        "signature": row.signature,
        "may_destroy": page.actor.role in LEAD,
    }
    return render(request, "desk/around/entry.html", context)


class DestroyForm(forms.Form):
    """The ground on which a text is destroyed."""

    reason = TextField(
        label="On what ground", help_text="It stays in the journal. Do not repeat the text here."
    )
    sure = forms.BooleanField(label="I know that nobody can bring it back")


@require_http_methods(["GET", "POST"])
@in_audit(tab="journal", roles=LEAD)
def destroy(request: HttpRequest, page: AuditPage, mark: str) -> HttpResponseBase:
    """Asks on what ground a text or photo is destroyed, and destroys it."""
    if not _is_of(page, mark):
        raise Http404
    form = DestroyForm(request.POST or None)
    back = reverse("desk:journal", args=[page.id])
    if request.method == "POST" and form.is_valid():
        try:
            destroy_text(page.id, page.actor, mark, form.cleaned_data["reason"])
        except (RefusedError, NotAllowedError) as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "The text is destroyed; the journal stays whole.")
            return redirect(back)
    is_photo = any(photo.sha256 == mark for photo in page.state.photos.values())
    context = {
        "form": form,
        "back": back,
        "mark": mark,
        "is_photo": is_photo,
        "text": None if is_photo else page.reveal(mark),
    }
    return render(request, "desk/around/destroy.html", context)


def _is_of(page: AuditPage, mark: str) -> bool:
    """Whether the text or photo belongs to this audit; another audit's is not said to exist."""
    if any(photo.sha256 == mark for photo in page.state.photos.values()):
        return True
    return models.Text.objects.filter(mark=mark, audit_id=page.id).exists()


def _hidden(page: AuditPage) -> frozenset[str]:
    """For others than the team: ids and marks of statements that ever were protected."""
    if page.is_team:
        return frozenset()
    rows = models.Entry.objects.filter(audit_id=page.id, event__contains=PROTECTED)
    hidden: set[str] = set()
    for text in rows.values_list("event", flat=True):
        event = read_event(text)
        root = event.supersedes or event.id
        statement = page.state.statements.get(root)
        hidden |= {root, event.id, *marks_of(event), *(statement.history if statement else ())}
    return frozenset(hidden)


def _line(request: HttpRequest, page: AuditPage, row: models.Entry, hidden: frozenset[str]) -> Line:
    entry = msgspec.json.decode(row.entry, type=Entry)
    event = read_event(row.event)
    is_hidden = any(mark in row.event for mark in hidden)
    names = names_of(request)
    return Line(
        entry,
        WITHHELD if is_hidden else sentence(event, page.state, names),
        "the audit team" if is_hidden else names.get(event.author, event.author),
        _device(event),
        "its device, and the installation at receipt"
        if entry.event_key
        else "the installation at receipt",
        _clock(entry),
        None if is_hidden else event,
    )


def _device(event: Event) -> str:
    return "the desk" if event.device == desk().device else f"notebook {event.device[:8]}"


def _clock(entry: Entry) -> str:
    """What is said of a device's clock; the times that pages show are put right by it."""
    if not entry.clock_offset_s:
        return ""
    minutes, seconds = divmod(abs(entry.clock_offset_s), MINUTE)
    which = "behind" if entry.clock_offset_s > 0 else "ahead"
    told = f"{minutes} min {seconds} s" if minutes else f"{seconds} s"
    return f"Its clock was {told} {which}; times are put right by it."


def _fields(event: Event) -> Iterator[tuple[str, str]]:
    action = catalogue().get(event.kind)
    sealed = action.sealed if action else ()
    for name, value in event.body.items():
        if name not in sealed and value not in ("", None, [], {}):
            yield name.replace("_", " "), _plain(value)


def _plain(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str | int | float):
        return str(value)
    if isinstance(value, Sequence) and all(isinstance(item, str) for item in value):
        return "\n".join(value)
    return json.dumps(value, ensure_ascii=False, indent=1)


def _marks(page: AuditPage, event: Event) -> list[tuple[str, str | None]]:
    """Sealed texts of an entry: mark and words; None where they were destroyed."""
    found: list[tuple[str, str | None]] = [(mark, page.reveal(mark)) for mark in marks_of(event)]
    sha = event.body.get("sha256") if event.kind == "photo-taken" else None
    if isinstance(sha, str):
        is_gone = sha in page.state.destroyed
        found.append((sha, None if is_gone else "The photo itself, kept by this hash."))
    return found


def _replaced(page: AuditPage, event: Event) -> list[tuple[str, str, str]]:
    """What a correction changed: field, before, after."""
    before = _version_before(page, event)
    if before is None:
        return []
    old, new = dict(_whole(before)), dict(_whole(event))
    return [
        (name.replace("_", " "), old.get(name, ""), new.get(name, ""))
        for name in dict.fromkeys([*old, *new])
        if old.get(name, "") != new.get(name, "")
    ]


def _later(page: AuditPage, event: Event) -> list[str]:
    """Ids of the entries that corrected this one since."""
    root = event.supersedes or event.id
    item = page.state.item(root)
    versions = [root, *item.history] if item else []
    return versions[versions.index(event.id) + 1 :] if event.id in versions else []


def _whole(event: Event) -> Mapping[str, str]:
    sealed = set(marks_of(event))
    return {
        name: (STORE.reveal(value) or "(destroyed)") if value in sealed else _plain(value)
        for name, value in event.body.items()
        if isinstance(value, str) or value not in (None, [], {})
    }


def _version_before(page: AuditPage, event: Event) -> Event | None:
    """The event that stood before a correction."""
    item = page.state.item(event.supersedes) if event.supersedes else None
    if item is None:
        return None
    versions = [event.supersedes, *item.history]
    place = versions.index(event.id) if event.id in versions else len(versions)
    received = STORE.find(versions[max(place - 1, 0)])
    return received.event if received else None
