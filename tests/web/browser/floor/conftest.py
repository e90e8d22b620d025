"""A real server process, and phones with a notebook open."""

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from uuid import uuid4

import pytest
from tests.chromium import CHROMIUM, FLAGS

UNSAFE_NAME = "notebook.test"  # a name that leads here and is no secure origin
PATIENCE_MS = 90_000
START_WITHIN_S = 180
ORDER = "die-before-the-next-answer"  # as killed.py waits for it
PHONE = {"width": 390, "height": 844}


@dataclass
class Server:
    """`witnessmark serve`, which can be killed and started again on the same port."""

    folder: Path
    port: int
    process: subprocess.Popen | None = None

    @property
    def address(self):
        return f"http://127.0.0.1:{self.port}"

    def start(self):
        """Starts it and waits for its sign of life."""
        environ = os.environ | {
            "WITNESSMARK_HOSTS": UNSAFE_NAME,
            "DJANGO_SETTINGS_MODULE": "killed",
            "PYTHONPATH": os.pathsep.join(
                [str(Path(__file__).parent), os.environ.get("PYTHONPATH", "")]
            ),
        }
        command = [str(Path(sys.executable).with_name("witnessmark")), "serve", "--data"]
        self.process = subprocess.Popen(
            [*command, str(self.folder), "--port", str(self.port), "--server",
             "--host", "127.0.0.1", "--no-open"],
            env=environ, stdout=subprocess.DEVNULL, start_new_session=True,
        )  # fmt: skip
        try:
            self._wait()
        except BaseException:
            self.kill()
            raise

    def _wait(self):
        until = time.monotonic() + START_WITHIN_S
        while True:
            try:
                with urllib.request.urlopen(f"{self.address}/about/alive/", timeout=5):
                    return
            except OSError:
                assert time.monotonic() < until, "the server did not start"
                assert self.process.poll() is None, "the server ended at its start"
                time.sleep(0.1)

    def kill(self):
        """SIGKILL, the worker too."""
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()

    def order_to_die(self):
        """The next delivery is committed and never answered."""
        (self.folder / ORDER).touch()


@pytest.fixture(scope="session")
def server(web):
    """The server over the folder in which the tests look."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    made = Server(web.path, port)
    made.start()
    yield made
    made.kill()


@pytest.fixture
def up(server):
    """The server, running at the start of the test whatever the last one did to it."""
    if server.process.poll() is not None:
        server.start()
    return server


@dataclass
class Hall:
    """An audit, with an account that leads it."""

    server: Server
    audit: str
    user: object
    faults: list[str] = field(default_factory=list)

    @property
    def notebook(self):
        return f"{self.server.address}/floor/{self.audit}/"

    @property
    def state(self):
        """The audit as this process reads it from the shared database."""
        from witnessmark.web.store.desk import STATES

        return STATES.state(self.audit)

    @property
    def journal(self):
        from witnessmark.web.store.desk import STORE

        return STORE.received(self.audit)

    def act(self, action, **others):
        """An action of the lead."""
        from witnessmark.audit.people import Actor, Role
        from witnessmark.web.store.desk import code_of, desk

        return desk().act(self.audit, Actor(code_of(self.user), Role.LEAD), action, **others)

    def words(self):
        """What was heard, in the order of the journal."""
        from witnessmark.web.store.desk import STORE

        heard = [one.event for one in self.journal if one.event.kind == "statement-heard"]
        return [STORE.reveal(event.body["words"]) for event in heard]

    def sign_in(self, context, address=""):
        """Gives a browser the session of the lead."""
        from django.conf import settings
        from django.test import Client

        client = Client()
        client.force_login(self.user)
        cookie = client.cookies[settings.SESSION_COOKIE_NAME].value
        context.add_cookies(
            [
                {
                    "name": settings.SESSION_COOKIE_NAME,
                    "value": cookie,
                    "url": address or self.server.address,
                }
            ]
        )

    def watch(self, page):
        """Notes what no page may do: break the policy, or fail in its script."""
        page.set_default_timeout(PATIENCE_MS)
        page.on("pageerror", lambda error: self.faults.append(f"error: {error}"))
        page.on("console", self._note)
        page.add_init_script(
            "addEventListener('securitypolicyviolation', (event) =>"
            " console.error('policy: ' + event.violatedDirective + ' ' + event.blockedURI));"
        )

    def _note(self, message):
        text = message.text
        if text.startswith("policy:") or "Content Security Policy" in text:
            self.faults.append(text)

    def open(self, context):
        """The notebook, ready to be used without a network."""
        page = context.new_page()
        self.watch(page)
        page.goto(self.notebook)
        page.locator("body[data-ready=offline]").wait_for()
        page.get_by_role("link", name="Heard").wait_for()
        return page


@pytest.fixture
def hall(up, database):
    """An audit with three machines; at the end no page may have broken its policy."""
    from witnessmark.audit.actions.open_audit import OpenAudit
    from witnessmark.audit.actions.set_scope import SetScope
    from witnessmark.web.accounts.models import User

    made = Hall(up, str(uuid4()), User.objects.create_user("lead", "a long pass phrase"))
    made.act(OpenAudit(title="Turning row 3", process="bar turning", zone="Europe/Berlin"))
    made.act(SetScope(text="row 3", machines=("M1", "M2", "M3"), areas=("row 3", "washing")))
    yield made
    assert not made.faults


@pytest.fixture
def phone(chromium, hall):
    """Makes browsers, each with a store of its own, signed in."""
    made = []

    def new(**options):
        context = chromium.new_context(viewport=PHONE, has_touch=True, **options)
        made.append(context)
        hall.sign_in(context)
        return context

    yield new
    for context in made:
        context.close()


@contextmanager
def restarted(playwright, folder, hall):
    """A browser with a store on disk; leaving ends it."""
    context = playwright.chromium.launch_persistent_context(
        str(folder), executable_path=CHROMIUM, args=FLAGS, viewport=PHONE
    )
    try:
        yield context
    finally:
        context.close()
