"""`witnessmark report`: what is given out of an audit, from its journal."""

from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Literal

from cyclopts import Parameter

from witnessmark.audit.fold import fold
from witnessmark.cli.installation import audit_named, open_installation
from witnessmark.cli.progress import Steps
from witnessmark.errors import UnusableInputError, Where
from witnessmark.record_tests.kept import load_kept
from witnessmark.report.audit_report.papers import Papers, papers_of
from witnessmark.report.audit_report.sources import Sources

Form = Literal["pdf", "workbook", "json", "record"]
FORMS: tuple[Form, ...] = ("pdf", "workbook", "json", "record")
SHORT = 8


def run(
    audit: str,
    *,
    out: Path,
    form: Annotated[list[Form] | None, Parameter(consume_multiple=True, negative="")] = None,
    finding: Annotated[list[int] | None, Parameter(consume_multiple=True, negative="")] = None,
    data: Path | None = None,
) -> None:
    """Write the report of an audit, its working papers and its nonconformity records.

    The same journal gives the same bytes. Until a report has been issued, every page says draft.

    Args:
        audit: UUID of the audit, or its title.
        out: Folder for the files; files of the same names are replaced.
        form: `pdf` (the report), `workbook` (working papers), `json` (both), `record` (one PDF per
            finding); all where none is named.
        finding: Numbers of findings, for `record`; all where none is named.
        data: The data folder of the installation.
    """
    with Steps() as steps:
        steps.step("the audit")
        papers = papers_of(sources_in(audit, data))
        out.mkdir(parents=True, exist_ok=True)
        written = []
        for name, content in files_of(papers, form or list(FORMS), finding or [], steps):
            (out / name).write_bytes(content)
            written.append(out / name)
    for path in written:
        print(path)


def sources_in(audit: str, data: Path | None) -> Sources:
    """What an installation holds of an audit; the one place that asks for it.

    Raises:
        UnusableInputError: No installation, no such audit, or kept outcomes that cannot be read.
    """
    place = open_installation(data)
    received = place.store.received(audit_named(audit))
    if not received:
        raise UnusableInputError.one(Where(audit), "this audit has no journal here.")
    state = fold(received)
    found = {freeze: place.records(freeze) for freeze in state.freezes}
    folders = {freeze: folder for freeze, folder in found.items() if folder is not None}
    return Sources(
        state=state,
        reveal=place.store.reveal,
        received=received,
        outcomes={freeze: load_kept(folder) for freeze, folder in folders.items()},
        folders=folders,
        language=state.opening.language,
    )


def files_of(
    papers: Papers, forms: list[Form], findings: list[int], steps: Steps
) -> Iterator[tuple[str, bytes]]:
    """Name and content of each file.

    Raises:
        UnusableInputError: A finding that does not stand in this audit.
    """
    mark = papers.report.title.audit[:SHORT]
    unknown = sorted(set(findings) - set(papers.numbers))
    if unknown:
        known = ", ".join(map(str, papers.numbers)) or "none"
        told = ", ".join(map(str, unknown))
        raise UnusableInputError.one(
            Where("--finding"), f"{told} does not stand in this audit.", f"one of: {known}"
        )
    for form in dict.fromkeys(forms):
        steps.step(form)
        match form:
            case "pdf":
                yield f"report-{mark}.pdf", papers.pdf()
            case "workbook":
                yield f"working-papers-{mark}.xlsx", papers.workbook()
            case "json":
                yield f"report-{mark}.json", papers.json()
            case "record":
                for number in findings or papers.numbers:
                    yield f"finding-{mark}-{number}.pdf", papers.record(number)
