"""Fields that several forms of these pages share, worded once."""

from typing import Any

from django import forms

from witnessmark.web.desk.audit_page import AuditPage
from witnessmark.web.desk.moments import LocalMomentField

LONG = 20_000
SHORT = 200
BEARS = (
    ("for", "It speaks for the proposition"),
    ("against", "It speaks against it"),
    ("neutral", "Neither"),
)


def text(label: str, help_text: str = "", *, required: bool = True, rows: int = 3) -> Any:
    """A field for sentences."""
    return forms.CharField(
        label=label,
        help_text=help_text,
        required=required,
        max_length=LONG,
        widget=forms.Textarea({"rows": rows}),
    )


def line(label: str, help_text: str = "", *, required: bool = False, **others: Any) -> Any:
    """A field for a line."""
    return forms.CharField(
        label=label, help_text=help_text, required=required, max_length=SHORT, **others
    )


def choice(label: str, choices: Any, help_text: str = "", **others: Any) -> Any:
    """One of a few, all in sight."""
    return forms.ChoiceField(
        label=label, choices=choices, help_text=help_text, widget=forms.RadioSelect, **others
    )


def moment(page: AuditPage, label: str, help_text: str = "", *, required: bool = False) -> Any:
    """A date and time in the plant's zone."""
    told = help_text or f"In the plant’s time, {page.state.opening.zone}."
    return LocalMomentField(zone=page.zone, label=label, help_text=told, required=required)
