"""Verifying a finding's effect: the same test on two periods, seen before it is kept."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from witnessmark.audit.effect import Side, Verified, slugs_of, verify
from witnessmark.audit.items import Finding
from witnessmark.audit.people import RefusedError
from witnessmark.record_tests.outcome import Outcome
from witnessmark.web.desk.around.fields import offer
from witnessmark.web.desk.around.findings import asked_of, finding_of
from witnessmark.web.desk.around.outcomes import freeze_words, kept_outcome
from witnessmark.web.desk.audit_page import TEAM, AuditPage, in_audit


class VerifyForm(forms.Form):
    """Which test, on which two periods."""

    slug = forms.ChoiceField(
        label="Record test", help_text="The tests behind the finding’s facts come first."
    )
    before = forms.ChoiceField(label="Records before the action")
    after = forms.ChoiceField(label="Records of the new period")
    trigger_x = forms.IntegerField(
        label="Exceptions of the time that set the action off",
        required=False,
        min_value=0,
        max_value=10**9,
        help_text="Left out of the period before: the worst week is followed by a better one "
        "in any case.",
    )
    trigger_n = forms.IntegerField(
        label="Units assessed in that time", required=False, min_value=0, max_value=10**9
    )

    def __init__(self, page: AuditPage, finding: Finding, *args: Any, **others: Any) -> None:
        super().__init__(*args, **others)
        behind = slugs_of(finding)
        known = sorted({slug for item in page.state.freezes.values() for slug in item.outcomes})
        slugs = dict.fromkeys([*(slug for slug in behind if slug in known), *known])
        periods = [(item.freeze, freeze_words(item)) for item in page.state.freezes.values()]
        offer(self, "slug", [(slug, slug) for slug in slugs])
        for name in ("before", "after"):
            offer(self, name, periods)

    def clean(self) -> dict[str, Any]:
        """Two periods, and of what is left out both numbers or none."""
        cleaned = super().clean() or {}
        if cleaned.get("before") and cleaned.get("before") == cleaned.get("after"):
            self.add_error("after", "Verification needs records of a new period.")
        if (cleaned.get("trigger_x") is None) != (cleaned.get("trigger_n") is None):
            self.add_error("trigger_n", "Both numbers, or neither.")
        return cleaned


@require_http_methods(["GET", "POST"])
@in_audit(tab="findings", roles=TEAM)
def verify_effect(request: HttpRequest, page: AuditPage, finding: object) -> HttpResponseBase:
    """Shows what the two periods say, then keeps it."""
    item = finding_of(page, finding)
    form = VerifyForm(page, item, request.POST or None, initial=_initial(page, item))
    verified: Verified | None = None
    if request.method == "POST" and form.is_valid():
        try:
            verified = _compared(page, item, form.cleaned_data)
        except RefusedError as refusal:
            form.add_error(None, str(refusal))
        if verified is not None and "keep" in request.POST:
            done = "The comparison is kept. The lead auditor decides what follows from it."
            if page.try_do(request, form, verified.action, done=done):
                return redirect("desk:finding", page.id, item.id)
    context = {
        "finding": item,
        "form": form,
        "verified": verified,
        "asked": asked_of(page, item, "Verify the effect", "Keep it", ""),
    }
    return render(request, "desk/around/verify.html", context)


def _initial(page: AuditPage, item: Finding) -> dict[str, str]:
    """The finding's own records before, the newest of a verification after."""
    own = [fact.cited.freeze for fact in item.facts if fact.cited and fact.cited.freeze]
    newer = [f.freeze for f in page.state.freezes.values() if f.purpose == "verification"]
    return {
        "slug": next(iter(slugs_of(item)), ""),
        "before": own[0] if own else "",
        "after": newer[-1] if newer else "",
    }


def _compared(page: AuditPage, item: Finding, told: dict[str, Any]) -> Verified:
    left_out = (told["trigger_x"] or 0, float(told["trigger_n"] or 0))
    before = kept_outcome(page, told["before"], told["slug"])
    after = kept_outcome(page, told["after"], told["slug"])
    _check_left_out(before, left_out)
    return verify(
        item,
        Side(told["before"], before, trigger=left_out),
        Side(told["after"], after),
    )


def _check_left_out(before: Outcome, left_out: tuple[int, float]) -> None:
    x, n = left_out
    if x > n or x > before.counts.exceptions or n >= before.counts.assessed > 0:
        raise RefusedError(
            f"What is left out ({x} of {n:.0f}) is not a part of the period before "
            f"({before.counts.exceptions} of {before.counts.assessed})."
        )
