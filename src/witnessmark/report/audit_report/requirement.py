"""A requirement as a formal record may print it.

A clause that nobody has held against a licensed copy is not printed; the plant's own document is,
with a note. This module knows no finding.
"""

from collections.abc import Callable, Sequence

from witnessmark.audit.cited import Requirement
from witnessmark.audit.state import Criterion
from witnessmark.criteria.requirements import requirement_of
from witnessmark.report.audit_report.values import CriterionSaid, RequirementSaid
from witnessmark.report.audit_report.wording import Wording


def requirement_said(requirement: Requirement, say: Wording) -> RequirementSaid:
    """The requirement of a finding."""
    withheld = bool(requirement.clause) and not requirement.confirmed
    clause = f"{requirement.standard} {requirement.clause}".strip() if requirement.clause else ""
    return RequirementSaid(
        document=document_said(requirement.document, requirement.revision, say),
        clause="" if withheld else clause,
        words=requirement.paraphrase,
        note=say("requirement.withheld") if withheld else "",
    )


def document_said(document: str, revision: str, say: Wording) -> str:
    """A document with the revision that was valid then."""
    return (
        say("requirement.revision", document=document, revision=revision) if revision else document
    )


def criteria_said(
    criteria: Sequence[Criterion], day: Callable[[str], str]
) -> tuple[CriterionSaid, ...]:
    """The documents of the audit; of their clauses only those the catalogue has as confirmed.

    Args:
        criteria: As stated.
        day: Puts a date into words.
    """
    said = []
    for criterion in criteria:
        sure = tuple(clause for clause in criterion.clauses if is_confirmed(clause))
        said.append(
            CriterionSaid(
                criterion.document,
                criterion.revision,
                day(criterion.valid_on),
                sure,
                len(criterion.clauses) - len(sure),
            )
        )
    return tuple(said)


def is_confirmed(clause: str) -> bool:
    """Whether the catalogue of requirements holds this clause as confirmed."""
    try:
        return requirement_of(clause).confidence == "confirmed"
    except KeyError:
        return False
