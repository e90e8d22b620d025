"""Whether the application stands: it is started, asked for its pages once, and ended."""

import re
import subprocess
import sys
import time
from http.cookiejar import CookieJar
from pathlib import Path
from urllib.error import URLError
from urllib.request import HTTPCookieProcessor, OpenerDirector, build_opener

from witnessmark.errors import WitnessmarkError

ADDRESS = re.compile(r"http://127\.0\.0\.1:\d+/\S*")
AUDIT = re.compile(r'href="(/audit/[0-9a-f-]{36}/)"')
TITLE = re.compile(r"<title>(.*?) · ")
ENDS_WITHIN_S = 20
STARTS_WITHIN_S = 60


class DoesNotStandError(WitnessmarkError):
    """The application does not answer as it should."""


def look_at(data: Path) -> str:
    """Serves a data folder, opens its first audit as a browser would, and ends it again.

    Returns:
        A sentence that says which pages answered.

    Raises:
        DoesNotStandError: It did not start, or a page was not there.
    """
    command = [sys.executable, "-m", "witnessmark", "serve", "--data", str(data), "--port", "0"]
    with subprocess.Popen(  # noqa: S603 - our own command
        [*command, "--no-open"], stdout=subprocess.PIPE, text=True
    ) as server:
        try:
            return _look(server)
        finally:
            server.terminate()
            server.wait(ENDS_WITHIN_S)


def _look(server: "subprocess.Popen[str]") -> str:
    door = next((found for line in server.stdout or () if (found := ADDRESS.search(line))), None)
    if door is None:
        raise DoesNotStandError("The application did not start; its reason stands above.")
    browser = build_opener(HTTPCookieProcessor(CookieJar()))
    base = door.group().split("/enter/")[0]
    _wait_for(browser, f"{base}/about/alive/")
    home = _page(browser, door.group())
    audits = list(dict.fromkeys(AUDIT.findall(home)))
    titles = [TITLE.search(_page(browser, base + path)) for path in audits]
    if not audits or not all(titles):
        raise DoesNotStandError("The application started, but shows no audit.")
    named = ", ".join(title.group(1) for title in titles if title)
    return f"The application stands with {len(audits)} audits: {named}."


def _wait_for(browser: OpenerDirector, address: str) -> None:
    """Until the worker listens: the address is printed a moment before."""
    until = time.monotonic() + STARTS_WITHIN_S
    while True:
        try:
            _page(browser, address)
        except URLError as error:
            if time.monotonic() > until:
                raise DoesNotStandError("The application does not answer.") from error
            time.sleep(0.2)
        else:
            return


def _page(browser: OpenerDirector, address: str) -> str:
    with browser.open(address, timeout=ENDS_WITHIN_S) as answer:
        return str(answer.read().decode())
