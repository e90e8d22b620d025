"""A user of this installation, and how often signing in failed of late."""

from typing import ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.core.validators import RegexValidator
from django.db import models
from django.utils.crypto import salted_hmac

LOCAL_LOGIN = "local"
_SESSION_SALT = "witnessmark.accounts.session"

login_name_rule = RegexValidator(
    r"^[a-z0-9][a-z0-9._-]*\Z",
    "Use small letters, digits, full stops, hyphens and underscores.",
)


class UserManager(BaseUserManager["User"]):
    """Makes users; a login name is kept in small letters."""

    def create_user(
        self, login_name: str, password: str | None = None, **others: str | bool
    ) -> "User":
        """A new user; without a password they cannot sign in on the sign-in page."""
        user = self.model(login_name=login_name.lower(), **others)
        user.display_name = user.display_name or user.login_name
        user.set_password(password)
        user.full_clean()
        user.save(using=self._db)
        return user

    def local(self) -> "User":
        """The one user of a laptop, made when first asked for."""
        user = self.filter(login_name=LOCAL_LOGIN).first()
        return user or self.create_user(
            LOCAL_LOGIN, display_name="Auditor on this laptop", is_programme_owner=True
        )

    def get_by_natural_key(self, username: str | None) -> "User":
        """The user of a login name, however it was capitalised."""
        return self.get(login_name=(username or "").lower())


class User(AbstractBaseUser):
    """Someone who works with this installation.

    `is_programme_owner` opens the list of users and every audit's administration; all other rights
    are given audit by audit.
    """

    login_name = models.CharField(
        max_length=64,
        unique=True,
        validators=[login_name_rule],
        error_messages={"unique": "There is a user of this name."},
    )
    display_name = models.CharField(max_length=120)
    language = models.CharField(max_length=8, default="en")
    is_programme_owner = models.BooleanField(default=False)
    is_active = models.BooleanField(default=True)
    session_round = models.PositiveIntegerField(default=0)
    created_at = models.DateTimeField(auto_now_add=True)

    objects: ClassVar[UserManager] = UserManager()

    USERNAME_FIELD = "login_name"

    class Meta:
        ordering = ("login_name",)

    def __str__(self) -> str:
        return self.display_name

    def get_full_name(self) -> str:
        """The name that others see."""
        return self.display_name

    def get_short_name(self) -> str:
        """The name that others see."""
        return self.display_name

    def end_sessions(self) -> None:
        """Ends every session of this user, wherever it was begun."""
        self.session_round += 1
        self.save(update_fields=["session_round"])

    def switch_off(self) -> None:
        """Lets the user in no more; what they did stays."""
        self.is_active = False
        self.session_round += 1
        self.save(update_fields=["is_active", "session_round"])

    def switch_on(self) -> None:
        """Lets the user in again, with a new session."""
        self.is_active = True
        self.save(update_fields=["is_active"])

    def _get_session_auth_hash(self, secret: str | bytes | None = None) -> str:
        """What a session must carry: changes with the password and with `end_sessions`."""
        content = f"{self.session_round}:{self.password}"
        return salted_hmac(_SESSION_SALT, content, secret, algorithm="sha256").hexdigest()


class FailedSignIns(models.Model):
    """How often signing in failed for one name or from one address.

    The key is a keyed hash: the table tells nobody who tried from where.
    """

    key = models.CharField(max_length=64, primary_key=True)
    failures = models.PositiveIntegerField(default=0)
    last_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.failures} failures"
