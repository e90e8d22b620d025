"""The notebook on paper: printed with numbered lines, and keyed in later by its line."""

from datetime import datetime
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from witnessmark.audit.action import Action
from witnessmark.audit.catalogue import read_action
from witnessmark.audit.event import BrokenEventError, moment_of
from witnessmark.audit.people import NotAllowedError, RefusedError
from witnessmark.web.desk.audit_page import TEAM, AuditPage, in_audit
from witnessmark.web.desk.moments import LocalMomentField
from witnessmark.web.floor.captures import CAPTURES, Ask, Capture

ON_PAPER = [capture for capture in CAPTURES.values() if capture.rows]
MACHINE_ROWS = 12
"""Empty rows of a printed grid beyond the machines that are known."""
UNUSABLE = 422


@require_safe
@in_audit(roles=TEAM)
def printed(request: HttpRequest, page: AuditPage) -> HttpResponse:
    """The pages to print: the same questions as on the phone, each line with its number."""
    machines = page.state.scope.machines
    context = {
        "captures": [_sheet(capture, machines) for capture in ON_PAPER],
        "rules": page.state.site_rules,
        "danger": CAPTURES["danger"],
    }
    return render(request, "floor/printed.html", context)


def _sheet(capture: Capture, machines: tuple[str, ...]) -> dict[str, object]:
    """One capture as a sheet: its columns or grid, its numbered lines."""
    asks = [ask for ask in _keyed(capture) if not ask.more]
    grid = next((ask for ask in asks if ask.kind == "grid"), None)
    prefix = capture.name[:2].upper()
    empty = [""] * (MACHINE_ROWS - len(machines) % MACHINE_ROWS)
    return {
        "capture": capture,
        "asks": [ask for ask in asks if ask is not grid],
        "grid": grid,
        "machines": [*machines, *empty] if grid else [],
        "lines": [f"{prefix}{number}" for number in range(1, capture.rows + 1)],
    }


@require_http_methods(["GET", "POST"])
@in_audit(roles=TEAM)
def key_in(request: HttpRequest, page: AuditPage, name: str = "heard") -> HttpResponse:
    """Keys in one line of the printed notebook, with the time at which it was written."""
    capture = CAPTURES[name]
    begun = {"written_at": request.GET.get("written_at", "")}
    form = LineForm(page, capture, request.POST or None, begun)
    if request.method == "POST" and form.is_valid() and form.act():
        messages.success(request, f"Line {form.line or 'without number'} is kept in the journal.")
        kept = f"?written_at={form.data.get('written_at', '')}"
        return redirect(reverse("floor:key-in-line", args=(page.id, name)) + kept)
    context = {"form": form, "capture": capture, "captures": ON_PAPER}
    status = UNUSABLE if request.method == "POST" else 200
    return render(request, "floor/key_in.html", context, status=status)


class LineForm(forms.Form):
    """One line of the printed notebook."""

    def __init__(self, page: AuditPage, capture: Capture, data: Any, begun: dict[str, str]) -> None:
        super().__init__(data, initial=begun)
        self._page, self._capture = page, capture
        self.fields["line"] = forms.CharField(
            label="Line", required=False, max_length=8, help_text="As printed: SA3."
        )
        self.fields["written_at"] = LocalMomentField(
            zone=page.zone, label="Written at", help_text="Date and time on the paper, plant time."
        )
        for ask in _keyed(capture):
            self.fields[ask.name] = _field(ask, page)

    @property
    def line(self) -> str:
        """Number of the line on paper."""
        return str(self.cleaned_data.get("line", ""))

    def act(self) -> bool:
        """Does it at the desk; a refusal becomes an error of the form."""
        try:
            action, texts, at = self._action()
            self._page.do(action, texts, at=at)
        except (BrokenEventError, RefusedError, NotAllowedError) as refusal:
            self.add_error(None, str(refusal))
            return False
        return True

    def _action(self) -> tuple[Action, dict[str, str], datetime]:
        body: dict[str, Any] = {"form": self._capture.form} if self._capture.form else {}
        texts: dict[str, str] = {}
        for ask in _keyed(self._capture):
            answer = self.cleaned_data[ask.name]
            if answer in ("", None, [], {}):
                continue
            if ask.into == "text":
                texts[ask.name] = answer
            elif ask.into == "values":
                body.setdefault("values", {})[ask.name] = answer
            else:
                body[ask.name] = answer
        written_at = self.cleaned_data["written_at"]
        if self._capture.kind == "danger-reported":
            body["told_at"] = written_at
        action = read_action(self._capture.kind, body)
        if action is None:
            raise BrokenEventError(f"{self._capture.kind} is not known.")
        return action, texts, moment_of(written_at)


class LinesField(forms.CharField):
    """One word on a line, as a list."""

    widget = forms.Textarea(attrs={"rows": 4})

    def clean(self, value: Any) -> list[str]:
        """The lines that hold something."""
        return [line.strip() for line in str(super().clean(value)).splitlines() if line.strip()]


class GridField(forms.CharField):
    """Machines with a word each: `M1 attended`, one on a line."""

    widget = forms.Textarea(attrs={"rows": 8, "autocapitalize": "none"})

    def __init__(self, words: tuple[str, ...], **others: Any) -> None:
        super().__init__(**others)
        self._words = words

    def clean(self, value: Any) -> dict[str, str]:
        """Machine to word."""
        found: dict[str, str] = {}
        for line in str(super().clean(value)).splitlines():
            machine, _, word = line.strip().rpartition(" ")
            if not line.strip():
                continue
            if not machine or word not in self._words:
                raise forms.ValidationError(
                    f"“{line.strip()}” is not a machine with one of {', '.join(self._words)}."
                )
            found[machine.strip()] = word
        return found


def _keyed(capture: Capture) -> list[Ask]:
    """What can be keyed in: everything but a picture."""
    return [ask for ask in capture.asks if ask.kind != "photo"]


def _field(ask: Ask, page: AuditPage) -> forms.Field:
    """A question as a field of a form."""
    common: dict[str, Any] = {
        "label": ask.label,
        "required": ask.needed,
        "help_text": ask.help,
    }
    choices = ask.choices if ask.needed else (("", "—"), *ask.choices)
    match ask.kind:
        case "words":
            return forms.CharField(widget=forms.Textarea(attrs={"rows": 3}), **common)
        case "choice" | "language":
            return forms.ChoiceField(choices=choices, **common)
        case "switch":
            return forms.BooleanField(**common)
        case "count":
            return forms.IntegerField(min_value=0, **common)
        case "lots":
            return LinesField(**common | {"help_text": "One lot on a line."})
        case "grid":
            words = tuple(value for value, _ in ask.choices)
            told = f"A machine and a word on each line: {', '.join(words)}."
            return GridField(words, **common | {"help_text": told})
        case "time":
            return LocalMomentField(zone=page.zone, **common)
        case _:
            return forms.CharField(max_length=400, **common)
