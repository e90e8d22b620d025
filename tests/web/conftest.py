"""Fixtures of the web application: Django set up once, an empty database for every test.

`web` sets Django up in a fresh data folder, once per session. A test that touches the database
asks for `database` (or for `client` or `visitor`, which do); its tables are emptied afterwards.
`live` starts the real server in a process of its own.
"""

import os

import pytest

from witnessmark.web.data_folder import DataFolder


@pytest.fixture(scope="session")
def web(tmp_path_factory) -> DataFolder:
    """Django, set up once for a data folder of its own, tables and static files made."""
    os.environ["WITNESSMARK_WORKSHOP"] = "1"
    from witnessmark.web.start import prepare, set_up

    folder = set_up(tmp_path_factory.mktemp("data") / "folder")
    from django.test.utils import setup_test_environment

    prepare()
    setup_test_environment()
    return folder


@pytest.fixture
def database(web):
    """The database, empty; and emptied again after the test."""
    from django.core.management.color import no_style
    from django.db import connection, connections

    yield connection
    tables = connection.introspection.django_table_names(only_existing=True)
    statements = connection.ops.sql_flush(no_style(), tables, reset_sequences=True)
    connection.ops.execute_sql_flush(statements)
    connections.close_all()


@pytest.fixture
def visitor(database):
    """A browser without a session."""
    from django.test import Client

    return Client()


@pytest.fixture
def user(database):
    """The one user of a laptop."""
    from witnessmark.web.accounts.models import User

    return User.objects.local()


@pytest.fixture
def client(visitor, user):
    """A browser in which the laptop's user has come in."""
    visitor.force_login(user)
    return visitor
