"""Fixtures of the web application: Django set up once, an empty database for every test.

Django is set up when this file is read, in a fresh data folder, so that tests may import models;
`web` is that folder, its tables and static files made. A test that touches the database asks for
`database` (or for `client`, `visitor`, `user`, which do); its tables are emptied afterwards.
`live` is the real server in a process of its own, with a data folder of its own; `serve` starts
further ones. `postgres_url` is a database on a private server. With WITNESSMARK_DATABASE set,
everything in this process runs on that database instead of SQLite.
"""

import os
import sys
import tempfile
from dataclasses import replace
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.auth import get_user_model
from django.core.management.color import no_style
from django.db import connection, connections
from django.test import Client, override_settings
from django.test.utils import setup_test_environment
from tests.web.live import command, start_server
from tests.web.private_postgresql import NoPostgresqlError, new_database, private_server

from witnessmark.web.start import prepare, set_up

KINDS = Path(__file__).parent / "jobs"
TEST_ENVIRONMENT = {
    "WITNESSMARK_WORKSHOP": "1",
    "WITNESSMARK_JOB_KINDS": "kinds_for_tests",
    "PYTHONPATH": str(KINDS),
}


os.environ.update(TEST_ENVIRONMENT)
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # a server starts several times here
sys.path.insert(0, str(KINDS))
_PLACE = tempfile.TemporaryDirectory(prefix="wm-web-", ignore_cleanup_errors=True)
(Path(_PLACE.name) / "witnessmark.toml").write_text("jobs_at_once = 1\n")
FOLDER = set_up(Path(_PLACE.name))


@pytest.fixture(scope="session")
def web():
    """The data folder of this process; tables and static files made."""
    prepare()
    setup_test_environment()
    yield FOLDER
    _PLACE.cleanup()


@pytest.fixture
def database(web):
    """The database, empty; and emptied again after the test."""
    yield connection
    tables = connection.introspection.django_table_names(only_existing=True)
    statements = connection.ops.sql_flush(no_style(), tables, reset_sequences=True)
    connection.ops.execute_sql_flush(statements)
    connections.close_all()


@pytest.fixture
def visitor(database):
    """A browser without a session."""
    return Client()


@pytest.fixture
def user(database):
    """The one user of a laptop, who is the programme owner."""
    return get_user_model().objects.local()


@pytest.fixture
def client(visitor, user):
    """A browser in which the laptop's user has come in."""
    visitor.force_login(user)
    return visitor


@pytest.fixture
def as_server(web):
    """The application as a server with accounts, for the length of a test."""
    with override_settings(CONFIG=replace(settings.CONFIG, mode="server")):
        yield


@pytest.fixture
def witnessmark():
    """Runs a command of the tool: witnessmark("user", "list", data=folder)."""
    return command


@pytest.fixture
def serve():
    """Starts real servers, serve(folder, *arguments, **environment), and ends them afterwards."""
    servers = []

    def start(data, *arguments, **environ):
        servers.append(start_server(data, *arguments, **environ))
        return servers[-1]

    yield start
    for server in servers:
        if server.process.poll() is None:
            server.stop()


@pytest.fixture(scope="module")
def live(tmp_path_factory):
    """One real server for all tests of a module, in laptop mode, with a fresh data folder."""
    server = start_server(tmp_path_factory.mktemp("live") / "folder")
    yield server
    if server.process.poll() is None:
        server.stop()


@pytest.fixture
def live_server_url(live):
    """The address of `live`, with its slash."""
    return live.url


@pytest.fixture(scope="session")
def postgres_folder():
    """A private PostgreSQL server that listens on a socket in this folder alone."""
    try:
        with private_server() as folder:
            yield folder
    except NoPostgresqlError as missing:
        pytest.skip(str(missing))


@pytest.fixture
def postgres_url(postgres_folder):
    """The address of a new, empty database."""
    return new_database(postgres_folder)


@pytest.fixture
def another_postgres_url(postgres_folder):
    """The address of another one."""
    return new_database(postgres_folder)
