"""What lies beside a freeze in the data folder, for pages: the paper's values and the rows.

A freeze is only looked for where the audit has taken it in; its identity is never a path.
"""

import re
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path

from django.conf import settings
from django.http import Http404

from witnessmark.audit.cited import Cited, TestResult
from witnessmark.audit.items import Freeze
from witnessmark.audit.state import AuditState
from witnessmark.record_tests.kept import NAME, load_kept
from witnessmark.record_tests.outcome import Row
from witnessmark.record_tests.record_test import RecordTest, catalogue
from witnessmark.report.gather.persons import SMALL_GROUPS
from witnessmark.report.model import Paper, ShownRow, Stratum, StratumRow, TestPage
from witnessmark.report.run import load_paper
from witnessmark.report.words import ATTENDANCE

_CLASSES = {words: name for name, words in ATTENDANCE.items()}
IDENTITY = re.compile(r"[0-9a-f]{32}")


def freeze_in(state: AuditState, identity: str) -> Freeze:
    """A freeze that the audit has taken in.

    Raises:
        Http404: It has not.
    """
    found = state.freezes.get(identity)
    if found is None or not IDENTITY.fullmatch(identity):
        raise Http404
    return found


def home_of(freeze: Freeze) -> Path:
    """The folder of a freeze; it may be gone, or lie on another installation."""
    records: Path = settings.CONFIG.data.records
    return records / freeze.freeze


def paper_of(freeze: Freeze) -> Paper | None:
    """What the working paper of a freeze says; None where it is not on this installation."""
    return load_paper(home_of(freeze)) if IDENTITY.fullmatch(freeze.freeze) else None


def test_of(slug: str) -> RecordTest | None:
    """The record test of a slug; None where this version does not have it."""
    return catalogue().get(slug)


def page_of(freeze: Freeze, slug: str) -> TestPage | None:
    """What the paper says of one record test."""
    paper = paper_of(freeze)
    pages = paper.tests if paper else ()
    return next((page for page in pages if page.slug == slug), None)


def rows_of(freeze: Freeze, slug: str) -> Sequence[Row]:
    """The rows of an outcome as the engine made them, in the order of the paper's."""
    path = home_of(freeze) / NAME
    if not path.is_file():
        return ()
    return _rows(path.parent, path.stat().st_mtime_ns).get(slug, ())


def row_of(freeze: Freeze, slug: str, ref: str) -> tuple[ShownRow, Row] | None:
    """One row, as the paper shows it and as the engine made it."""
    page, rows = page_of(freeze, slug), rows_of(freeze, slug)
    shown = page.rows if page else ()
    return next(
        (pair for pair in zip(shown, rows, strict=False) if str(pair[1].get("ref")) == ref), None
    )


def stratum_key(stratum: Stratum, row: StratumRow) -> str:
    """A stratum's value as references name it: `attendance=covered`, not as the page words it."""
    value = _CLASSES.get(row.words, row.words) if stratum.name == "attendance" else row.words
    return f"{stratum.name.replace(' ', '_')}={value}"


def stratum_in(page: TestPage, named: str) -> tuple[Stratum, StratumRow] | None:
    """A stratum's value by its key, as the page words it; what was merged has none."""
    return next(
        (
            (stratum, row)
            for stratum in page.strata
            for row in stratum.rows
            if row.words != SMALL_GROUPS and stratum_key(stratum, row) == named
        ),
        None,
    )


def counted(freeze: Freeze, slug: str) -> TestResult | None:
    """The counts of a record test as the journal holds them."""
    return freeze.outcomes.get(slug)


def is_counted_anew(state: AuditState, cited: Cited) -> bool:
    """Whether the test ran again on these records since this was cited, with another digest."""
    freeze = state.freezes.get(cited.freeze)
    now = counted(freeze, cited.slug) if freeze else None
    return bool(cited.digest and now and now.digest != cited.digest)


@lru_cache(maxsize=8)
def _rows(folder: Path, changed: int) -> dict[str, Sequence[Row]]:
    del changed
    return {outcome.slug: outcome.rows for outcome in load_kept(folder)}
