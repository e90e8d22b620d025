"""Forms of trails."""

from collections.abc import Iterator
from typing import Any

from django import forms
from django.forms import BoundField

from witnessmark.audit.cited import Cited
from witnessmark.audit.exhaustion import Seen, conditions_of
from witnessmark.audit.items import Trail
from witnessmark.web.desk.audit_page import AuditPage
from witnessmark.web.desk.working.fields import BEARS, choice, line, moment, text
from witnessmark.web.desk.working.pieces import Piece

GRADES = (
    ("none", "No finding could come of it"),
    ("opportunity", "An opportunity: the requirement is met, a risk is visible"),
    ("minor", "Minor: a requirement is broken, the control otherwise works"),
    ("major", "Major: the control has broken down, or product may have left"),
)
GROUP_HELP = (
    "Pieces of one source count as one: three extracts of one database, two sentences of one "
    "person."
)


class TrailForm(forms.Form):
    """The words of a trail."""

    proposition = text(
        "Proposition", "What would be the case, so that it can be tested: where, when, which rule."
    )
    rival = text(
        "The innocent reading",
        "What else would look just the same and break no rule. It gets an equal voice.",
        required=False,
    )
    highest_grade = choice(
        "The highest grade it could reach",
        GRADES,
        "It decides how much must be known before the trail may end.",
        initial="minor",
    )
    next_step = line("Cheapest next step", "What would tell the two readings apart, at least cost.")
    dropped_if = line("What would make you drop it")
    clauses = line("Requirements it touches", "Clauses or documents, separated by commas.")

    def __init__(self, page: AuditPage, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["closes_at"] = moment(page, "When its first window closes")
        self.order_fields(
            ["proposition", "rival", "highest_grade", "next_step", "closes_at", "bears"]
        )

    @property
    def told(self) -> dict[str, Any]:
        """The fields of the action."""
        cleaned = self.cleaned_data
        clauses = tuple(part.strip() for part in cleaned["clauses"].split(",") if part.strip())
        names = ("proposition", "rival", "highest_grade", "next_step", "dropped_if", "closes_at")
        return {name: cleaned[name] for name in names} | {"clauses": clauses}


class OpenTrailForm(TrailForm):
    """A new trail, and how what it starts from bears on it."""

    def __init__(self, page: AuditPage, origin: Piece | None, *args: Any, **kwargs: Any) -> None:
        super().__init__(page, *args, **kwargs)
        if origin:
            label = "How what it starts from bears on it"
            self.fields["bears"] = choice(label, BEARS, initial="for")
            self.fields["group"] = line(
                "Source it comes from", GROUP_HELP, initial=group_of(page, origin.cited)
            )
            self.order_fields(["proposition", "rival", "highest_grade", "bears", "group"])


class LayForm(forms.Form):
    """How a piece of evidence bears on a trail."""

    bears = choice("How it bears on the trail", BEARS)
    by_audited_function = forms.BooleanField(
        label="The function that is audited made it itself", required=False
    )
    group = line("Source it comes from", GROUP_HELP)
    note = text("Note", "What in it matters here.", required=False, rows=2)

    def __init__(self, page: AuditPage, cited: Cited | None, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if cited is not None:
            self.fields["group"].initial = group_of(page, cited)
            self.fields["by_audited_function"].initial = made_by_audited(cited)


class PutForm(forms.Form):
    """A trail put aside, or taken up again."""

    state = choice(
        "What becomes of it",
        (
            ("open", "It is worked on"),
            ("waiting", "It waits for its window"),
            ("parked", "It is parked until a stated time"),
        ),
    )
    reason = line("Why")

    def __init__(self, page: AuditPage, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["return_at"] = moment(page, "Come back to it", "Needed where it is parked.")


VERDICTS = (
    ("supported", "Supported: the evidence carries the proposition, the rival is excluded"),
    ("refuted", "Refuted: it is not so; reported as evidence of conformity"),
    ("undetermined", "Undetermined: it could not be told, with a limitation"),
    ("transferred", "Transferred: to another audit, to safety, to those who must take it on"),
)


class CloseForm(forms.Form):
    """A trail's end: the conditions as judged, the verdict, what is concluded, what stays open."""

    verdict = choice("How it ends", VERDICTS)
    conclusion = text("What is concluded", "A sentence that another could check.")
    limitation = text(
        "Limitation",
        "What the conditions that do not hold mean for the result.",
        required=False,
    )
    considered = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, page: AuditPage, trail: Trail, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.conditions = conditions_of(page.state, trail)
        for seen in self.conditions:
            self.fields[f"met-{seen.key}"] = forms.BooleanField(label="It holds", required=False)
            self.fields[f"said-{seen.key}"] = text("How you know", required=False, rows=2)

    def asked(self) -> Iterator[tuple[Seen, BoundField, BoundField]]:
        """Each condition, with what can be seen of it and its two fields."""
        for seen in self.conditions:
            yield seen, self[f"met-{seen.key}"], self[f"said-{seen.key}"]

    def clean(self) -> dict[str, Any]:
        """What is said to hold says how it is known."""
        cleaned: dict[str, Any] = super().clean() or {}
        for seen in self.conditions:
            if cleaned.get(f"met-{seen.key}") and not cleaned.get(f"said-{seen.key}", "").strip():
                self.add_error(f"said-{seen.key}", "Say how you know that it holds.")
        return cleaned


def group_of(page: AuditPage, cited: Cited) -> str:
    """The source that a piece comes from, as a start: one freeze, one role, one pair of eyes."""
    if cited.freeze:
        return f"records {cited.freeze[:8]}"
    if cited.kind == "statement":
        return page.state.statements[cited.id].role
    item = page.state.item(cited.id)
    return f"seen by {item.author}" if item and cited.column == "seen" else ""


def made_by_audited(cited: Cited) -> bool:
    """Whether the audited function usually makes such a piece itself."""
    return cited.column != "seen"
