"""The working papers as sheets of plain values: what a colleague needs to reach each number again.

Workbook and JSON are written from these. Statements carry no shift, place or hour, because with the
role these could name one person; protected sources are absent, in the journal's list too.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

from witnessmark.audit.forms import FORMS
from witnessmark.audit.withheld import HEARD
from witnessmark.report.audit_report.evidence import evidence_text, values_said
from witnessmark.report.audit_report.sources import Sources
from witnessmark.report.audit_report.values import AuditReport
from witnessmark.report.audit_report.working_records import Cell, Row, record_sheets


@dataclass(frozen=True)
class Sheet:
    """One sheet.

    Args:
        name: Key of its words in the language file, and of its entry in JSON.
        title: Its name for a reader.
        about: One sentence above the table.
        columns: Headings.
        rows: Cells; texts, numbers or nothing.
        total: Rows there are, of which `rows` may show the first.
    """

    name: str
    title: str
    about: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    total: int
    keys: tuple[str, ...] = field(default=())


def working_papers(sources: Sources, report: AuditReport) -> tuple[Sheet, ...]:
    """All sheets, in the order of a reader."""
    own = {
        "about": _about(report),
        "requests": _requests(sources),
        "statements": _statements(sources),
        "observations": _observations(sources),
        "documents": _documents(sources),
        "against": _against(sources, report),
        "findings": _findings(report),
        "samples": _samples(report),
    }
    made = {name: (rows := tuple(found), len(rows))[:2] for name, found in own.items()}
    made |= record_sheets(sources)
    journal = tuple(_journal(sources))
    made["journal"] = (journal, len(journal))
    sheets = tuple(_sheet(sources, name, rows, total) for name, (rows, total) in made.items())
    return sources.guarded(sheets)


def _sheet(sources: Sources, name: str, rows: tuple[Row, ...], total: int) -> Sheet:
    keys = sources.say("columns." + name).split("|")
    return Sheet(
        name,
        sources.say("sheets." + name),
        sources.say("sheets_about." + name),
        tuple(sources.say.named("column_names", key) for key in keys),
        rows,
        total,
        tuple(keys),
    )


def _about(report: AuditReport) -> Iterator[Row]:
    for name in report.title.__dataclass_fields__:
        yield name, getattr(report.title, name)
    yield "draft", "yes" if report.draft else "no"
    yield "result", report.result


def _requests(sources: Sources) -> Iterator[Row]:
    for one in sources.state.requests.values():
        asked: tuple[Cell, ...] = (
            one.what,
            one.asked_role,
            sources.when(one.at),
            sources.when(one.due),
            one.seen_when_asked,
        )
        for got in one.receipts:
            yield *asked, sources.when(got.at), got.what, got.changed, got.sha256
        if not one.receipts:
            yield *asked, "", "", "", ""


def _statements(sources: Sources) -> Iterator[Row]:
    for one in sources.statements:
        answers = [
            " ".join(
                part
                for part in (
                    answer.how,
                    answer.result,
                    evidence_text(sources, answer.cited) if answer.cited else "",
                    answer.reason,
                )
                if part
            )
            for answer in one.answers
            if answer.id not in sources.hidden and sources.may_show(answer.cited)
        ]
        yield (
            sources.day(one.at),
            one.role,
            one.language,
            sources.text(one.words_sealed),
            sources.text(one.translation_sealed),
            sources.say.named("read_back", one.read_back),
            ", ".join(one.vague),
            one.requirement,
            "; ".join(answers),
        )


def _observations(sources: Sources) -> Iterator[Row]:
    for one in sources.state.observations.values():
        compared = [
            f"{item.field_name}: {item.result} ({item.seen} / {item.recorded})"
            for item in one.compared
        ]
        photos = [photo.sha256 for id_ in one.photos if (photo := sources.state.photos.get(id_))]
        yield (
            sources.when(one.seen_at or one.at),
            one.place,
            one.machine,
            FORMS[one.form].title if one.form in FORMS else one.form,
            "; ".join(values_said(one.values)),
            sources.text(one.note_sealed),
            one.agreed_by,
            "; ".join(compared),
            ", ".join(photos),
        )


def _documents(sources: Sources) -> Iterator[Row]:
    for one in sources.state.documents.values():
        yield (
            sources.when(one.at),
            one.title,
            one.revision,
            one.page,
            sources.text(one.text_sealed),
            one.receipt,
            "",
        )
    for photo in sources.state.photos.values():
        yield (
            sources.when(photo.at),
            photo.caption,
            photo.media_type,
            "",
            sources.say("text.destroyed") if photo.destroyed else "",
            photo.permission,
            photo.sha256,
        )


def _against(sources: Sources, report: AuditReport) -> Iterator[Row]:
    """What speaks against: on trails, in answers to statements, in comparisons with records."""
    for trail in report.trails:
        for item in trail.evidence:
            if item.bears == "against":
                yield trail.proposition, item.text, item.note
    for one in sources.statements:
        for answer in one.answers:
            if answer.result == "contradicts" and sources.may_show(answer.cited):
                told = evidence_text(sources, answer.cited) if answer.cited else ""
                yield sources.text(one.words_sealed), told, answer.reason
    for seen in sources.state.observations.values():
        for found in seen.compared:
            if found.result == "contradicts":
                told = f"{found.field_name}: {found.seen}"
                yield told, found.recorded, ", ".join(found.rows)


def _findings(report: AuditReport) -> Iterator[Row]:
    for one in report.findings:
        for fact in one.facts:
            yield (
                one.number,
                one.grade,
                one.state,
                one.requirement.document,
                one.requirement.clause,
                one.statement,
                fact.text,
                fact.counted,
                fact.period,
                fact.selection,
                fact.source,
                fact.doubt,
            )


def _samples(report: AuditReport) -> Iterator[Row]:
    """How the units behind each fact were chosen; a rate is only claimed of a whole population."""
    for one in report.findings:
        for fact in one.facts:
            if fact.selection:
                yield one.number, fact.text, fact.counted, fact.selection, fact.period


def _journal(sources: Sources) -> Iterator[Row]:
    """Every entry. One that tells of a protected source keeps its hashes, and nothing else."""
    say = sources.say
    for item in sources.received:
        entry, event = item.entry, item.event
        if event is None or event.id in sources.hidden:
            yield entry.seq, "", "", "", "", "", entry.event_hash, entry.hash
            continue
        member = sources.state.members.get(event.author)
        role = say.named("role", member.role) if member else ""
        # With the hour, a statement's role could be joined to a shift.
        told = sources.day if event.kind == HEARD else sources.when
        signed = say("journal.device" if entry.event_key else "journal.receipt")
        yield (
            entry.seq,
            told(entry.received_at),
            told(event.at),
            role,
            event.kind,
            signed,
            entry.event_hash,
            entry.hash,
        )
