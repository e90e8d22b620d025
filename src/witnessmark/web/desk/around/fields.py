"""Kinds of form fields that the pages around an audit share.

A field cleans to what an action takes: texts, tuples of texts, days as 2026-03-24.
"""

from collections.abc import Iterable
from datetime import date
from typing import Any

from django import forms

LONGEST = 8000
"""Letters of the longest text of one field."""
ONE_LINE = 300
MOST_LINES = 500


class TextField(forms.CharField):
    """Several lines of text."""

    widget = forms.Textarea

    def __init__(self, **others: Any) -> None:
        others.setdefault("max_length", LONGEST)
        super().__init__(**others)


class LineField(forms.CharField):
    """One line of text."""

    def __init__(self, **others: Any) -> None:
        others.setdefault("max_length", ONE_LINE)
        super().__init__(**others)


class LinesField(TextField):
    """One entry a line; cleaned to a tuple, without doubles and empty lines."""

    def prepare_value(self, value: object) -> object:
        """Entries as lines."""
        return "\n".join(value) if isinstance(value, tuple | list) else value

    def clean(self, value: Any) -> tuple[str, ...]:
        """The entries."""
        lines = [line.strip() for line in str(super().clean(value)).splitlines()]
        entries = tuple(dict.fromkeys(line for line in lines if line))
        if len(entries) > MOST_LINES:
            raise forms.ValidationError(f"{len(entries)} entries; at most {MOST_LINES}.")
        return entries


class DayField(forms.DateField):
    """A day; cleaned to 2026-03-24, or an empty text."""

    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")

    def __init__(self, **others: Any) -> None:
        super().__init__(input_formats=["%Y-%m-%d"], **others)
        self.error_messages["invalid"] = "Expected a day, as 2026-03-24."

    def clean(self, value: Any) -> str:
        """The day in the form of the journal."""
        day = super().clean(value)
        return day.isoformat() if isinstance(day, date) else ""


def offer(form: forms.Form, name: str, choices: Iterable[tuple[str, str]]) -> None:
    """Sets what a field of a form offers, known only when its page is asked for."""
    field = form.fields[name]
    if not isinstance(field, forms.ChoiceField):
        raise TypeError(name)
    field.choices = list(choices)
