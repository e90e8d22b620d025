"""Forms of accounts."""

from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password

from witnessmark.web.accounts.models import User, login_name_rule

PLAIN = {"autocapitalize": "none", "spellcheck": "false"}
RULES = "At least 12 characters; no common password, not only digits, nothing like the name."


def _password(label: str, help_text: str = "", *, is_new: bool = True) -> forms.CharField:
    autocomplete = "new-password" if is_new else "current-password"
    widget = forms.PasswordInput(attrs={"autocomplete": autocomplete})
    return forms.CharField(
        label=label, help_text=help_text, strip=False, widget=widget, max_length=1024
    )


class SignInForm(forms.Form):
    """Name and password."""

    login_name = forms.CharField(
        label="Name",
        max_length=64,
        widget=forms.TextInput({**PLAIN, "autocomplete": "username"}),
    )
    password = _password("Password", is_new=False)


class NewUserForm(forms.Form):
    """A new user with a first password, which they change themselves."""

    login_name = forms.CharField(
        label="Name to sign in with",
        help_text="Small letters, digits, full stops, hyphens, underscores.",
        max_length=64,
        widget=forms.TextInput({**PLAIN, "autocomplete": "off"}),
    )
    display_name = forms.CharField(label="Name that others see", max_length=120)
    password = _password("First password", RULES)
    is_programme_owner = forms.BooleanField(
        label="Programme owner: may add users and see every audit", required=False
    )

    def clean_login_name(self) -> str:
        """The name in small letters, when nobody has it."""
        name = str(self.cleaned_data["login_name"]).lower()
        login_name_rule(name)
        if User.objects.filter(login_name=name).exists():
            raise forms.ValidationError("There is a user of this name.")
        return name

    def clean(self) -> dict[str, Any]:
        """The password must keep the rules and not resemble the names."""
        cleaned = super().clean() or {}
        names = {name: cleaned.get(name, "") for name in ("login_name", "display_name")}
        _keep_rules(self, "password", User(**names))
        return cleaned

    def save(self) -> User:
        """Makes the user."""
        return User.objects.create_user(**self.cleaned_data)


class NameForm(forms.Form):
    """The name that others see."""

    display_name = forms.CharField(label="Name that others see", max_length=120)


class PasswordForm(forms.Form):
    """A new password, after the present one."""

    present = _password("Present password", is_new=False)
    new = _password("New password", RULES)

    def __init__(self, user: User, *args: Any, **kwargs: Any) -> None:
        self.user = user
        super().__init__(*args, **kwargs)

    def clean_present(self) -> str:
        """The present password, when it is right."""
        present = str(self.cleaned_data["present"])
        if not self.user.check_password(present):
            raise forms.ValidationError("This is not the present password.")
        return present

    def clean(self) -> dict[str, Any]:
        """The new password must keep the rules and be a new one."""
        cleaned = super().clean() or {}
        _keep_rules(self, "new", self.user)
        if cleaned.get("new") and cleaned["new"] == cleaned.get("present"):
            self.add_error("new", "This is the present password.")
        return cleaned


def _keep_rules(form: forms.Form, field: str, user: User) -> None:
    password = form.cleaned_data.get(field)
    if password:
        try:
            validate_password(password, user)
        except forms.ValidationError as error:
            form.add_error(field, error)
