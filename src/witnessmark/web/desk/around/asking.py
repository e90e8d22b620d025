"""A page that asks one thing: its form, the action it becomes, where it leads back to."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.forms import Form
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import redirect, render

from witnessmark.audit.action import Action
from witnessmark.web.desk.around.protected import REPEATS, repeats_protected, texts_in
from witnessmark.web.desk.audit_page import AuditPage

Make = Callable[[Mapping[str, Any]], Action]


@dataclass(frozen=True)
class Asked:
    """What stands around a form.

    Args:
        title: Heading.
        submit: Word on the button.
        back: Address to return to, done or not.
        lead: One sentence below the heading.
        done: Notice after it was done.
        danger: Whether something is lost by it.
        belongs: Name and address of the page above, for the line that says where one is.
    """

    title: str
    submit: str
    back: str
    lead: str = ""
    done: str = ""
    danger: bool = False
    belongs: tuple[str, str] = ("", "")


def ask(
    request: HttpRequest,
    page: AuditPage,
    form: Form,
    asked: Asked,
    make: Make,
    supersedes: str = "",
    template: str = "desk/around/ask.html",
    **context: object,
) -> HttpResponseBase:
    """Shows the form, or does what it says and goes back; a refusal stands on the form."""
    if request.method == "POST" and form.is_valid():
        if repeats_protected(page, texts_in(form.cleaned_data)):
            form.add_error(None, REPEATS)
        elif page.try_do(
            request, form, make(form.cleaned_data), supersedes=supersedes, done=asked.done
        ):
            return redirect(asked.back)
    return render(request, template, {"form": form, "asked": asked, **context})
