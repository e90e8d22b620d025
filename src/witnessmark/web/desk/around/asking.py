"""A page whose words will be read outside the team: none may repeat a protected source."""

from collections.abc import Callable, Mapping
from typing import Any

from django.forms import Form
from django.http import HttpRequest, HttpResponse

from witnessmark.audit.action import Action
from witnessmark.audit.people import RefusedError
from witnessmark.web.desk import asking
from witnessmark.web.desk.around.protected import REPEATS, repeats_protected, texts_in
from witnessmark.web.desk.asking import Asked, Deed
from witnessmark.web.desk.audit_page import AuditPage

Make = Callable[[Mapping[str, Any]], Action]


def ask(
    request: HttpRequest,
    page: AuditPage,
    form: Form,
    asked: Asked,
    make: Make,
    supersedes: str = "",
    template: str = "desk/around/ask.html",
    **context: object,
) -> HttpResponse:
    """As every page asks (`desk.asking.ask`); words of a protected source are refused."""

    def deed(told: Mapping[str, Any]) -> Deed:
        if repeats_protected(page, texts_in(told)):
            raise RefusedError(REPEATS)
        return Deed(make(told), supersedes=supersedes)

    return asking.ask(request, page, form, asked, deed, "", template, **context)
