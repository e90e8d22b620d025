"""The app of accounts."""

from django.apps import AppConfig


class AccountsConfig(AppConfig):
    """Accounts and signing in."""

    name = "witnessmark.web.accounts"
    label = "accounts"
