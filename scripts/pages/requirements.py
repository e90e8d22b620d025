"""The requirements by clause, from the catalogue of requirements."""

from pages.markdown import link, page, table
from witnessmark.criteria.requirements import Requirement, requirement_of, requirements
from witnessmark.record_tests.record_test import catalogue

SOURCE = "src/witnessmark/criteria/requirements.toml"
CONFIDENCE = {
    "memory": "from memory",
    "secondary": "secondary literature",
    "confirmed": "confirmed",
}

INTRODUCTION = """
Clause numbers with their edition, and in our own words what a clause asks for. The text of a
standard is not here: read it in a licensed copy. A clause marked *from memory* is to be checked
there before it is printed in a formal record. A record test names the clauses that are nearest to
what it finds; which requirement a finding rests on is the auditor's decision.
"""


def pages() -> dict[str, str]:
    """The one page of the requirements."""
    parts = [INTRODUCTION]
    entries = list(requirements().values())
    for document in dict.fromkeys(map(_document, entries)):
        rows = [_row(entry) for entry in entries if _document(entry) == document]
        heads = ["clause", "what it asks for", "how sure", "record tests"]
        parts += [f"## {document}", table(heads, rows)]
    return {"reference/requirements.md": page("Requirements", SOURCE, parts)}


def clause_text(clause: str) -> str:
    """A clause as record tests name it, written out: standard, number, meaning, how sure."""
    entry = requirement_of(clause)
    number = clause.partition(" ")[2]
    said = entry.paraphrase.rstrip(".")
    return f"{_document(entry)}, {number}: {said} ({CONFIDENCE[entry.confidence]})."


def _document(entry: Requirement) -> str:
    return f"{entry.standard}:{entry.edition}"


def _row(entry: Requirement) -> tuple[str, str, str, str]:
    named = [
        link(slug, f"../record_tests/{slug}.md")
        for slug, test in catalogue().items()
        if any(requirement_of(clause) == entry for clause in test.clauses)
    ]
    number = entry.clause.partition(" ")[2]
    return number, entry.paraphrase, CONFIDENCE[entry.confidence], ", ".join(named)
