"""Keeps the words of protected sources out of what leaves the team's own desk.

A protected source informs a trail and appears nowhere else: a form whose text a report, an auditee
or an observer will read refuses a text that repeats such words.
"""

from collections.abc import Iterable, Mapping
from typing import Any

from witnessmark.audit.items import Finding
from witnessmark.audit.withheld import repeats
from witnessmark.web.desk.audit_page import AuditPage

REPEATS = (
    "This repeats words of a protected source. It may inform a trail and appears nowhere else: "
    "say what records or sight show, in other words."
)


def repeats_protected(page: AuditPage, texts: Iterable[str]) -> bool:
    """Whether any text repeats the words of a protected source of this audit.

    Only ever asked for the team; to anybody else the answer itself would tell something.
    """
    if not page.is_team:
        return False
    marks = [
        mark
        for statement in page.state.statements.values()
        if statement.protected
        for mark in (statement.words_sealed, statement.translation_sealed)
    ]
    hidden = tuple(words for mark in marks if (words := page.reveal(mark)))
    return bool(hidden) and any(repeats(text, hidden) for text in texts)


def texts_of(finding: Finding) -> list[str]:
    """Every text of a finding that others will read."""
    names = ("statement", "process", "place", "extent", "consequence", "rival_excluded")
    facts = [text for fact in finding.facts for text in (fact.text, fact.period, fact.selection)]
    grading = [finding.grading.reason] if finding.grading else []
    own = [str(getattr(finding, name)) for name in names]
    return [*own, finding.requirement.paraphrase, *facts, *grading]


def texts_in(told: Mapping[str, Any]) -> list[str]:
    """Every text of a form, lists taken apart."""
    texts: list[str] = []
    for value in told.values():
        if isinstance(value, str):
            texts.append(value)
        elif isinstance(value, tuple):
            texts += [item for item in value if isinstance(item, str)]
    return texts
