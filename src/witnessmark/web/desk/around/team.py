"""Who takes part: role, function, and for auditors independence and competence."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponseBase
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from witnessmark.audit.actions.join_member import JoinMember
from witnessmark.audit.people import Role
from witnessmark.web.accounts.models import User
from witnessmark.web.desk.around.asking import ask
from witnessmark.web.desk.around.fields import LineField, TextField, offer
from witnessmark.web.desk.around.people import names_of, new_code, said_of
from witnessmark.web.desk.around.words import ROLES
from witnessmark.web.desk.asking import Asked
from witnessmark.web.desk.audit_page import AuditPage, in_audit
from witnessmark.web.store.desk import code_of

MAY_NAME = frozenset({Role.LEAD, Role.OWNER})
NOBODY = "new"


class MemberForm(forms.Form):
    """An account, or somebody without one, in a role."""

    user = forms.ChoiceField(label="Who")
    role = forms.ChoiceField(label="Role in this audit", choices=tuple(ROLES.items()))
    function = LineField(
        label="Function",
        required=False,
        help_text="As it is printed, without a name: process auditor; team leader, turning.",
    )
    independence = TextField(
        label="Independence",
        required=False,
        help_text="For auditors: why they do not audit their own work, area or reporting line.",
    )
    competence = TextField(
        label="Competence", required=False, help_text="For auditors: what they can show for it."
    )

    def __init__(self, page: AuditPage, request: HttpRequest, *args: Any, **others: Any) -> None:
        super().__init__(*args, **others)
        names = names_of(request)
        active = User.objects.filter(is_active=True).order_by("display_name")
        accounts = [(code_of(user), user.display_name) for user in active]
        known = {code for code, _ in accounts}
        members = [
            (code, said_of(code, page.state, names))
            for code in page.state.members
            if code not in known
        ]
        choices = [*accounts, *members, (NOBODY, "Somebody without an account here")]
        offer(self, "user", choices)

    def clean(self) -> dict[str, Any]:
        """Whoever has no account is printed by function alone, so it is needed."""
        cleaned = super().clean() or {}
        if cleaned.get("user") == NOBODY and not cleaned.get("function"):
            self.add_error("function", "State the function; there is no account to know them by.")
        return cleaned

    def action(self) -> JoinMember:
        """The action, with a fresh code for somebody without an account."""
        told = dict(self.cleaned_data)
        if told["user"] == NOBODY:
            told["user"] = new_code()
        return JoinMember(**told)


@require_http_methods(["GET", "POST"])
@in_audit(tab="preparation", roles=MAY_NAME)
def join(request: HttpRequest, page: AuditPage) -> HttpResponseBase:
    """Asks who takes part, or what changes for a member named in the address."""
    member = page.state.members.get(request.GET.get("member", ""))
    initial = (
        {name: getattr(member, name) for name in MemberForm.base_fields}
        if member
        else {"role": Role.AUDITOR.value}
    )
    form = MemberForm(page, request, request.POST or None, initial=initial)
    back = reverse("desk:preparation", args=[page.id]) + "#team"
    asked = Asked(
        "Who takes part",
        "Keep it",
        ("Preparation", back),
        "The last role of an account stands; earlier ones stay in the journal.",
        "It is kept.",
    )
    return ask(request, page, form, asked, lambda _: form.action())
