"""What was seen, in words: the answers to a form as a reader takes them in at a glance."""

from collections import defaultdict
from collections.abc import Mapping

from witnessmark.audit.event import BrokenEventError, moment_of
from witnessmark.audit.forms import FORMS, Field
from witnessmark.audit.items import Observation
from witnessmark.web.desk.audit_page import AuditPage


def title_of(item: Observation) -> str:
    """What kind of observation it is, with its machine."""
    form = FORMS.get(item.form)
    title = form.title if form else item.form
    return f"{title}: {item.machine}" if item.machine else title


def answers_of(item: Observation, page: AuditPage) -> list[tuple[str, str]]:
    """Question and answer of a form; a grid answer by answer, each with its machines."""
    form = FORMS.get(item.form)
    told: list[tuple[str, str]] = []
    for field in form.fields if form else ():
        value = item.values.get(field.name)
        if value in (None, "", [], {}):
            continue
        if field.kind == "grid" and isinstance(value, Mapping):
            told += _by_answer(field, value)
        else:
            told.append((field.label, _word(field, value, page)))
    return told


def sentence_of(item: Observation, page: AuditPage) -> str:
    """The whole observation in a line: its note, else its answers."""
    note = page.reveal(item.note_sealed)
    if note is None:
        note = "(the note was destroyed)"
    answers = "; ".join(f"{label}: {value}" for label, value in answers_of(item, page))
    said = ". ".join(part for part in (answers, note) if part)
    return f"{item.machine}: {said}" if item.machine and said else said or title_of(item)


def _by_answer(field: Field, value: Mapping[str, object]) -> list[tuple[str, str]]:
    machines: dict[str, list[str]] = defaultdict(list)
    for machine, answer in value.items():
        machines[str(answer)].append(str(machine))
    known = [word for word in field.words if word in machines]
    return [(word.capitalize(), ", ".join(machines[word])) for word in known]


def _word(field: Field, value: object, page: AuditPage) -> str:
    if field.kind == "lots" and isinstance(value, list | tuple):
        return ", ".join(str(lot) for lot in value)
    if field.kind == "instant":
        try:
            return moment_of(str(value)).astimezone(page.zone).strftime("%a %d %b, %H:%M")
        except BrokenEventError:
            return str(value)
    return str(value)
