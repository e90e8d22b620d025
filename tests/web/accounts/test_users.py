"""Users: added and switched off by the programme owner, on the page and from the terminal."""

import pytest

from witnessmark.web.accounts.models import User

PASSWORD, PAGES = "rings measured with a plug", ("/users/", "/users/add/")
NEW = {"login_name": "Setter.2", "display_name": "A colleague", "password": PASSWORD}


@pytest.fixture
def guest(visitor):
    made = User.objects.create_user("guest", PASSWORD)
    visitor.force_login(made)
    return made


def test_the_owner_adds_a_user(client):
    assert client.post("/users/add/", NEW).url == "/users/"
    added = User.objects.get(login_name="setter.2")
    assert added.check_password(PASSWORD)
    assert (added.display_name, added.is_programme_owner) == ("A colleague", False)
    assert "A colleague can sign in as setter.2." in client.get("/users/").text


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"login_name": "local"}, "There is a user of this name."),
        ({"login_name": "two words"}, "Use small letters"),
        ({"login_name": "-x"}, "Use small letters"),
        ({"password": "setter.2setter"}, "too similar"),
        ({"display_name": ""}, "This field is required."),
    ],
)
def test_what_cannot_be_is_said_beside_the_field(client, change, said):
    answer = client.post("/users/add/", {**NEW, **change})
    assert answer.status_code == 200
    assert said in answer.text
    assert User.objects.count() == 1


def test_nobody_else_sees_or_adds_users(visitor, guest):
    for page in PAGES:
        assert visitor.get(page).status_code == 403
    assert visitor.post("/users/add/", NEW).status_code == 403
    assert visitor.post(f"/users/{guest.pk}/switch/").status_code == 403
    assert User.objects.count() == 1


def test_off_and_on_again_but_never_oneself(client, user):
    other = User.objects.create_user("other", PASSWORD)
    client.post(f"/users/{other.pk}/switch/")
    other.refresh_from_db()
    assert not other.is_active
    client.post(f"/users/{other.pk}/switch/")
    other.refresh_from_db()
    assert other.is_active
    assert client.post(f"/users/{user.pk}/switch/").status_code == 403


def test_the_own_name_can_be_changed(client, user):
    client.post("/account/", {"display_name": "R.", "change_name": "1"})
    user.refresh_from_db()
    assert user.display_name == "R."
    refused = client.post("/account/", {"display_name": "", "change_name": "1"})
    assert "This field is required." in refused.text


def test_users_from_the_terminal(witnessmark, tmp_path):
    def call(*arguments, text=None):
        return witnessmark("user", *arguments, data=tmp_path / "data", text=text)

    added = call("add", "Owner", "--owner", "--shown", "The owner", text=f"{PASSWORD}\n")
    assert (added.returncode, added.stdout) == (0, "The owner can sign in as owner.\n")
    again = call("add", "owner", text=f"{PASSWORD}\n")
    assert again.returncode == 2
    assert "There is a user of this name." in again.stderr
    weak = call("password", "owner", text="short\n")
    assert (weak.returncode, "too short" in weak.stderr) == (2, True)
    unknown = call("off", "ownr")
    assert "Did you mean owner?" in unknown.stderr
    assert call("off", "owner").returncode == 0
    assert call("list").stdout == "owner\tThe owner\tprogramme owner\tswitched off\n"
