"""Coming in, going out, and the account of the user who is in."""

import math

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import authenticate, login, logout, update_session_auth_hash
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from witnessmark.web.accounts.door import use_token
from witnessmark.web.accounts.forms import NameForm, PasswordForm, SignInForm
from witnessmark.web.accounts.limits import count_attempt, forget_old, take_back
from witnessmark.web.accounts.models import User
from witnessmark.web.accounts.signed_in import user_of
from witnessmark.web.pages.refusals import refuse

BACKEND = "django.contrib.auth.backends.ModelBackend"
FORBIDDEN, TOO_MANY = 403, 429
WRONG = "This name and password do not belong together, or the user is switched off."


@require_GET
@never_cache
@login_not_required
def enter(request: HttpRequest) -> HttpResponse:
    """The door of a laptop: a right token becomes a session, and leaves the address bar."""
    config = settings.CONFIG
    if config.mode == "laptop" and use_token(config.data, request.GET.get("token", "")):
        login(request, User.objects.local(), BACKEND)
        return redirect(settings.LOGIN_REDIRECT_URL)
    if request.user.is_authenticated:
        return redirect(settings.LOGIN_REDIRECT_URL)
    return _closed_door(request)


@require_http_methods(["GET", "POST"])
@never_cache
@login_not_required
@sensitive_post_parameters()
def sign_in(request: HttpRequest) -> HttpResponse:
    """The sign-in page of a server; on a laptop it says which address opens the door."""
    if request.user.is_authenticated:
        return redirect(_next(request))
    if settings.CONFIG.mode == "laptop":
        return _closed_door(request)
    form = SignInForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        return _try(request, form)
    return render(request, "accounts/sign_in.html", {"form": form, "next": _next(request)})


def _try(request: HttpRequest, form: SignInForm) -> HttpResponse:
    name, address = form.cleaned_data["login_name"], request.META.get("REMOTE_ADDR", "")
    forget_old()
    wait = count_attempt(name, address)
    if wait:
        return _too_many(request, math.ceil(wait.total_seconds()))
    user = authenticate(request, username=name, password=form.cleaned_data["password"])
    if user is None:
        form.add_error(None, WRONG)
        return render(request, "accounts/sign_in.html", {"form": form, "next": _next(request)})
    take_back(name, address)
    login(request, user)
    return redirect(_next(request))


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """Ends the session."""
    logout(request)
    return redirect(settings.LOGOUT_REDIRECT_URL)


@require_http_methods(["GET", "POST"])
@sensitive_post_parameters()
def account(request: HttpRequest) -> HttpResponse:
    """The user's own name and password."""
    user = user_of(request)
    is_name = "change_name" in request.POST
    posted = request.POST or None
    shown = {"display_name": user.display_name}
    name_form = NameForm(posted if is_name else None, initial=shown)
    password_form = PasswordForm(user, None if is_name else posted)
    if is_name and name_form.is_valid():
        user.display_name = name_form.cleaned_data["display_name"]
        user.save(update_fields=["display_name"])
        messages.success(request, "The name is changed.")
        return redirect("accounts:account")
    if posted and not is_name and password_form.is_valid():
        user.set_password(password_form.cleaned_data["new"])
        user.save(update_fields=["password"])
        update_session_auth_hash(request, user)
        messages.success(request, "The password is changed; your other sessions have ended.")
        return redirect("accounts:account")
    forms = {"name_form": name_form, "password_form": password_form}
    return render(request, "accounts/account.html", forms)


def _closed_door(request: HttpRequest) -> HttpResponse:
    return render(request, "accounts/door.html", status=FORBIDDEN)


def _too_many(request: HttpRequest, seconds: int) -> HttpResponse:
    answer = refuse(
        request,
        TOO_MANY,
        f"Signing in failed too often for this name or from this address. "
        f"The next attempt is answered in {seconds} s.",
    )
    answer.headers["Retry-After"] = str(seconds)
    return answer


def _next(request: HttpRequest) -> str:
    """Where the user wanted to go, when that is here."""
    wanted = request.POST.get("next", request.GET.get("next", ""))
    is_here = url_has_allowed_host_and_scheme(
        wanted, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return wanted if is_here else reverse(settings.LOGIN_REDIRECT_URL)
