"""One Chromium, and the application in this process over the database of the test.

Tests below `floor` have a server of their own, since they kill it.
"""

import socketserver
import threading
from dataclasses import dataclass, field
from pathlib import Path
from wsgiref.simple_server import WSGIRequestHandler, WSGIServer, make_server

import pytest
from django.conf import settings
from django.core.wsgi import get_wsgi_application
from django.db import connections
from django.test import Client
from tests.chromium import CHROMIUM

PATIENCE_MS = 90_000
SIZE = {"width": 1440, "height": 900}
POLICY = """addEventListener('securitypolicyviolation', (event) =>
  console.error('policy: ' + event.violatedDirective + ' ' + event.blockedURI));"""


def pytest_collection_modifyitems(items):
    """Says why nothing runs where there is no Chromium."""
    for item in items:
        if Path(__file__).parent in Path(item.fspath).parents:
            item.add_marker(pytest.mark.browser)
            if CHROMIUM is None:
                item.add_marker(pytest.mark.skip(reason="no Chromium is installed here"))


class _Threads(socketserver.ThreadingMixIn, WSGIServer):
    daemon_threads = True


class _Quiet(WSGIRequestHandler):
    def log_message(self, *_):
        """Nothing: what fails is asserted."""

    def finish(self):
        super().finish()
        connections.close_all()


@pytest.fixture(scope="session")
def address(web):
    """Where the application answers, in a thread of this process."""
    application = get_wsgi_application()  # only now are its style sheets collected
    server = make_server("127.0.0.1", 0, application, _Threads, _Quiet)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    server.server_close()
    thread.join()


@dataclass
class Desks:
    """Opens browsers in which somebody has come in, and notes what no page may do."""

    address: str
    chromium: object
    faults: list[str] = field(default_factory=list)
    contexts: list[object] = field(default_factory=list)

    def open(self, user, **others):
        """A page of a browser of its own."""
        context = self.chromium.new_context(**({"viewport": SIZE} | others))
        self.contexts.append(context)
        client = Client()
        client.force_login(user)
        cookie = client.cookies[settings.SESSION_COOKIE_NAME].value
        context.add_cookies(
            [{"name": settings.SESSION_COOKIE_NAME, "value": cookie, "url": self.address}]
        )
        page = context.new_page()
        page.set_default_timeout(PATIENCE_MS)
        page.on("pageerror", lambda error: self.faults.append(f"error: {error}"))
        page.on("console", self._note)
        page.add_init_script(POLICY)
        return page

    def _note(self, message):
        text = message.text
        if text.startswith("policy:") or "Content Security Policy" in text:
            self.faults.append(text)


@pytest.fixture
def desks(address, chromium, database):
    """Browsers; at the end no page may have broken its policy or failed in its script."""
    made = Desks(address, chromium)
    yield made
    for context in made.contexts:
        context.close()
    assert not made.faults
