"""Drafting a finding and wording it anew, with the ten points beside the form."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from django import forms
from django.core.exceptions import PermissionDenied
from django.forms import BaseFormSet, formset_factory
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from witnessmark.audit.action import Stamp
from witnessmark.audit.actions.draft_finding import DraftFinding
from witnessmark.audit.cited import Fact, Requirement
from witnessmark.audit.items import Finding, Trail
from witnessmark.audit.people import RefusedError
from witnessmark.audit.wording import check_wording
from witnessmark.web.desk.around import sources as facts_from
from witnessmark.web.desk.around.fields import LineField, TextField
from witnessmark.web.desk.around.protected import REPEATS, repeats_protected, texts_of
from witnessmark.web.desk.around.sources import Source
from witnessmark.web.desk.audit_page import TEAM, AuditPage, in_audit
from witnessmark.web.desk.moments import LocalMomentField
from witnessmark.web.desk.templatetags.audit import local_input

BLANK_FACTS = 2
MOST_FACTS = 60
SELECTIONS = ("whole population", "random, with seed", "targeted")
EXTENT = "Which machines, shifts and period; on which it was looked for and not found."


class FindingForm(forms.Form):
    """Requirement, statement, extent, consequence."""

    statement = TextField(
        label="What was not met",
        help_text="One failure in one sentence: no cause, no remedy, no adjective, no person.",
    )
    document = LineField(
        label="Requirement: document of the plant",
        required=False,
        help_text="The exact source first; a clause may stand beside it.",
    )
    revision = LineField(label="Revision valid then", required=False)
    standard = LineField(label="Standard and edition", required=False)
    clause = LineField(label="Clause", required=False, help_text="The nearest, not the severest.")
    paraphrase = TextField(label="What it asks for, in your own words", required=False)
    confirmed = forms.BooleanField(
        label="I have held the clause against a licensed copy", required=False
    )
    process = LineField(label="Process", required=False)
    place = LineField(label="Place", required=False)
    extent = TextField(label="Extent", required=False, help_text=EXTENT)
    consequence = TextField(
        label="Consequence",
        required=False,
        help_text="To the last good check and to shipment; or none found, looked until when.",
    )
    rival_excluded = TextField(label="How the innocent reading was excluded", required=False)
    suspect_product = forms.BooleanField(
        label="Suspect product may have left, or is about to: the plant’s route is started at once",
        required=False,
    )

    def __init__(self, page: AuditPage, *args: Any, **others: Any) -> None:
        super().__init__(*args, **others)
        self.fields["containment_asked_at"] = LocalMomentField(
            zone=page.zone, label="When containment was asked for", required=False
        )

    def requirement(self) -> Requirement:
        """The requirement as the journal keeps it."""
        names = ("standard", "clause", "document", "revision", "paraphrase", "confirmed")
        return Requirement(**{name: self.cleaned_data[name] for name in names})


class FactForm(forms.Form):
    """One fact; where it is read from the records, its numbers stand and are not asked."""

    source = forms.CharField(required=False, widget=forms.HiddenInput, max_length=400)
    text = TextField(
        label="When, where, which machine, part, lot or record",
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    x = forms.IntegerField(label="Failed", required=False, min_value=0, max_value=10**12)
    n = forms.IntegerField(label="Looked at", required=False, min_value=0, max_value=10**12)
    period = LineField(label="Period", required=False)
    selection = LineField(
        label="How selected",
        required=False,
        help_text="Whole population; random, with the seed; targeted.",
    )
    drop = forms.BooleanField(label="Leave this fact out", required=False)

    known: Source | None = None

    def clean(self) -> dict[str, Any]:
        """X of n belong together, and a fact with a number has words."""
        cleaned = super().clean() or {}
        x, n = cleaned.get("x"), cleaned.get("n")
        if (x is None) != (n is None):
            self.add_error("n", "Failed and looked at belong together: x of n.")
        elif x is not None and n is not None and x > n:
            self.add_error("n", f"{x} of {n}: more failed than were looked at.")
        if (x is not None or cleaned.get("period")) and not cleaned.get("text"):
            self.add_error("text", "Say what was counted.")
        return cleaned

    def fact(self, known: Mapping[str, Source]) -> Fact | None:
        """The fact, its numbers from its source where it has one; None where it is left out."""
        told = self.cleaned_data
        if not told or told["drop"] or not (told["text"] or told["source"]):
            return None
        if not told["source"]:
            return Fact(told["text"], told["x"], told["n"], told["period"], told["selection"])
        source = facts_from.need(known, told["source"])
        words = Fact(told["text"] or source.fact.text, cited=source.fact.cited)
        if not source.is_counted:
            return replace_fact(words, told["x"], told["n"], told["period"], told["selection"])
        stands = source.fact
        return replace_fact(words, stands.x, stands.n, stands.period, stands.selection)


def replace_fact(fact: Fact, x: int | None, n: int | None, period: str, selection: str) -> Fact:
    """The fact with these numbers."""
    return Fact(fact.text, x, n, period, selection, fact.cited)


FactForms = formset_factory(
    FactForm,
    extra=BLANK_FACTS,
    max_num=MOST_FACTS,
    absolute_max=MOST_FACTS,
    validate_max=True,
)


@require_http_methods(["GET", "POST"])
@in_audit(tab="findings", roles=TEAM)
def draft(request: HttpRequest, page: AuditPage) -> HttpResponseBase:
    """Drafts a finding, from a trail or an outcome where the address names one."""
    trail = page.state.trails.get(request.GET.get("trail", ""))
    offered = list(facts_from.of_trail(page, trail))
    named = (facts_from.of_outcome(page, key) for key in request.GET.getlist("outcome"))
    offered += [source for source in named if source]
    initial = _from_trail(page, trail, offered)
    return _drafting(request, page, trail, offered, initial, None)


@require_http_methods(["GET", "POST"])
@in_audit(tab="findings", roles=TEAM)
def reword(request: HttpRequest, page: AuditPage, finding: object) -> HttpResponseBase:
    """Words a draft anew; what is issued stands."""
    old = page.state.findings.get(str(finding))
    if old is None:
        raise Http404
    if not page.may_on(DraftFinding(requirement=old.requirement, statement="-"), old.id):
        raise PermissionDenied("An auditor words their own drafts anew; the lead all of them.")
    trail = page.state.trails.get(old.trail)
    offered = [*facts_from.kept(old.facts), *_not_yet(page, trail, old)]
    return _drafting(request, page, trail, offered, _as_it_is(page, old), old)


def _drafting(
    request: HttpRequest,
    page: AuditPage,
    trail: Trail | None,
    offered: list[Source],
    initial: dict[str, Any],
    old: Finding | None,
) -> HttpResponse:
    known = {source.key: source for source in offered}
    posted = request.POST or None
    form = FindingForm(page, posted, initial=initial)
    rows = FactForms(posted, initial=_rows(offered, old), prefix="fact")
    points = None
    if request.method == "POST" and form.is_valid() and rows.is_valid():
        action = _action(form, rows, known, trail)
        if action is not None and "check" in request.POST:
            points = check_wording(_as_finding(action, old), page.state.opening.language)
        elif action is not None and repeats_protected(page, texts_of(_as_finding(action, old))):
            form.add_error(None, REPEATS)
        elif action is not None:
            received = page.try_do(
                request,
                form,
                action,
                supersedes=old.id if old else "",
                done="The draft is kept.",
            )
            if received is not None and received.event is not None:
                return redirect("desk:finding", page.id, old.id if old else received.event.id)
    for row in rows:
        row.known = known.get(str(row["source"].value() or ""))
    context = {
        "form": form,
        "rows": rows,
        "trail": trail,
        "finding": old,
        "points": points,
        "selections": SELECTIONS,
    }
    return render(request, "desk/around/draft.html", context)


def _action(
    form: FindingForm,
    rows: "BaseFormSet[FactForm]",
    known: Mapping[str, Source],
    trail: Trail | None,
) -> DraftFinding | None:
    """What the form says; None where a fact names a source that it may not."""
    try:
        facts = tuple(fact for row in rows if (fact := row.fact(known)) is not None)
    except RefusedError as refusal:
        form.add_error(None, str(refusal))
        return None
    told = form.cleaned_data
    names = ("process", "place", "statement", "extent", "consequence", "suspect_product")
    return DraftFinding(
        trail=trail.id if trail else "",
        requirement=form.requirement(),
        facts=facts,
        rival_excluded=told["rival_excluded"],
        containment_asked_at=told["containment_asked_at"],
        **{name: told[name] for name in names},
    )


def _as_finding(action: DraftFinding, old: Finding | None) -> Finding:
    """The finding as it would stand, for the ten points; nothing is kept."""
    stamp = Stamp("", "", "", "")
    finding = action.build(stamp)
    if old is None:
        return finding
    return replace(
        finding,
        acknowledged_at=old.acknowledged_at,
        acknowledged_role=old.acknowledged_role,
        acknowledged_note=old.acknowledged_note,
    )


def _rows(offered: list[Source], old: Finding | None) -> list[dict[str, Any]]:
    """The rows a form starts with: kept facts in their order, then what a trail offers.

    What came onto the trail after the draft is offered with its mark set to be left out.
    """
    by_key = {source.key: source for source in offered}
    rows = []
    for place, fact in enumerate(old.facts if old else ()):
        key = f"kept:{place}" if fact.cited is not None else ""
        by_key.pop(key, None)
        rows.append(_row(key, fact, drop=False))
    return rows + [_row(key, source.fact, drop=old is not None) for key, source in by_key.items()]


def _row(key: str, fact: Fact, *, drop: bool) -> dict[str, Any]:
    names = ("text", "x", "n", "period", "selection")
    return {name: getattr(fact, name) for name in names} | {"source": key, "drop": drop}


def _not_yet(page: AuditPage, trail: Trail | None, old: Finding) -> list[Source]:
    cited = {fact.cited for fact in old.facts}
    return [source for source in facts_from.of_trail(page, trail) if source.fact.cited not in cited]


def _from_trail(page: AuditPage, trail: Trail | None, offered: list[Source]) -> dict[str, Any]:
    """What a draft starts with: process, place, clause and conclusion of the trail."""
    del offered
    initial: dict[str, Any] = {"process": page.state.opening.process}
    if trail is None:
        return initial
    criterion = next(
        (item for item in page.state.criteria if set(item.clauses) & set(trail.clauses)), None
    )
    return initial | {
        "statement": trail.conclusion or trail.proposition,
        "clause": trail.clauses[0] if trail.clauses else "",
        "document": criterion.document if criterion else "",
        "revision": criterion.revision if criterion else "",
        "rival_excluded": next(
            (c.said for c in trail.conditions if c.key == "rival-tested" and c.met), ""
        ),
        "consequence": next(
            (c.said for c in trail.conditions if c.key == "consequence-followed"), ""
        ),
        "extent": next((c.said for c in trail.conditions if c.key == "extent-known"), ""),
    }


def _as_it_is(page: AuditPage, old: Finding) -> dict[str, Any]:
    told = {name: getattr(old.requirement, name) for name in Requirement.__struct_fields__}
    names = ("statement", "process", "place", "extent", "consequence", "rival_excluded")
    told |= {name: getattr(old, name) for name in (*names, "suspect_product")}
    return told | {"containment_asked_at": local_input(old.containment_asked_at, page)}
