"""The rules of the site, as the lead auditor states them: photos, phones, whom to tell."""

from typing import get_args

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from witnessmark.audit.actions.set_site_rules import Photos, SetSiteRules
from witnessmark.web.desk.audit_page import TEAM, AuditPage, in_audit

WORDS = {
    "allowed": "Allowed without asking each time",
    "ask-each-time": "Ask before each photo",
    "not-allowed": "Not allowed: documents are transcribed, or kept by the plant under a receipt",
}


class RulesForm(forms.Form):
    """What the site allows on its floor."""

    photos = forms.ChoiceField(
        label="Photos",
        choices=[(value, WORDS[value]) for value in get_args(Photos)],
        widget=forms.RadioSelect,
    )
    phones = forms.BooleanField(
        label="Phones are allowed on the floor; otherwise the notebook is printed", required=False
    )
    danger_role = forms.CharField(
        label="Who is told of an imminent danger (role)", required=False, max_length=100
    )
    safety = forms.CharField(
        label="What else the site asks of a visitor", required=False, max_length=300
    )


@require_http_methods(["GET", "POST"])
@in_audit("preparation", roles=TEAM)
def rules(request: HttpRequest, page: AuditPage) -> HttpResponse:
    """Shows the rules of the site; the lead auditor states them anew."""
    known = page.state.site_rules
    initial = {name: getattr(known, name) for name in RulesForm.base_fields}
    form = RulesForm(request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        action = SetSiteRules(**form.cleaned_data)
        if page.try_do(request, form, action, done="The rules of the site are stated."):
            return redirect("floor:rules", page.id)
    context = {"form": form, "may": page.may(SetSiteRules)}
    return render(request, "floor/rules.html", context)
