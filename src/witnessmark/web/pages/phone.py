"""How a phone in the local network comes to this server and learns to trust it."""

import segno
from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe

from witnessmark.web.serving.certificates import own_root
from witnessmark.web.serving.server import running

FILE = "witnessmark-root.crt"


@require_safe
@login_not_required
def phone(request: HttpRequest) -> HttpResponse:
    """The address as a code to be read by a camera, and how to install the root certificate.

    Without signing in, as it is read before the phone trusts the server; it holds nothing of an
    audit.
    """
    config = settings.CONFIG
    served = running(config.data) if config.tls in {"auto", "own"} else None
    address = served.address if served else request.build_absolute_uri("/")
    code = segno.make(address, micro=False).svg_inline(
        border=2, dark="#000", light="#fff", omitsize=True
    )
    context = {
        "address": address,
        "code": mark_safe(code),  # noqa: S308 - drawn by segno from numbers
        "tls": config.tls,
        "fingerprint": own_root(config.data).fingerprint if config.tls == "auto" else "",
    }
    return render(request, "pages/phone.html", context)


@require_safe
@login_not_required
def root(request: HttpRequest) -> HttpResponse:
    """The own root certificate, as phones install it."""
    config = settings.CONFIG
    if config.tls != "auto":
        raise Http404
    content = own_root(config.data).der
    answer = HttpResponse(content, content_type="application/x-x509-ca-cert")
    answer.headers["Content-Disposition"] = f'attachment; filename="{FILE}"'
    return answer
