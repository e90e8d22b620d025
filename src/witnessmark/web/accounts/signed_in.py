"""Who is behind a request."""

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest

from witnessmark.web.accounts.models import User


def user_of(request: HttpRequest) -> User:
    """The user who has signed in; views are only reached by one, unless they say otherwise."""
    if not isinstance(request.user, User):
        raise PermissionDenied("Sign in first.")
    return request.user
