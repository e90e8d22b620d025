"""How much one request may bring."""

import pytest
from django.contrib.auth.models import AnonymousUser
from django.http import HttpResponse
from django.test import RequestFactory

from witnessmark.web.security.uploads import UploadLimitMiddleware, upload_limit

MEGABYTE = 1024 * 1024


def plain(request):
    return HttpResponse()


@upload_limit(64)
def generous(request):
    return HttpResponse()


@pytest.mark.parametrize(
    ("view", "length", "status"),
    [
        (plain, 25 * MEGABYTE, None),
        (plain, 25 * MEGABYTE + 1, 413),
        (generous, 64 * MEGABYTE, None),
        (generous, 64 * MEGABYTE + 1, 413),
        (plain, "no number", None),
    ],
)
def test_the_limit_is_the_views_own_or_the_general_one(web, view, length, status):
    body = b"x" * length if isinstance(length, int) else b""
    request = RequestFactory().post("/", body, "application/octet-stream", CONTENT_LENGTH=length)
    request.user = AnonymousUser()
    answer = UploadLimitMiddleware(plain).process_view(request, view, (), {})
    assert (answer and answer.status_code) == status


def test_a_form_larger_than_forms_may_be_is_refused_as_too_large(client):
    answer = client.post("/account/", {"display_name": "x" * (5 * MEGABYTE), "change_name": "1"})
    assert answer.status_code == 413
    assert "This is too large" in answer.text
