"""The list of users, for the programme owner."""

from collections.abc import Callable
from functools import wraps

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from witnessmark.web.accounts.forms import NewUserForm
from witnessmark.web.accounts.models import User
from witnessmark.web.accounts.signed_in import user_of

View = Callable[..., HttpResponse]


def for_programme_owner(view: View) -> View:
    """Lets only a programme owner see the view."""

    @wraps(view)
    def guarded(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        if not user_of(request).is_programme_owner:
            raise PermissionDenied("Only a programme owner may do this.")
        return view(request, *args, **kwargs)

    return guarded


@require_GET
@for_programme_owner
def list_users(request: HttpRequest) -> HttpResponse:
    """All users, those switched off last."""
    users = User.objects.order_by("-is_active", "login_name")
    context = {"users": users, "on_laptop": settings.CONFIG.mode == "laptop"}
    return render(request, "accounts/users.html", context)


@require_http_methods(["GET", "POST"])
@sensitive_post_parameters()
@for_programme_owner
def add_user(request: HttpRequest) -> HttpResponse:
    """A form for a new user."""
    form = NewUserForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        user = form.save()
        messages.success(request, f"{user.display_name} can sign in as {user.login_name}.")
        return redirect("accounts:users")
    return render(request, "accounts/add_user.html", {"form": form})


@require_POST
@for_programme_owner
def switch_user(request: HttpRequest, pk: int) -> HttpResponse:
    """Switches a user off, or on again; nobody switches themselves off."""
    user = get_object_or_404(User, pk=pk)
    if user == request.user:
        raise PermissionDenied("Nobody switches themselves off.")
    if user.is_active:
        user.switch_off()
        messages.success(request, f"{user.display_name} is switched off; their sessions ended.")
    else:
        user.switch_on()
        messages.success(request, f"{user.display_name} may sign in again.")
    return redirect("accounts:users")
