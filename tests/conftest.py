"""One Chromium for all browser tests of a process; two Playwrights in one would clash."""

import os

import pytest
import scipy.stats  # noqa: F401 - loaded lazily by the tool; in a timed property it would count
from playwright.sync_api import sync_playwright
from tests.chromium import CHROMIUM, FLAGS


@pytest.fixture(scope="session")
def playwright():
    """Started once; its loop runs in this thread."""
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def chromium(playwright):
    """The browser."""
    browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
    yield browser
    browser.close()
