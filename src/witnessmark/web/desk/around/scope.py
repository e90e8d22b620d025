"""What the audit examines, against what, and what the site allows: three lists of the lead's."""

from typing import Any

from django import forms
from django.forms import formset_factory
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from witnessmark.audit.actions.set_criteria import CriterionBody, SetCriteria
from witnessmark.audit.actions.set_scope import SetScope
from witnessmark.audit.actions.set_site_rules import SetSiteRules
from witnessmark.audit.people import Role
from witnessmark.web.desk.around.asking import ask
from witnessmark.web.desk.around.fields import DayField, LineField, LinesField, TextField
from witnessmark.web.desk.around.words import PHOTOS
from witnessmark.web.desk.asking import Asked
from witnessmark.web.desk.audit_page import AuditPage, in_audit

LEAD = frozenset({Role.LEAD})
MOST_DOCUMENTS = 200
BLANK_ROWS = 3


class ScopeForm(forms.Form):
    """Boundaries, areas, shifts, machines, questions."""

    text = TextField(label="Scope", help_text="Where the process begins and where it ends.")
    not_in_scope = TextField(label="Not in scope", required=False)
    areas = LinesField(label="Areas", required=False, help_text="One a line.")
    shifts = LinesField(
        label="Shifts on which the process runs",
        required=False,
        help_text="One a line, weekends too: a shift that is not named here is not missed later.",
    )
    machines = LinesField(
        label="Machines",
        required=False,
        help_text="One a line, by the number the records use.",
    )
    questions = LinesField(
        label="Questions to begin with",
        required=False,
        help_text="One a line: what the desk study or earlier findings leave open.",
    )


class SiteRulesForm(forms.Form):
    """Photos, phones, whom to tell of a danger."""

    photos = forms.ChoiceField(label="Photos", choices=tuple(PHOTOS.items()))
    phones = forms.BooleanField(
        label="Phones are allowed on the floor; otherwise the notebook is printed", required=False
    )
    danger_role = LineField(
        label="Who is told of an imminent danger",
        required=False,
        help_text="The role that the site’s own rules name.",
    )
    safety = TextField(label="What else the site asks of a visitor", required=False)


class CriterionForm(forms.Form):
    """One document in its revision."""

    document = LineField(label="Document", required=False)
    revision = LineField(label="Revision", required=False)
    valid_on = DayField(label="Valid on", required=False)
    clauses = LineField(
        label="Clauses it serves", required=False, help_text="Such as A 8.5.1.1; Q 8.5.1 c"
    )

    def clean(self) -> dict[str, Any]:
        """A row with anything in it names its document and the revision valid then."""
        cleaned = super().clean() or {}
        given = any(cleaned.values())
        if given and not cleaned.get("document"):
            self.add_error("document", "Name the document, or empty the whole row.")
        if cleaned.get("document") and not cleaned.get("revision"):
            self.add_error("revision", "State the revision valid then.")
        return cleaned

    def body(self) -> CriterionBody:
        """The row as the journal keeps it."""
        told = self.cleaned_data
        clauses = (part.strip() for part in str(told["clauses"]).split(";"))
        return CriterionBody(
            document=told["document"],
            revision=told["revision"],
            valid_on=told["valid_on"],
            clauses=tuple(part for part in clauses if part),
        )


CriteriaForms = formset_factory(
    CriterionForm,
    extra=BLANK_ROWS,
    max_num=MOST_DOCUMENTS,
    absolute_max=MOST_DOCUMENTS,
    validate_max=True,
)


def _asked(page: AuditPage, title: str, submit: str, lead: str, done: str) -> Asked:
    back = reverse("desk:preparation", args=[page.id])
    return Asked(title, submit, ("Preparation", back), lead, done)


@require_http_methods(["GET", "POST"])
@in_audit(tab="preparation", roles=LEAD)
def set_scope(request: HttpRequest, page: AuditPage) -> HttpResponseBase:
    """Asks for the scope."""
    scope = page.state.scope
    initial = {name: getattr(scope, name) for name in ScopeForm.base_fields}
    form = ScopeForm(request.POST or None, initial=initial)
    lead = "What is examined, and what is left out. Coverage is held against it."
    asked = _asked(page, "Scope", "State the scope", lead, "The scope is stated.")
    return ask(request, page, form, asked, lambda told: SetScope(**told))


@require_http_methods(["GET", "POST"])
@in_audit(tab="preparation", roles=LEAD)
def set_site_rules(request: HttpRequest, page: AuditPage) -> HttpResponseBase:
    """Asks for the rules of the site."""
    rules = page.state.site_rules
    initial = {name: getattr(rules, name) for name in SiteRulesForm.base_fields}
    form = SiteRulesForm(request.POST or None, initial=initial)
    lead = "The notebook keeps to these. Until they are stated it asks before each photo."
    asked = _asked(page, "Rules of the site", "State the rules", lead, "The rules are stated.")
    return ask(request, page, form, asked, lambda told: SetSiteRules(**told))


@require_http_methods(["GET", "POST"])
@in_audit(tab="preparation", roles=LEAD)
def set_criteria(request: HttpRequest, page: AuditPage) -> HttpResponseBase:
    """Asks for the documents that the process is held against."""
    initial = [
        {
            "document": item.document,
            "revision": item.revision,
            "valid_on": item.valid_on,
            "clauses": "; ".join(item.clauses),
        }
        for item in page.state.criteria
    ]
    rows = CriteriaForms(request.POST or None, initial=initial, prefix="row")
    whole = forms.Form(request.POST or None)
    if request.method == "POST" and rows.is_valid() and whole.is_valid():
        bodies = tuple(row.body() for row in rows if row.cleaned_data.get("document"))
        action = SetCriteria(documents=bodies)
        if page.try_do(request, whole, action, done="The criteria are stated."):
            return redirect("desk:preparation", page.id)
    return render(request, "desk/around/criteria.html", {"rows": rows, "whole": whole})
