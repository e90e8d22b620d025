"""Forms of a structured observation: what each asks, in which words it is answered.

The notebook draws its controls from this, and the comparison with the records (`compare`) reads
the same names. This module knows neither.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

PRESENCE = ("attended", "watched", "nobody", "unclear")
STATES = ("running", "stopped", "set-up", "unclear")
COLOURS = ("green", "amber", "red", "none", "unclear")


@dataclass(frozen=True)
class Field:
    """One question of a form.

    Args:
        name: Key in `values`.
        label: As it is asked.
        kind: `word` (one of `words`), `count` (a whole number), `text`, `instant`, `lots` (texts),
            `grid` (machine to one of `words`).
        words: Admitted answers.
        needed: Whether the form is nothing without it.
    """

    name: str
    label: str
    kind: str
    words: tuple[str, ...] = ()
    needed: bool = False


@dataclass(frozen=True)
class Form:
    """A form, with the sentence that stands above it."""

    name: str
    title: str
    fields: tuple[Field, ...]
    by_machine: bool = True


FORMS: Mapping[str, Form] = {
    form.name: form
    for form in (
        Form("free", "Something seen", (), by_machine=False),
        Form(
            "staffing",
            "Who is at which machine",
            (Field("grid", "Machines", "grid", PRESENCE, needed=True),),
            by_machine=False,
        ),
        Form(
            "round",
            "A round over all machines",
            (Field("grid", "Machines", "grid", STATES, needed=True),),
            by_machine=False,
        ),
        Form(
            "machine-state",
            "What a machine does",
            (
                Field("state", "State", "word", STATES, needed=True),
                Field("presence", "Who attends", "word", PRESENCE),
                Field("part_no", "Part", "text"),
            ),
        ),
        Form("counter", "Counter reading", (Field("pieces", "Pieces", "count", needed=True),)),
        Form(
            "last-check",
            "Last check on the sheet",
            (
                Field("checked_at", "Entered for", "instant", needed=True),
                Field("line", "Characteristic or line", "text"),
                Field("result", "Result", "word", ("pass", "fail", "blank", "unclear")),
            ),
        ),
        Form(
            "board",
            "Daily board",
            (
                Field("area", "Area", "text", needed=True),
                Field("letter", "Measure", "text", needed=True),
                Field("day", "Day", "text", needed=True),
                Field("colour", "Colour", "word", COLOURS, needed=True),
            ),
            by_machine=False,
        ),
        Form(
            "hold-area",
            "Lots in the hold area",
            (Field("lots", "Lots", "lots", needed=True),),
            by_machine=False,
        ),
    )
}


def check_values(form: str, values: Mapping[str, Any]) -> list[str]:
    """What is wrong with the answers to a form; empty where nothing is."""
    if form not in FORMS:
        return [f"There is no form {form!r}; there are {', '.join(FORMS)}."]
    fields = {field.name: field for field in FORMS[form].fields}
    faults = [f"The form {form} does not ask {name!r}." for name in values if name not in fields]
    for field in fields.values():
        value = values.get(field.name)
        if value in (None, "", [], {}):
            if field.needed:
                faults.append(f"{field.label}: an answer is needed.")
        elif not _fits(field, value):
            allowed = f" Expected one of {', '.join(field.words)}." if field.words else ""
            faults.append(f"{field.label}: {value!r} is no answer.{allowed}")
    return faults


def _fits(field: Field, value: object) -> bool:
    match field.kind:
        case "word":
            return value in field.words
        case "count":
            return isinstance(value, int) and not isinstance(value, bool) and value >= 0
        case "lots":
            if isinstance(value, str) or not isinstance(value, Sequence):
                return False
            return all(isinstance(lot, str) for lot in value)
        case "grid":
            return isinstance(value, Mapping) and all(v in field.words for v in value.values())
        case _:
            return isinstance(value, str)
