"""Accounts by their code, as the desk shows them; no name enters a journal from here."""

import secrets

from django.http import HttpRequest

from witnessmark.audit.state import AuditState
from witnessmark.web.accounts.models import User
from witnessmark.web.store.desk import code_of

WITHOUT_ACCOUNT = "w"
CODE_BYTES = 4


def names_of(request: HttpRequest) -> dict[str, str]:
    """Names that others see, by code; read once a request."""
    known: dict[str, str] | None = getattr(request, "names_by_code", None)
    if known is None:
        known = {code_of(user): user.display_name for user in User.objects.all()}
        request.names_by_code = known  # type: ignore[attr-defined]  # kept for the length of a request
    return known


def new_code() -> str:
    """A code for somebody who takes part without an account."""
    return f"{WITHOUT_ACCOUNT}{secrets.token_hex(CODE_BYTES)}"


def said_of(code: str, state: AuditState, names: dict[str, str]) -> str:
    """A member as a choice shows them: name and function, or function alone."""
    member = state.members.get(code)
    function = member.function if member else ""
    name = names.get(code, "" if function else "without an account here")
    return ", ".join(filter(None, (name, function)))
