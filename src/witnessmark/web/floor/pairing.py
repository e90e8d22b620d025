"""Letting a phone in without typing a password on it: a link with a one-time token, as a QR code.

Whoever is signed in shows the code to their own phone. The phone then acts as that account on the
pages of the notebook, and on no others. Only the token's hash is kept, for ten minutes.
"""

import hashlib
import json
import secrets
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import segno
from django.conf import settings
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from witnessmark.web.accounts.models import User
from witnessmark.web.config import LOOPBACK
from witnessmark.web.data_folder import write_private
from witnessmark.web.locks import held

LASTS_S = 600
TOKEN_BYTES = 24
NOTEBOOK_ONLY = "notebook_only"
BACKEND = "django.contrib.auth.backends.ModelBackend"
GONE = 410
_OPEN = ("/floor/", "/static/", "/sign-out/", "/sign-in/", "/about/")


class NotebookOnlyMiddleware:
    """Keeps a phone that was let in by a code to the pages of the notebook."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self._get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """The answer of the rest, where the phone may see it."""
        if request.session.get(NOTEBOOK_ONLY) and not _is_open(request.path):
            raise PermissionDenied("This phone was let in for the notebook only.")
        return self._get_response(request)


def _is_open(path: str) -> bool:
    return path.startswith(_OPEN) and not path.startswith("/floor/pair/")


@require_safe
@never_cache
def show(request: HttpRequest) -> HttpResponse:
    """A fresh code for one phone of the account that is signed in."""
    reachable = request.get_host().rsplit(":", 1)[0] not in LOOPBACK
    context: dict[str, object] = {"reachable": reachable, "minutes": LASTS_S // 60}
    if reachable and isinstance(request.user, User):
        token = _new_token(request.user)
        address = request.build_absolute_uri(reverse("floor:enter", args=(token,)))
        context |= {"address": address, "code": segno.make(address).svg_data_uri(scale=6)}
    return render(request, "floor/pair.html", context)


@require_http_methods(["GET", "POST"])
@never_cache
@login_not_required
def enter(request: HttpRequest, token: str) -> HttpResponse:
    """The phone asks before it goes in, so that a preview of the link uses nothing up."""
    if request.method == "GET":
        return render(request, "floor/enter.html")
    user = _use(token)
    if user is None:
        return render(request, "floor/enter.html", {"gone": True}, status=GONE)
    login(request, user, BACKEND)
    request.session[NOTEBOOK_ONLY] = True
    return redirect("floor:start")


def _new_token(user: User) -> str:
    token = secrets.token_urlsafe(TOKEN_BYTES)
    with _tokens() as known:
        known[_hash(token)] = [user.pk, time.time() + LASTS_S]
    return token


def _use(token: str) -> User | None:
    """The account of a token, which is used up by asking."""
    with _tokens() as known:
        found = known.pop(_hash(token), None)
    if found is None:
        return None
    return User.objects.filter(pk=int(found[0]), is_active=True).first()


@contextmanager
def _tokens() -> Iterator[dict[str, list[float]]]:
    """Tokens that are still good, by hash: account and end; what is changed inside is kept."""
    keys: Path = settings.CONFIG.data.keys
    place = keys / "phones.json"
    with held(keys / ".phones.lock"):
        read = json.loads(place.read_text("ascii")) if place.exists() else {}
        known = {name: one for name, one in read.items() if one[1] > time.time()}
        yield known
        write_private(place, json.dumps(known).encode())


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
