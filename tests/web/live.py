"""The tool as a user has it: commands, a real server, and a plain browser that visits it."""

import http.cookiejar
import os
import re
import signal
import ssl
import subprocess
import sys
import time
import urllib.error
import urllib.parse
import urllib.request
from dataclasses import dataclass, field
from pathlib import Path

from witnessmark.web.accounts.door import new_token
from witnessmark.web.data_folder import DataFolder

WITNESSMARK = Path(sys.executable).parent / "witnessmark"
START_WITHIN_S = 150


def command(*arguments, data=None, text=None, **environ):
    """Runs a command of the tool as a user does, on a data folder."""
    said = {"WITNESSMARK_DATA": str(data)} if data else {}
    return subprocess.run(
        [WITNESSMARK, *map(str, arguments)],
        capture_output=True,
        text=True,
        input=text,
        check=False,
        env={**os.environ, **said, **environ},
    )


@dataclass
class Answer:
    """What a server answered."""

    status: int
    url: str
    text: str
    headers: dict[str, str]


@dataclass
class Visit:
    """A plain browser over real connections: keeps cookies, sends forms with their token."""

    url: str
    context: object = None
    jar: http.cookiejar.CookieJar = field(default_factory=http.cookiejar.CookieJar)
    headers: dict[str, str] = field(default_factory=dict)

    def _call(self, path, data=None):
        address = urllib.parse.urljoin(self.url, path)
        request = urllib.request.Request(address, data, self.headers)
        if data is not None:
            request.add_header("Referer", self.url)
        opener = urllib.request.build_opener(
            urllib.request.HTTPCookieProcessor(self.jar),
            urllib.request.HTTPSHandler(context=self.context),
        )
        try:
            with opener.open(request, timeout=60) as answer:
                return Answer(
                    answer.status, answer.url, answer.read().decode(), dict(answer.headers)
                )
        except urllib.error.HTTPError as error:
            with error:
                return Answer(error.code, error.url, error.read().decode(), dict(error.headers))

    def get(self, path):
        return self._call(path)

    def post(self, path, form, page=None):
        """Sends a form with the token of the page that it stands on."""
        token = re.search(r'name="csrf-token" content="([^"]+)"', self.get(page or path).text)
        form = {**form, "csrfmiddlewaretoken": token[1]}
        return self._call(path, urllib.parse.urlencode(form).encode())


@dataclass
class LiveServer:
    """A real server: its address, its data folder, its process."""

    url: str
    data: DataFolder
    process: subprocess.Popen

    def door(self):
        """A fresh address that opens the application once, as a second `serve` prints it."""
        return f"{self.url}enter/?token={new_token(self.data)}"

    def visit(self, context=None):
        """A browser that has come in."""
        visit = Visit(self.url, context)
        assert visit.get(self.door()).status == 200
        return visit

    def stop(self, how=signal.SIGTERM, *, as_terminal=False):
        """Ends the server, by its process or as a terminal does, and says how it ended."""
        (os.killpg if as_terminal else os.kill)(self.process.pid, how)
        self.process.stdout.read()
        self.process.stdout.close()
        return self.process.wait(timeout=90)


def start_server(data, *arguments, **environ):
    """Starts `witnessmark serve` on a free port and waits until it answers."""
    process = subprocess.Popen(
        [WITNESSMARK, "serve", "--data", data, "--port", "0", "--no-open", *arguments],
        stdout=subprocess.PIPE,
        text=True,
        start_new_session=True,  # as a terminal does: a key reaches the whole group
        env={**os.environ, **environ},
    )
    said = process.stdout.readline()
    found = re.search(r"(https?://[^/]+/)", said)
    assert found, f"the server said {said!r} and ended with {process.poll()}"
    process.stdout.readline()
    server = LiveServer(found[1], DataFolder(Path(data)), process)
    try:
        _wait_for(server.url)
    except BaseException:
        server.stop(signal.SIGKILL)
        raise
    return server


def _wait_for(url):
    blind = ssl._create_unverified_context()  # noqa: S323 - only asks for a sign of life
    until = time.monotonic() + START_WITHIN_S
    while time.monotonic() < until:
        try:
            with urllib.request.urlopen(f"{url}about/alive/", timeout=5, context=blind):
                return
        except OSError:
            time.sleep(0.1)
    raise AssertionError(f"{url} does not answer")
