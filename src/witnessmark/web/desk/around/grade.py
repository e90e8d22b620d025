"""Grading: inputs stated, a grade proposed with reasons, and the auditor's own decision in writing.

The page asks twice: first it shows what the inputs propose and what would change it, then it keeps
the decision. Nothing is graded by the tool.
"""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from witnessmark.audit.actions.grade_finding import GradeFinding
from witnessmark.audit.grading import (
    QUESTIONS,
    Inputs,
    Proposal,
    as_answers,
    inputs_of,
    propose,
)
from witnessmark.audit.items import Finding
from witnessmark.web.desk.around.fields import TextField
from witnessmark.web.desk.around.findings import LEAD, asked_of, finding_of
from witnessmark.web.desk.around.protected import REPEATS, repeats_protected, texts_in
from witnessmark.web.desk.around.words import GRADES
from witnessmark.web.desk.audit_page import AuditPage, in_audit

MOST = 10**12
ANSWERS = (("unknown", "Not said"), ("yes", "Yes"), ("no", "No"))
RULES = (
    ("unknown", "Not said"),
    ("missing", "Missing"),
    ("not followed", "Not followed"),
    ("ineffective", "Ineffective"),
)
LEFT = (
    ("unknown", "Not said"),
    ("no", "No"),
    ("possible", "Possible"),
    ("probable", "Probable"),
    ("yes", "Yes"),
)
PAIRS = ("machines", "shifts")


def _count(label: str = "") -> forms.IntegerField:
    return forms.IntegerField(label=label, required=False, min_value=0, max_value=MOST)


class InputsForm(forms.Form):
    """What a proposal is made from."""

    requirement_broken = forms.ChoiceField(label=QUESTIONS["requirement_broken"], choices=ANSWERS)
    risk_visible = forms.BooleanField(label=QUESTIONS["risk_visible"], required=False)
    rule = forms.ChoiceField(label=QUESTIONS["rule"], choices=RULES)
    x = _count(QUESTIONS["x"])
    n = _count(QUESTIONS["n"])
    targeted = forms.BooleanField(label=QUESTIONS["targeted"], required=False)
    machines_x = _count("On how many machines?")
    machines_n = _count("Of how many that ran?")
    shifts_x = _count("On how many shifts?")
    shifts_n = _count("Of how many that ran?")
    special = forms.ChoiceField(label=QUESTIONS["special"], choices=ANSWERS)
    plant_acted = forms.ChoiceField(label=QUESTIONS["plant_acted"], choices=ANSWERS)
    product_left = forms.ChoiceField(label=QUESTIONS["product_left"], choices=LEFT)
    repeated = forms.ChoiceField(label=QUESTIONS["repeated"], choices=ANSWERS)
    customer_trigger = forms.ChoiceField(label=QUESTIONS["customer_trigger"], choices=ANSWERS)
    minors = forms.IntegerField(label=QUESTIONS["minors"], min_value=0, max_value=999)

    def clean(self) -> dict[str, Any]:
        """Of a pair both or none, and never more than there are."""
        cleaned = super().clean() or {}
        for first, second in (("x", "n"), *((f"{p}_x", f"{p}_n") for p in PAIRS)):
            part, whole = cleaned.get(first), cleaned.get(second)
            if (part is None) != (whole is None):
                self.add_error(second, "Both numbers, or neither.")
            elif part is not None and whole is not None and part > whole:
                self.add_error(second, f"{part} of {whole} cannot be.")
        return cleaned

    def inputs(self) -> Inputs:
        """The inputs as the proposal takes them."""
        told = dict(self.cleaned_data)
        for pair in PAIRS:
            part, whole = told.pop(f"{pair}_x"), told.pop(f"{pair}_n")
            told[pair] = None if part is None else (part, whole)
        return Inputs(**told)


class DecisionForm(forms.Form):
    """The auditor's own decision."""

    grade = forms.ChoiceField(
        label="Your decision", choices=tuple(GRADES.items()), widget=forms.RadioSelect
    )
    reason = TextField(
        label="Why, in your own words",
        help_text="It stands in the report beside what was proposed.",
    )


@require_http_methods(["GET", "POST"])
@in_audit(tab="findings", roles=LEAD)
def grade(request: HttpRequest, page: AuditPage, finding: object) -> HttpResponseBase:
    """Asks for inputs, shows the proposal, keeps the decision."""
    item = finding_of(page, finding)
    posted = request.POST or None
    inputs = InputsForm(posted, initial=_initial(page, item))
    decides = "decide" in request.POST
    decision = DecisionForm(posted if decides else None)
    proposal: Proposal | None = None
    if request.method == "POST" and inputs.is_valid():
        proposal = propose(inputs.inputs())
        if (
            decides
            and decision.is_valid()
            and repeats_protected(page, texts_in(decision.cleaned_data))
        ):
            decision.add_error("reason", REPEATS)
        if decides and decision.is_valid():
            action = GradeFinding(
                finding=item.id,
                proposed=proposal.grade,
                inputs=as_answers(inputs.inputs()),
                **decision.cleaned_data,
            )
            if page.try_do(request, decision, action, done="The grade is decided."):
                return redirect("desk:finding", page.id, item.id)
    asked = asked_of(page, item, "Grade the finding", "Decide", "")
    context = {
        "finding": item,
        "asked": asked,
        "inputs": inputs,
        "decision": decision,
        "proposal": proposal,
        "questions": QUESTIONS,
        "unanswered": [QUESTIONS[name] for name in proposal.unanswered] if proposal else [],
        "changes": [
            (QUESTIONS[change.question], change.answer, GRADES[change.grade])
            for change in (proposal.would_change if proposal else ())
        ],
    }
    return render(request, "desk/around/grade.html", context)


def _initial(page: AuditPage, item: Finding) -> dict[str, Any]:
    """What the audit knows already, and over it the inputs of the last grading."""
    known = inputs_of(page.state, item)
    names = set(InputsForm.base_fields) & set(QUESTIONS)
    told: dict[str, Any] = {name: getattr(known, name) for name in names}
    if item.grading:
        told |= _before(item.grading.inputs)
    return told


def _before(answers: Mapping[str, str]) -> dict[str, Any]:
    """The inputs of the last grading, read back from the words it kept."""
    told: dict[str, Any] = {}
    for name, question in QUESTIONS.items():
        said = answers.get(question, "unknown")
        if name in PAIRS:
            part, _, whole = said.partition(" of ")
            if whole:
                told[f"{name}_x"], told[f"{name}_n"] = part, whole
        elif name in {"risk_visible", "targeted"}:
            told[name] = said == "yes"
        elif name in {"x", "n", "minors"}:
            if said != "unknown":
                told[name] = said
        elif name in InputsForm.base_fields:
            told[name] = said
    return told
