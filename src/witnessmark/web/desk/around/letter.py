"""The record request: a letter for the chosen tests and period, to read, print or send as text."""

from datetime import date
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from witnessmark.audit.request_letter import WEEKS, Letter, as_text, request_letter
from witnessmark.record_tests.record_test import BASES, catalogue
from witnessmark.web.desk.around.fields import DayField
from witnessmark.web.desk.audit_page import READERS, AuditPage, in_audit

MOST_WEEKS = 156
BASIS_WORDS = {
    "places": "Places only",
    "allocations": "Allocations by pseudonym",
    "profiling": "Profiling by person",
}


def _grouped() -> list[tuple[str, list[tuple[str, str]]]]:
    groups: dict[str, list[tuple[str, str]]] = {}
    for test in catalogue().values():
        words = f"{test.slug}: {test.finding}"
        groups.setdefault(test.family.capitalize(), []).append((test.slug, words))
    return list(groups.items())


class LetterForm(forms.Form):
    """Which tests, which period, on which basis for persons."""

    until = DayField(label="Last day of the period")
    weeks = forms.IntegerField(
        label="Weeks",
        min_value=1,
        max_value=MOST_WEEKS,
        help_text="Usually 8 to 13; common practice, no source.",
    )
    basis = forms.ChoiceField(
        label="What the plant has recorded on persons",
        choices=[(basis, BASIS_WORDS[basis]) for basis in BASES],
        help_text="Tests beyond it are left out, and the letter says so.",
    )
    tests = forms.MultipleChoiceField(
        label="Record tests", choices=_grouped, widget=forms.CheckboxSelectMultiple
    )


@require_safe
@in_audit(tab="preparation", roles=READERS)
def shown(request: HttpRequest, page: AuditPage) -> HttpResponseBase:
    """The letter as a page."""
    form, letter = _letter(request, page)
    context = {"form": form, "letter": letter, "query": request.GET.urlencode()}
    return render(request, "desk/around/letter.html", context)


@require_safe
@in_audit(tab="preparation", roles=READERS)
def as_file(request: HttpRequest, page: AuditPage) -> HttpResponseBase:
    """The letter as plain text, to be saved."""
    form, letter = _letter(request, page)
    if letter is None:
        context = {"form": form, "letter": None, "query": ""}
        return render(request, "desk/around/letter.html", context)
    name = slugify(page.state.opening.title) or "audit"
    answer = HttpResponse(as_text(letter), content_type="text/plain; charset=utf-8")
    answer.headers["Content-Disposition"] = f'attachment; filename="record-request-{name}.txt"'
    return answer


def _letter(request: HttpRequest, page: AuditPage) -> tuple[LetterForm, Letter | None]:
    usual = _usual(page)
    form = LetterForm(request.GET if "until" in request.GET else usual)
    if not form.is_valid():
        return form, None
    told = form.cleaned_data
    letter = request_letter(
        [test for slug, test in catalogue().items() if slug in told["tests"]],
        date.fromisoformat(told["until"]),
        page.state.opening.process,
        page.state.opening.zone,
        told["weeks"],
        told["basis"],
    )
    return form, letter


def _usual(page: AuditPage) -> dict[str, Any]:
    """Every test, the usual weeks up to today."""
    today = page.now.astimezone(page.zone).date()
    return {
        "until": today.isoformat(),
        "weeks": WEEKS,
        "basis": BASES[0],
        "tests": list(catalogue()),
    }
