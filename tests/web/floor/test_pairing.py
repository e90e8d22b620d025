"""A phone is let in once by a code, as the account that showed it, and for the notebook only."""

import re

import pytest


@pytest.fixture
def link(floor):
    """A fresh link as the phone's camera reads it."""

    def show():
        page = floor.client.get("/floor/pair/", headers={"Host": "witnessmark.local"})
        return re.search(r"/floor/enter/[\w-]+/", page.content.decode())[0]

    return show


@pytest.fixture(autouse=True)
def _asked_by_name(web):
    """The server is asked under a name of the network."""
    from django.test import override_settings

    with override_settings(ALLOWED_HOSTS=["witnessmark.local", "testserver"]):
        yield


def test_a_link_opens_once_and_only_by_a_press(link, floor):
    from django.test import Client

    address = link()
    phone, other = Client(), Client()
    assert phone.get(address).status_code == 200
    assert phone.get(f"/floor/{floor.audit}/known").status_code == 302
    assert phone.post(address).status_code == 302
    assert phone.get(f"/floor/{floor.audit}/known").json()["user"] == floor.user
    assert other.post(address).status_code == 410


def test_the_phone_sees_the_notebook_and_nothing_else(link, floor):
    from django.test import Client

    phone = Client()
    phone.post(link())
    assert phone.get("/floor/").status_code == 200
    assert phone.get(f"/floor/{floor.audit}/token").status_code == 200
    for path in ("/", "/account/", "/users/", f"/audit/{floor.audit}/", "/floor/pair/"):
        assert phone.get(path).status_code == 403, path


def test_a_code_runs_out(link, monkeypatch):
    from django.test import Client

    from witnessmark.web.floor import pairing

    monkeypatch.setattr(pairing, "LASTS_S", -1)
    assert Client().post(link()).status_code == 410


def test_where_no_phone_can_come_no_code_is_shown(floor):
    page = floor.client.get("/floor/pair/", headers={"Host": "127.0.0.1:8177"})
    assert page.status_code == 400
    from django.test import override_settings

    with override_settings(ALLOWED_HOSTS=["127.0.0.1"]):
        page = floor.client.get("/floor/pair/", headers={"Host": "127.0.0.1:8177"})
    assert "/floor/enter/" not in page.content.decode()
    assert "--server" in page.content.decode()
