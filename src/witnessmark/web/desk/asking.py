"""A page that asks one thing: its form, the action that comes of it, where it leads to."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme

from witnessmark.audit.action import Action
from witnessmark.audit.event import BrokenEventError, moment_of
from witnessmark.audit.journal import Received
from witnessmark.audit.people import NotAllowedError, RefusedError
from witnessmark.web.desk.audit_page import AuditPage

UNUSABLE = 422


@dataclass(frozen=True)
class Deed:
    """An action with its texts, what it corrects, and when it happened where that was not now."""

    action: Action
    texts: Mapping[str, str] = field(default_factory=dict)
    supersedes: str = ""
    at: str = ""


@dataclass(frozen=True)
class Asked:
    """What stands around a form.

    Args:
        title: Heading.
        submit: Word on the button.
        above: Name and address of the page above; there the way back leads.
        lead: A sentence below the heading.
        done: Notice after it was done.
        danger: Whether something is lost by it.
        files: Whether the form takes files.
    """

    title: str
    submit: str
    above: tuple[str, str]
    lead: str = ""
    done: str = ""
    danger: bool = False
    files: bool = False


Make = Callable[[Mapping[str, Any]], Deed]
Follow = Callable[[Received], str]


def ask(
    request: HttpRequest,
    page: AuditPage,
    form: Form,
    asked: Asked,
    make: Make,
    follow: str | Follow = "",
    template: str = "desk/working/ask.html",
    **context: object,
) -> HttpResponse:
    """Shows the form, or does what it says and goes on; a refusal stands on the form.

    Args:
        request: GET shows, POST does.
        page: The audit.
        form: Bound where it was sent.
        asked: What stands around it.
        make: The deed of the cleaned form; may itself keep files first.
        follow: Where it leads; the page above where nothing is said.
        template: The page.
        context: What else the template needs.
    """
    if request.method == "POST" and form.is_valid():
        try:
            deed = make(form.cleaned_data)
            at = moment_of(deed.at) if deed.at else None
            received = page.do(deed.action, deed.texts, deed.supersedes, at)
        except (RefusedError, NotAllowedError, BrokenEventError) as refusal:
            form.add_error(None, str(refusal))
        else:
            if asked.done:
                messages.success(request, asked.done)
            return redirect(next_of(request) or _where(follow, received) or asked.above[1])
    status = UNUSABLE if form.errors else 200
    shown = {"form": form, "asked": asked, "next": next_of(request), **context}
    return render(request, template, shown, status=status)


def next_of(request: HttpRequest) -> str:
    """Where the sender wants to go on, if that is a page of this installation."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    allowed = url_has_allowed_host_and_scheme(wanted, allowed_hosts=None)
    return wanted if allowed and wanted.startswith("/") else ""


def id_of(received: Received) -> str:
    """Id of the item that an event made, or that it corrected."""
    event = received.event
    return (event.supersedes or event.id) if event else ""


def _where(follow: str | Follow, received: Received) -> str:
    return follow(received) if callable(follow) else follow
