"""Papers of an audit as files: made by a job, kept with their hashes, given out when issued.

A set is a folder of its own: `made.json` says from which entry of the journal it was made and the
SHA-256 of every file; a file that is no longer the one that was made is not given out.
"""

import secrets
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import msgspec
from django.conf import settings

from witnessmark.audit.canonical import sha256
from witnessmark.audit.event import written
from witnessmark.audit.items import Report
from witnessmark.audit.state import AuditState
from witnessmark.errors import UnusableInputError, Where
from witnessmark.record_tests.kept import load_kept
from witnessmark.report.audit_report.papers import Papers, papers_of
from witnessmark.report.audit_report.sources import Sources
from witnessmark.web.data_folder import ONLY_OWNER, write_private
from witnessmark.web.desk.working.kept import home_of
from witnessmark.web.jobs.kinds import Tell
from witnessmark.web.store.desk import STATES, STORE, desk

MADE = "made.json"
FORMS = {"pdf": "Report", "workbook": "Working papers", "json": "Report and working papers, JSON"}
RECORD = "nonconformity"
SHORT = 12


class File(msgspec.Struct, frozen=True):
    """One file of a set: what it is, its hash, its size; `number` of its finding for a record."""

    name: str
    form: str
    sha256: str
    size: int
    number: int = 0

    @property
    def title(self) -> str:
        """What it is, in words."""
        if self.form == RECORD:
            return f"Nonconformity record, finding {self.number}"
        return FORMS[self.form]


class Made(msgspec.Struct, frozen=True):
    """What a set was made from, and what is in it."""

    head: str
    entries: int
    made_at: str
    is_final: bool
    files: list[File]


@dataclass(frozen=True)
class Set:
    """A set of papers on disk."""

    key: str
    folder: Path
    made: Made

    def file(self, name: str) -> File | None:
        """A file of the set by its name."""
        return next((file for file in self.made.files if file.name == name), None)

    def read(self, file: File) -> bytes:
        """The bytes of a file, as they were made.

        Raises:
            UnusableInputError: They are not.
        """
        path = self.folder / file.name
        data = path.read_bytes() if path.exists() else b""
        if sha256(data) != file.sha256:
            raise UnusableInputError.one(
                Where(file.name), "this is not the file that was made.", mend="Make it again."
            )
        return data


def sources_of(audit: str) -> Sources:
    """The audit with its journal and what its runs kept."""
    state = STATES.state(audit)
    folders = {
        freeze.freeze: home
        for freeze in state.freezes.values()
        if (home := home_of(freeze)).is_dir()
    }
    return Sources(
        state=state,
        reveal=STORE.reveal,
        received=STORE.received(audit),
        outcomes={freeze: load_kept(folder) for freeze, folder in folders.items()},
        folders=folders,
        language=state.opening.language,
    )


def make_papers(audit: str, is_final: bool, tell: Tell) -> Set:
    """Makes a set of papers; it appears whole or not at all."""
    tell("Reading journal and outcomes", 0.05)
    sources = sources_of(audit)
    papers = papers_of(sources, issued=is_final)
    made_at = written(desk().clock())
    parent = home(audit)
    parent.mkdir(mode=ONLY_OWNER, parents=True, exist_ok=True)
    key = f"{made_at[:10]}-{secrets.token_hex(4)}"
    draft = parent / f".{key}"
    draft.mkdir(mode=ONLY_OWNER)
    files = list(_write(papers, draft, tell))
    head = sources.received[-1].entry
    made = Made(head.hash, head.seq, made_at, is_final, files)
    write_private(draft / MADE, msgspec.json.encode(made))
    folder = parent / key
    draft.rename(folder)
    return Set(key, folder, made)


def _write(papers: Papers, folder: Path, tell: Tell) -> Iterator[File]:
    tell("Setting the report", 0.2)
    yield _keep(folder, "report.pdf", "pdf", papers.pdf())
    tell("Writing the working papers", 0.5)
    yield _keep(folder, "working-papers.xlsx", "workbook", papers.workbook())
    yield _keep(folder, "report.json", "json", papers.json())
    for place, number in enumerate(papers.numbers):
        tell(f"Setting the record of finding {number}", 0.6 + 0.4 * place / len(papers.numbers))
        yield _keep(folder, f"record-{number}.pdf", RECORD, papers.record(number), number)


def _keep(folder: Path, name: str, form: str, data: bytes, number: int = 0) -> File:
    write_private(folder / name, data)
    return File(name, form, sha256(data), len(data), number)


def home(audit: str) -> Path:
    """The folder of an audit's papers."""
    reports: Path = settings.CONFIG.data.reports
    return reports / audit


def sets_of(audit: str) -> list[Set]:
    """Every set of papers of an audit, the newest first."""
    folder = home(audit)
    found = []
    for path in folder.iterdir() if folder.is_dir() else ():
        if not path.name.startswith(".") and (path / MADE).is_file():
            made = msgspec.json.decode((path / MADE).read_bytes(), type=Made)
            found.append(Set(path.name, path, made))
    return sorted(found, key=lambda one: (one.made.made_at, one.key), reverse=True)


def set_of(audit: str, key: str) -> Set | None:
    """A set by its key; the key is compared with what is there, never made into a path."""
    return next((one for one in sets_of(audit) if one.key == key), None)


def issued_as(state: AuditState, file: File) -> Report | None:
    """The issue of a file in the journal; None where it was not issued."""
    reports = (report for report in state.reports.values() if report.sha256 == file.sha256)
    return next(reports, None)
