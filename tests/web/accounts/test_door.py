"""The laptop's one-time token."""

import stat
from concurrent.futures import ThreadPoolExecutor

import pytest

from witnessmark.web.accounts.door import close, new_token, use_token
from witnessmark.web.data_folder import DataFolder


@pytest.fixture
def folder(tmp_path):
    made = DataFolder(tmp_path / "data")
    made.make()
    return made


def test_a_token_opens_once(folder):
    token = new_token(folder)
    assert len(token) >= 43  # 32 random bytes
    assert [use_token(folder, token) for _ in range(2)] == [True, False]


def test_a_wrong_token_opens_nothing_and_uses_nothing_up(folder):
    token = new_token(folder)
    assert not use_token(folder, "")
    assert not use_token(folder, token[:-1])
    assert not use_token(folder, token + "é")
    assert use_token(folder, token)


def test_of_many_at_once_one_comes_in(folder):
    token = new_token(folder)
    with ThreadPoolExecutor(16) as pool:
        opened = list(pool.map(lambda _: use_token(folder, token), range(64)))
    assert opened.count(True) == 1


def test_a_newer_token_closes_the_older_and_the_end_closes_all(folder):
    older, newer = new_token(folder), new_token(folder)
    assert not use_token(folder, older)
    close(folder)
    assert not use_token(folder, newer)


def test_what_is_kept_is_no_token_and_for_the_owner_alone(folder):
    token = new_token(folder)
    place = folder.keys / "door"
    assert token.encode() not in place.read_bytes()
    assert stat.S_IMODE(place.stat().st_mode) == 0o600


def test_coming_in_makes_a_new_session_and_leaves_no_token_behind(visitor, web):
    visitor.get("/sign-in/")
    answer = visitor.get("/enter/", {"token": new_token(web)})
    assert (answer.status_code, answer.url) == (302, "/")
    page = visitor.get("/")
    assert page.status_code == 200
    assert page.context["user"].login_name == "local"
    assert page.context["user"].is_programme_owner


def test_a_closed_door_says_how_it_opens(visitor):
    answer = visitor.get("/enter/", {"token": "wrong"})
    assert answer.status_code == 403
    assert "witnessmark serve" in answer.text
    redirected = visitor.get("/account/")
    assert redirected.url == "/sign-in/?next=/account/"
    assert visitor.get(redirected.url).status_code == 403


def test_on_a_server_no_token_opens(visitor, web, as_server):
    assert visitor.get("/enter/", {"token": new_token(web)}).status_code == 403
    assert visitor.get("/account/").status_code == 302
