"""Signing in on a server: with limits that hold for names and addresses, and sessions that end."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from django.conf import settings
from django.contrib.sessions.models import Session
from django.db import connections
from django.test import Client
from django.utils import timezone

from witnessmark.web.accounts.limits import BY_ADDRESS, BY_NAME, count_attempt, forget_old
from witnessmark.web.accounts.models import FailedSignIns, User

PASSWORD, WRONG = "bar ends in the wrong bin", "no"

pytestmark = pytest.mark.usefixtures("as_server")


@pytest.fixture
def auditor(database):
    return User.objects.create_user("auditor", PASSWORD, display_name="An auditor")


class Clock:
    """A clock that stands until it is moved."""

    def __init__(self):
        self.at = timezone.now()

    def now(self):
        return self.at

    def pass_by(self, seconds):
        self.at += timedelta(seconds=seconds)


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    made = Clock()
    monkeypatch.setattr("witnessmark.web.accounts.limits.timezone", made)
    return made


def sign_in(browser, name="auditor", password=PASSWORD, address="192.0.2.1", **others):
    form = {"login_name": name, "password": password, **others}
    return browser.post("/sign-in/", form, REMOTE_ADDR=address)


def test_name_and_password_open_a_session(visitor, auditor):
    assert sign_in(visitor).url == "/"
    assert visitor.get("/").context["user"] == auditor
    cookie = visitor.cookies[settings.SESSION_COOKIE_NAME]
    assert (cookie["httponly"], cookie["samesite"]) == (True, "Lax")
    assert 43190 <= int(cookie["max-age"]) <= 43200


def test_the_name_may_be_written_in_capitals(visitor, auditor):
    assert sign_in(visitor, "AUDITOR").status_code == 302


def test_the_password_is_kept_by_argon2(auditor):
    assert auditor.password.startswith("argon2$argon2id$")


def test_a_wrong_password_and_an_unknown_name_get_the_same_answer(visitor, auditor):
    wrong, unknown = sign_in(visitor, password=WRONG), sign_in(visitor, "nobody")
    assert wrong.status_code == unknown.status_code == 200
    said = "do not belong together"
    assert said in wrong.text
    assert said in unknown.text
    assert visitor.get("/").status_code == 302


def test_after_five_failures_a_name_waits_even_with_the_right_password(visitor, auditor, clock):
    for number in range(5):
        assert sign_in(visitor, password=WRONG, address=f"192.0.2.{number}").status_code == 200
    refused = sign_in(visitor, address="192.0.2.99")
    assert refused.status_code == 429
    assert "The next attempt is answered in 1 s" in refused.text
    assert refused.headers["Retry-After"] == "1"
    assert FailedSignIns.objects.get(key=BY_NAME.key("auditor")).failures == 5
    clock.pass_by(1)
    assert sign_in(visitor, address="192.0.2.99").status_code == 302


def test_the_delay_doubles_and_has_an_end():
    delays = [BY_NAME.delay(failures).total_seconds() for failures in (4, 5, 6, 7, 14, 15, 400)]
    assert delays == [0, 1, 2, 4, 512, 900, 900]
    assert BY_ADDRESS.delay(19) == timedelta()
    assert BY_ADDRESS.delay(10_000) == timedelta(hours=1)


def test_a_name_is_counted_however_it_is_written(visitor, auditor):
    for name in ("auditor", "Auditor", "AUDITOR", "aUditor", "auDitor"):
        assert not count_attempt(name, "192.0.2.7")
    assert sign_in(visitor).status_code == 429


def test_an_address_waits_though_every_name_is_another(visitor, auditor):
    for number in range(20):
        assert not count_attempt(f"name{number}", "192.0.2.1")
    assert sign_in(visitor).status_code == 429
    assert sign_in(Client(), address="192.0.2.2").status_code == 302


def test_many_at_once_are_no_way_round(database):
    def attempt(number):
        try:
            return count_attempt("auditor", f"192.0.2.{number}") == timedelta()
        finally:
            connections.close_all()

    with ThreadPoolExecutor(8) as pool:
        let_through = sum(pool.map(attempt, range(24)))
    assert let_through == 5


def test_success_clears_the_name_but_not_the_address(visitor, auditor):
    for _ in range(4):
        assert not count_attempt("auditor", "192.0.2.1")
    assert sign_in(visitor).status_code == 302
    assert not FailedSignIns.objects.filter(key=BY_NAME.key("auditor")).exists()
    assert FailedSignIns.objects.get(key=BY_ADDRESS.key("192.0.2.1")).failures == 4


def test_what_is_counted_names_nobody_and_is_forgotten_after_a_day(visitor, auditor, clock):
    sign_in(visitor, password=WRONG)
    kept = " ".join(FailedSignIns.objects.values_list("key", flat=True))
    assert "auditor" not in kept
    assert "192.0.2" not in kept
    clock.pass_by(24 * 60 * 60 + 1)
    forget_old()
    assert not FailedSignIns.objects.exists()


@pytest.mark.parametrize(
    ("wanted", "goes_to"),
    [
        ("/account/", "/account/"),
        ("https://attacker.example/", "/"),
        ("//attacker.example/", "/"),
        ("javascript:alert(1)", "/"),
    ],
)
def test_one_lands_where_one_wanted_but_never_elsewhere(visitor, auditor, wanted, goes_to):
    assert sign_in(visitor, next=wanted).url == goes_to


def test_the_session_key_changes_at_signing_in(visitor, auditor):
    session = visitor.session
    session["before"] = "x"
    session.save()
    before = visitor.cookies[settings.SESSION_COOKIE_NAME].value
    sign_in(visitor)
    assert visitor.cookies[settings.SESSION_COOKIE_NAME].value != before
    assert not Session.objects.filter(session_key=before).exists()


def test_a_session_ends_twelve_hours_after_signing_in_though_it_is_used(visitor, auditor):
    sign_in(visitor)
    session = Session.objects.get()
    ends_at = session.expire_date
    visitor.post("/account/", {"display_name": "R.", "change_name": "1"})  # leaves a message in it
    session.refresh_from_db()
    assert session.expire_date == ends_at
    session.expire_date = timezone.now() - timedelta(seconds=1)
    session.save()
    assert visitor.get("/account/").status_code == 302


def test_a_new_password_ends_all_other_sessions(visitor, auditor):
    other = Client()
    sign_in(visitor)
    sign_in(other)
    new = "coil changed at ten past nine"
    answer = visitor.post("/account/", {"present": PASSWORD, "new": new})
    assert answer.url == "/account/"
    assert visitor.get("/account/").status_code == 200
    assert other.get("/account/").status_code == 302
    auditor.refresh_from_db()
    assert auditor.check_password(new)


def test_switching_off_ends_sessions_for_good(visitor, auditor):
    sign_in(visitor)
    auditor.switch_off()
    assert visitor.get("/").status_code == 302
    assert sign_in(Client()).status_code == 200
    auditor.switch_on()
    assert visitor.get("/").status_code == 302
    assert sign_in(Client()).status_code == 302


def test_signing_out_ends_the_session_and_is_no_link(visitor, auditor):
    sign_in(visitor)
    assert visitor.get("/sign-out/").status_code == 405
    key = visitor.cookies[settings.SESSION_COOKIE_NAME].value
    assert visitor.post("/sign-out/").url == "/sign-in/"
    assert not Session.objects.filter(session_key=key).exists()
    assert visitor.get("/").status_code == 302


def test_a_form_without_its_token_changes_nothing(auditor):
    strict = Client(enforce_csrf_checks=True)
    answer = sign_in(strict)
    assert answer.status_code == 403
    assert "Nothing was changed" in answer.text
    page = strict.get("/sign-in/")
    token = page.context["csrf_token"]
    assert sign_in(strict, csrfmiddlewaretoken=str(token)).status_code == 302
    # htmx sends the token of the meta tag as a header
    name = {"display_name": "Another", "change_name": "1"}
    assert strict.post("/account/", name).status_code == 403
    token = str(strict.get("/account/").context["csrf_token"])
    assert strict.post("/account/", name, headers={"X-CSRFToken": token}).status_code == 302


@pytest.mark.parametrize(
    "password",
    ["short", "123456789012345", "password12345", "an auditor 12", PASSWORD],
)
def test_a_weak_or_the_same_password_is_refused(visitor, auditor, password):
    sign_in(visitor)
    answer = visitor.post("/account/", {"present": PASSWORD, "new": password})
    assert answer.status_code == 200
    assert 'aria-invalid="true"' in answer.text
    auditor.refresh_from_db()
    assert auditor.check_password(PASSWORD)


def test_a_script_and_htmx_are_told_in_their_way_to_sign_in(visitor):
    asked = visitor.get("/account/", headers={"Accept": "application/json"})
    assert (asked.status_code, asked.json()) == (401, {"error": "Sign in first."})
    asked = visitor.get("/account/", headers={"HX-Request": "true"})
    assert (asked.status_code, asked.headers["HX-Redirect"]) == (401, "/sign-in/")
