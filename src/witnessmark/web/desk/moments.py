"""Times as people type them, in the plant's zone, to instants of the journal and back."""

from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms

from witnessmark.audit.event import INSTANT, moment_of, written


class LocalMomentField(forms.DateTimeField):
    """A date and time in the plant's zone; cleaned to an instant of the journal, or empty text.

    A time that the spring change leaves out is refused; of the two readings of an autumn hour the
    earlier one is taken, and the help text says so.
    """

    widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")

    def __init__(self, *, zone: ZoneInfo, **others: Any) -> None:
        self._zone = zone
        super().__init__(**others)

    def prepare_value(self, value: object) -> object:
        """An instant of the journal as the input takes it: local wall-clock time."""
        if isinstance(value, str) and INSTANT.fullmatch(value):
            return moment_of(value).astimezone(self._zone).strftime("%Y-%m-%dT%H:%M")
        return value

    def to_python(self, value: object) -> datetime | None:
        """The wall-clock time, without a zone of Django's."""
        if not value:
            return None
        try:
            moment = datetime.fromisoformat(str(value))
        except ValueError as error:
            raise forms.ValidationError("Expected a date and a time.") from error
        return moment.replace(tzinfo=None)

    def clean(self, value: object) -> str:
        """The instant as the journal writes it; empty where nothing was given."""
        local = super().clean(value)
        if local is None:
            return ""
        moment = local.replace(tzinfo=self._zone).astimezone(UTC)
        if moment.astimezone(self._zone).replace(tzinfo=None) != local:
            raise forms.ValidationError("This time never happened: the clocks were set forward.")
        return written(moment)
