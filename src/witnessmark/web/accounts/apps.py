"""The app of accounts."""

from datetime import timedelta
from typing import Any

from django.apps import AppConfig
from django.conf import settings
from django.contrib.auth.signals import user_logged_in
from django.http import HttpRequest
from django.utils import timezone


class AccountsConfig(AppConfig):
    """Accounts and signing in."""

    name = "witnessmark.web.accounts"
    label = "accounts"

    def ready(self) -> None:
        """Lets every session end at a fixed time."""
        user_logged_in.connect(_fix_the_end)


def _fix_the_end(request: HttpRequest, **_: Any) -> None:
    """A session ends so long after signing in; whatever changes in it meanwhile."""
    age = timedelta(seconds=settings.SESSION_COOKIE_AGE)
    request.session.set_expiry(timezone.now() + age)
