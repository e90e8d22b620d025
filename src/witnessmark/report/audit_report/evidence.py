"""A piece of evidence in words: what it is, where it was had, what it says.

Rows are worded anew without persons, strata of small groups are not printed. What a protected
source said never comes here (see `sources`).
"""

import re
from collections.abc import Callable, Mapping
from datetime import datetime
from typing import TypeVar

from witnessmark.audit.cited import Cited
from witnessmark.audit.forms import FORMS
from witnessmark.audit.items import Document, Observation, Photo, Request, Statement
from witnessmark.record_tests.outcome import Row
from witnessmark.record_tests.persons import holds_person
from witnessmark.record_tests.record_test import catalogue
from witnessmark.report.audit_report.sources import SHORT, Sources
from witnessmark.report.gather.persons import sentence_of
from witnessmark.report.words import x_of_n

ItemT = TypeVar("ItemT")
WRITTEN = re.compile(r"\d{4}-\d\d-\d\d \d\d:\d\d:\d\d")
"""As `record_tests.kept` writes an instant."""
OF_PERSONS = frozenset({"shift", "role"})
"""Strata whose small groups could give a person away; the working paper has them merged."""


def evidence_text(sources: Sources, cited: Cited) -> str:
    """What is cited, in a sentence."""
    match cited.kind:
        case "statement":
            return _item(sources.state.statements.get(cited.id), sources, statement_text)
        case "observation":
            return _item(sources.state.observations.get(cited.id), sources, observation_text)
        case "document":
            return _item(sources.state.documents.get(cited.id), sources, document_text)
        case "photo":
            return _item(sources.state.photos.get(cited.id), sources, photo_text)
        case "request":
            return _item(sources.state.requests.get(cited.id), sources, request_text)
        case _:
            return record_text(sources, cited)


def _item(item: ItemT | None, sources: Sources, worded: Callable[[Sources, ItemT], str]) -> str:
    return worded(sources, item) if item is not None else sources.say("evidence.missing")


def statement_text(sources: Sources, statement: Statement) -> str:
    """The words with the speaker's role; neither shift nor hour, which could name one person."""
    said = sources.say(
        "evidence.statement", role=statement.role, words=sources.text(statement.words_sealed)
    )
    if statement.translation_sealed:
        said += " " + sources.say(
            "evidence.translation", words=sources.text(statement.translation_sealed)
        )
    return f"{said} ({sources.say.named('read_back', statement.read_back)})"


def observation_text(sources: Sources, item: Observation) -> str:
    """What was seen, where and when."""
    title = FORMS[item.form].title if item.form in FORMS else item.form
    where = ", ".join(part for part in (item.machine, item.place) if part)
    head = ", ".join(part for part in (title, where, sources.when(item.seen_at or item.at)) if part)
    said = [*values_said(item.values), sources.text(item.note_sealed)]
    return f"{head}: {'; '.join(part for part in said if part)}" if any(said) else head


def values_said(values: Mapping[str, object]) -> list[str]:
    """The answers of a form, one text each."""
    said = []
    for name, value in values.items():
        if isinstance(value, Mapping):
            said += [f"{key} {word}" for key, word in value.items()]
        elif isinstance(value, list | tuple):
            said.append(f"{name.replace('_', ' ')} {', '.join(map(str, value))}")
        elif value not in (None, ""):
            said.append(f"{name.replace('_', ' ')} {value}")
    return said


def document_text(sources: Sources, item: Document) -> str:
    """Document, revision, page, and what was read there."""
    head = " ".join(part for part in (item.title, item.revision, item.page) if part)
    text = sources.text(item.text_sealed)
    if text:
        return f"{head}: \u201c{text}\u201d"
    return sources.say("evidence.kept", document=head, receipt=item.receipt)


def photo_text(sources: Sources, item: Photo) -> str:
    """The caption with the hash of the file."""
    gone = f" ({sources.say('text.destroyed')})" if item.destroyed else ""
    return f"{item.caption or sources.say('evidence.photo')}, {item.sha256[:SHORT]}{gone}"


def request_text(sources: Sources, item: Request) -> str:
    """What was asked for, and what came."""
    came = "; ".join(
        f"{got.what}{f' ({got.changed})' if got.changed else ''}" for got in item.receipts
    )
    return f"{item.what}: {came or sources.say('evidence.nothing_came')}"


def record_text(sources: Sources, cited: Cited) -> str:
    """A result of the records: the whole test, a stratum of it, or one row."""
    where = f"{cited.slug}, {cited.freeze[:SHORT]}"
    if cited.kind == "row":
        return f"{row_sentence(sources, cited)} ({where})"
    counted = ""
    if cited.exceptions is not None and cited.assessed is not None:
        counted = x_of_n(cited.exceptions, cited.assessed)
    if cited.kind == "stratum":
        if not may_print_stratum(sources, cited):
            return sources.say("evidence.small_group", where=where)
        where = f"{cited.slug}, {cited.stratum}, {cited.freeze[:SHORT]}"
    return f"{counted} ({where})" if counted else where


def may_print_stratum(sources: Sources, cited: Cited) -> bool:
    """Whether a stratum hides one person: of shift and role, only what the paper itself prints."""
    name, _, value = cited.stratum.partition("=")
    if name not in OF_PERSONS:
        return True
    paper = sources.papers.get(cited.freeze)
    pages = [page for page in paper.tests if page.slug == cited.slug] if paper else []
    return any(
        row.words == value
        for page in pages
        for stratum in page.strata
        if stratum.name == name
        for row in stratum.rows
    )


def row_sentence(sources: Sources, cited: Cited) -> str:
    """The sentence of a row, made anew without persons; its ref alone where the row is not kept."""
    test, outcome = catalogue().get(cited.slug), sources.outcome(cited.freeze, cited.slug)
    rows = outcome.rows if outcome else ()
    row = next((row for row in rows if row.get("ref") == cited.ref), None)
    if test is not None and row is not None:
        return sentence_of(test, with_instants(row), sources.zone)[1]
    if test is None or any(map(holds_person, test.key)):
        return sources.say("evidence.row")
    return cited.ref


def with_instants(row: Row) -> dict[str, object]:
    """A kept row with its times as times again, so that they are shown on the plant's clock."""
    return {
        name: datetime.fromisoformat(value)
        if isinstance(value, str) and name.endswith("_at") and WRITTEN.fullmatch(value)
        else value
        for name, value in row.items()
    }
