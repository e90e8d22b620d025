"""The page itself, which is the same for everybody, and the service worker that keeps it."""

import json
from functools import cache
from importlib.resources import files
from pathlib import Path

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_safe

from witnessmark import __version__
from witnessmark.audit.canonical import sha256
from witnessmark.web.accounts.models import User
from witnessmark.web.desk.audit_page import TEAM, AuditPage, in_audit
from witnessmark.web.floor.captures import CAPTURES
from witnessmark.web.store.desk import audits_of, code_of
from witnessmark.web.store.models import Audit

TEMPLATE = "floor/shell.html"
VERSION_DIGITS = 16
_STATIC = Path(__file__).resolve().parent.parent / "static"


@require_safe
@in_audit(roles=TEAM)
def notebook(request: HttpRequest, page: AuditPage) -> HttpResponse:
    """The notebook of an audit; nothing in it is of this audit yet, so that it can be kept."""
    return render(request, TEMPLATE, _context())


@require_safe
def start(request: HttpRequest) -> HttpResponse:
    """The audits whose notebook is open to the account: where a phone begins."""
    mine = _open_to(request.user) if isinstance(request.user, User) else []
    return render(request, "floor/start.html", {"audits": mine})


@require_safe
@login_not_required
@cache_control(no_cache=True)
def shell(request: HttpRequest) -> HttpResponse:
    """The same page for the service worker to keep; it holds nothing of anybody."""
    return HttpResponse(render_to_string(TEMPLATE, _context()))


@require_safe
@login_not_required
@cache_control(no_cache=True)
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker, told which files make up the page."""
    return HttpResponse(_worker(), content_type="text/javascript")


@require_safe
@login_not_required
def manifest(request: HttpRequest) -> HttpResponse:
    """What a phone needs to put the notebook among its other pages."""
    told = {
        "name": "Witnessmark notebook",
        "short_name": "Notebook",
        "start_url": reverse("floor:start"),
        "scope": "/floor/",
        "display": "standalone",
        "background_color": "#fcfbf7",
        "theme_color": "#fcfbf7",
        "icons": [{"src": static("witnessmark/mark.svg"), "sizes": "any", "type": "image/svg+xml"}],
    }
    return HttpResponse(json.dumps(told), content_type="application/manifest+json")


def _open_to(user: User) -> list[Audit]:
    codes = {role.value for role in TEAM}
    own = code_of(user)
    return [row for row in audits_of(user) if row.summary["members"].get(own) in codes]


def _context() -> dict[str, object]:
    return {"captures": CAPTURES.values(), "version": __version__}


@cache
def _worker() -> str:
    addresses = [static(name) for name in _names()]
    source = files("witnessmark.web.floor").joinpath("worker.js").read_text("utf-8")
    page = render_to_string(TEMPLATE, _context())
    version = sha256("\n".join([*addresses, source, page]).encode())[:VERSION_DIGITS]
    told = {"version": version, "page": reverse("floor:shell"), "files": addresses}
    return f"const SHELL = {json.dumps(told)};\n{source}"


def _names() -> list[str]:
    """Static files of the page, by their names before hashing."""
    scripts = sorted((_STATIC / "witnessmark" / "floor").glob("*.*"))
    shared = [_STATIC / "witnessmark" / name for name in ("paper.css", "parts.css", "mark.svg")]
    return [path.relative_to(_STATIC).as_posix() for path in (*shared, *scripts)]
