"""What holds for every page: headers, and neither style nor script inside it."""

import re
from html.parser import HTMLParser

import pytest
from django.contrib.auth.models import AnonymousUser
from django.test import RequestFactory
from django.urls import URLResolver, get_resolver

from witnessmark.errors import UnusableInputError, Where
from witnessmark.web.pages.refusals import REFUSALS, RefusalMiddleware, refuse
from witnessmark.web.security.headers import policy

PLACE = re.compile(r"<(?:(\w+):)?\w+>")
VALUES = {"int": "1", "uuid": "00000000-0000-0000-0000-000000000000"}


def addresses(resolver, before="/"):
    """One address for every pattern that the application knows."""
    for one in resolver.url_patterns:
        route = before + PLACE.sub(lambda place: VALUES.get(place[1], "x"), str(one.pattern))
        if isinstance(one, URLResolver):
            yield from addresses(one, route)
        else:
            yield route


OPEN = {
    "/about/alive/",
    "/about/phone/",
    "/floor/shell/",  # the empty notebook, which a phone keeps for the hall
    "/floor/worker.js",
    "/floor/notebook.webmanifest",
    "/floor/enter/x/",  # the form in which a phone hands in its code
}


class Inside(HTMLParser):
    """Finds what the policy forbids."""

    def __init__(self):
        super().__init__()
        self.found = []

    def handle_starttag(self, tag, attributes):
        given = dict(attributes)
        if tag == "style" or (tag == "script" and "src" not in given):
            self.found.append(tag)
        self.found += [f"{tag} {name}" for name in given if name == "style" or name[:2] == "on"]
        self.found += [value for value in given.values() if (value or "")[:11] == "javascript:"]


def forbidden(text):
    reader = Inside()
    reader.feed(text)
    return reader.found


def test_every_answer_carries_its_headers_and_no_inline_style_or_script(client, user):
    seen = list(addresses(get_resolver()))
    assert len(seen) > 12
    for address in seen:
        client.force_login(user)  # one of the addresses signs out
        for answer in (client.get(address), client.post(address)):
            where = (address, answer.status_code)
            assert "default-src 'none'" in answer.headers["Content-Security-Policy"], where
            assert "unsafe" not in answer.headers["Content-Security-Policy"], where
            assert answer.headers["X-Content-Type-Options"] == "nosniff", where
            assert answer.headers["Referrer-Policy"] == "same-origin", where
            assert answer.headers["Cross-Origin-Opener-Policy"] == "same-origin", where
            assert "camera=(self)" in answer.headers["Permissions-Policy"], where
            assert answer.status_code < 500, where
            if answer.headers.get("Content-Type", "").startswith("text/html"):
                assert not forbidden(answer.text), where


def test_nobody_sees_a_page_without_signing_in_but_those_that_hold_nothing(visitor):
    answers = {address: visitor.get(address) for address in addresses(get_resolver())}
    assert {address for address, answer in answers.items() if answer.status_code == 200} <= OPEN
    for address, answer in answers.items():
        if answer.status_code == 302:
            assert answer.url.startswith("/sign-in/?next="), address
        else:
            assert address in OPEN or answer.status_code in {403, 404, 405}, address


def test_the_policy_is_written_as_django_6_reads_it():
    said = policy({"default-src": ["'self'", "blob:"], "sandbox": True, "img-src": [], "x": None})
    assert said == "default-src 'self' blob:; sandbox"


def test_a_page_of_ones_own_is_not_kept(client):
    assert "no-store" in client.get("/").headers["Cache-Control"]


@pytest.mark.parametrize("status", [400, 403, 404, 413, 422, 429, 500])
def test_a_refusal_says_what_and_what_to_do_in_page_and_fragment(web, status):
    ask = RequestFactory().get
    page = refuse(_by_nobody(ask("/x/")), status, "Exactly this.")
    by_htmx = _by_nobody(ask("/x/", headers={"HX-Request": "true"}))
    fragment = refuse(by_htmx, status, "Exactly this.")
    for answer in (page, fragment):
        text = answer.content.decode()
        assert answer.status_code == status
        assert REFUSALS[status].title in text
        assert "Exactly this." in text
    assert "<html" in page.content.decode()
    assert "<html" not in fragment.content.decode()


def test_a_refusal_of_the_tool_is_a_page_with_its_words(web):
    refusal = UnusableInputError.one(Where("setups.xlsx"), "this is no workbook.", mend="Save it.")
    middleware = RefusalMiddleware(lambda _: None)
    request = _by_nobody(RequestFactory().get("/x/"))
    answer = middleware.process_exception(request, refusal)
    assert answer.status_code == 422
    assert "setups.xlsx: this is no workbook. Save it." in answer.content.decode()
    assert middleware.process_exception(request, ValueError("a fault of ours")) is None


def _by_nobody(request):
    request.user = AnonymousUser()
    return request
