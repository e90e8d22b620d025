"""Asked for: evidence requests, what was seen when it was asked, what came, what had changed."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from witnessmark.audit.actions.receive_evidence import ReceiveEvidence
from witnessmark.audit.actions.request_evidence import RequestEvidence
from witnessmark.audit.items import Request
from witnessmark.web.desk.asking import Asked, Deed, ask
from witnessmark.web.desk.audit_page import TEAM, AuditPage, in_audit
from witnessmark.web.desk.working import attached
from witnessmark.web.desk.working.fields import line, moment, text
from witnessmark.web.desk.working.heard import trails_with
from witnessmark.web.security.uploads import upload_limit

FILE_MB = 100
FAR = "9999"


class RequestForm(forms.Form):
    """What is asked for."""

    what = text("What is asked for", "So that the other side can find it: which, from when.")
    asked_role = line("Asked of", "By role.")
    seen_when_asked = text(
        "What could be seen of it when it was asked for",
        "A sheet half filled, a screen, a folder: so that it shows what changed until it came.",
        required=False,
    )

    def __init__(self, page: AuditPage, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["due"] = moment(page, "Promised until")


class ReceiptForm(forms.Form):
    """What came."""

    what = text("What came", rows=2)
    changed = text(
        "What had changed since it was asked for",
        "Held against what was seen then. “Nothing” is an answer too.",
        required=False,
    )
    file = forms.FileField(label="File", required=False, help_text="Kept encrypted, by its hash.")


def request_of(page: AuditPage, id_: UUID) -> Request:
    """A request of this audit.

    Raises:
        Http404: There is none.
    """
    found = page.state.requests.get(str(id_))
    if found is None:
        raise Http404
    return found


@require_safe
@in_audit(tab="asked")
def asked(request: HttpRequest, page: AuditPage) -> HttpResponse:
    """What is still to come, the earliest first; then what came."""
    items = page.state.requests.values()
    waiting = sorted((r for r in items if not r.receipts), key=lambda r: (r.due or FAR, r.at))
    came = sorted((r for r in items if r.receipts), key=lambda r: r.receipts[-1].at, reverse=True)
    return render(request, "desk/working/asked.html", {"waiting": waiting, "came": came})


@require_safe
@in_audit(tab="asked")
def one(request: HttpRequest, page: AuditPage, item: UUID) -> HttpResponse:
    """One request with its receipts."""
    found = request_of(page, item)
    context = {
        "item": found,
        "trails": trails_with(page, found.id),
        "may_correct": page.may_on(RequestEvidence(what="."), found.id),
    }
    return render(request, "desk/working/request.html", context)


@require_http_methods(["GET", "POST"])
@in_audit(tab="asked", roles=TEAM)
def ask_for(request: HttpRequest, page: AuditPage) -> HttpResponse:
    """Asks for something."""
    form = RequestForm(page, request.POST or None)
    asked = Asked(
        "Ask for evidence",
        "Keep the request",
        ("Asked for", reverse("desk:asked", args=(page.id,))),
    )
    return ask(request, page, form, asked, lambda told: Deed(RequestEvidence(**told)))


@require_http_methods(["GET", "POST"])
@in_audit(tab="asked", roles=TEAM)
def correct(request: HttpRequest, page: AuditPage, item: UUID) -> HttpResponse:
    """Corrects a request."""
    found = request_of(page, item)
    names = ("what", "asked_role", "seen_when_asked", "due")
    initial = {name: getattr(found, name) for name in names}
    form = RequestForm(page, request.POST or None, initial=initial)
    asked = Asked("Correct the request", "Keep it so", ("The request", _address(page, found)))
    return ask(
        request, page, form, asked, lambda told: Deed(RequestEvidence(**told), supersedes=found.id)
    )


@upload_limit(FILE_MB)
@require_http_methods(["GET", "POST"])
@in_audit(tab="asked", roles=TEAM)
def receive(request: HttpRequest, page: AuditPage, item: UUID) -> HttpResponse:
    """Keeps what came, perhaps with its file."""
    found = request_of(page, item)
    form = ReceiptForm(request.POST or None, request.FILES or None)

    def make(told: Mapping[str, Any]) -> Deed:
        digest = attached.take_file(told["file"]) if told["file"] else ""
        action = ReceiveEvidence(
            request=found.id, what=told["what"], changed=told["changed"], sha256=digest
        )
        return Deed(action)

    asked = Asked(
        "Keep what came",
        "Keep it",
        ("The request", _address(page, found)),
        found.what,
        files=True,
    )
    template = "desk/working/receive.html"
    return ask(request, page, form, asked, make, template=template, item=found)


@require_safe
@in_audit(tab="asked")
def file(request: HttpRequest, page: AuditPage, item: UUID, digest: str) -> HttpResponse:
    """A file that came; only ever offered for saving."""
    found = request_of(page, item)
    if digest not in {receipt.sha256 for receipt in found.receipts if receipt.sha256}:
        raise Http404
    return attached.give(digest, attached.ANY, f"received-{digest[:8]}")


def _address(page: AuditPage, item: Request) -> str:
    return reverse("desk:request", args=(page.id, item.id))
