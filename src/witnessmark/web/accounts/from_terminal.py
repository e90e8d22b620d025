"""Changes to users by whoever runs the installation, with refusals in words."""

from difflib import get_close_matches

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from witnessmark.errors import Fault, UnusableInputError, Where
from witnessmark.web.accounts.models import User


def add_user(name: str, shown: str, owner: bool, password: str) -> User:
    """A new user.

    Raises:
        UnusableInputError: The name is taken or no name; the password breaks the rules.
    """
    _keep_rules(password, User(login_name=name.lower(), display_name=shown or name))
    try:
        return User.objects.create_user(
            name, password, display_name=shown, is_programme_owner=owner
        )
    except ValidationError as error:
        raise _refusal(f'user "{name}"', error) from error


def find_user(name: str) -> User:
    """The user of a login name.

    Raises:
        UnusableInputError: There is none; names those that are near.
    """
    user = User.objects.filter(login_name=name.lower()).first()
    if user is None:
        near = get_close_matches(name.lower(), User.objects.values_list("login_name", flat=True))
        mend = f"Did you mean {', '.join(near)}?" if near else "See `witnessmark user list`."
        raise UnusableInputError.one(Where(f'user "{name}"'), "there is no such user.", mend=mend)
    return user


def set_password(user: User, password: str) -> None:
    """A new password; all sessions of the user end.

    Raises:
        UnusableInputError: It breaks the rules.
    """
    _keep_rules(password, user)
    user.set_password(password)
    user.save(update_fields=["password"])


def _keep_rules(password: str, user: User) -> None:
    try:
        validate_password(password, user)
    except ValidationError as error:
        raise _refusal("password", error) from error


def _refusal(where: str, error: ValidationError) -> UnusableInputError:
    return UnusableInputError([Fault(Where(where), message) for message in error.messages])
