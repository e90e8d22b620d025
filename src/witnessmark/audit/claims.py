"""Every number that trails, statements and findings cite from the records, in one list.

Re-performing goes through this list, and a sealed file carries what it needs. This module
recomputes nothing.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from witnessmark.audit.cited import Cited, Fact
from witnessmark.audit.effect import UNITS
from witnessmark.audit.items import Finding, Freeze, Verification
from witnessmark.audit.state import AuditState

RECORDS = frozenset({"outcome", "stratum", "row"})
SHOWN = 60


@dataclass(frozen=True)
class Claim:
    """One number that somebody cites.

    Args:
        where: Which fact, trail or result says so.
        what: `exceptions`, `assessed`, `population`, `not assessable`, `status` or `row`; or, of
            what no record test counts, in words.
        said: The number; of a row, its ref.
        freeze: Identity of the freeze; empty where it cites no records.
        slug: The record test.
        stratum: As `attendance=covered`; empty for the whole.
        digest: Of the outcome it was read from; empty where it does not say.
        recorded: Whether this is the journal's own record of an outcome.
        partly: Whether a part of the period may have been left out: the time that set an action
            off does not count against it.
    """

    where: str
    what: str
    said: int | float | str
    freeze: str = ""
    slug: str = ""
    stratum: str = ""
    digest: str = ""
    recorded: bool = False
    partly: bool = False

    @property
    def of(self) -> str:
        """What it is a number of."""
        of = f"{self.what} of {self.slug}" if self.slug else self.what
        return f"{of}, {self.stratum}" if self.stratum else of


def claims_of(state: AuditState) -> list[Claim]:
    """All numbers: findings first, then trails, statements, and what the journal recorded."""
    found: list[Claim] = []
    for finding in state.findings.values():
        found += _of_finding(finding)
    for number, trail in enumerate(state.trails.values(), start=1):
        where = f"trail {number} ({_short(trail.proposition)})"
        if trail.origin is not None:
            found += _of_cited(f"{where}, origin", trail.origin)
        for place, link in enumerate(trail.evidence, start=1):
            found += _of_cited(f"{where}, evidence {place}", link.cited)
    for number, statement in enumerate(state.statements.values(), start=1):
        for place, answer in enumerate(statement.answers, start=1):
            if answer.cited is not None:
                found += _of_cited(f"statement {number}, answer {place}", answer.cited)
    for freeze in state.freezes.values():
        found += _of_freeze(freeze)
    return found


def _of_finding(finding: Finding) -> Iterator[Claim]:
    name = f"finding {finding.number}"
    for number, fact in enumerate(finding.facts, start=1):
        yield from _of_fact(f"{name}, fact {number} ({_short(fact.text)})", fact)
    for number, item in enumerate(finding.verifications, start=1):
        yield from _of_verification(f"{name}, verification {number}", item)


def _of_fact(where: str, fact: Fact) -> Iterator[Claim]:
    cited = fact.cited
    counted = cited is not None and cited.kind in {"outcome", "stratum"}
    for what, said in (("exceptions", fact.x), ("assessed", fact.n)):
        if said is None:
            continue
        if counted and cited is not None:
            yield _claim(where, what, said, cited)
        else:
            yield Claim(where, "x" if what == "exceptions" else "n", said)
    if cited is not None:
        yield from _of_cited(f"{where}, as cited", cited)


def _of_cited(where: str, cited: Cited) -> Iterator[Claim]:
    if cited.kind not in RECORDS:
        return
    for what, said in (("exceptions", cited.exceptions), ("assessed", cited.assessed)):
        if said is not None and cited.kind != "row":
            yield _claim(where, what, said, cited)
    if cited.kind == "row":
        yield _claim(where, "row", cited.ref, cited)


def _claim(where: str, what: str, said: int | str, cited: Cited) -> Claim:
    stratum = cited.stratum if cited.kind == "stratum" else ""
    return Claim(where, what, said, cited.freeze, cited.slug, stratum, cited.digest)


def _of_verification(where: str, item: Verification) -> Iterator[Claim]:
    before = (item.before_freeze, item.before_x, item.before_exposure)
    after = (item.after_freeze, item.after_x, item.after_exposure)
    for name, (freeze, x, exposure) in {"before": before, "after": after}.items():
        place, partly = f"{where}, {name}", name == "before"
        yield Claim(place, "exceptions", x, freeze, item.slug, partly=partly)
        if item.exposure == UNITS:
            yield Claim(place, "assessed", exposure, freeze, item.slug, partly=partly)
        else:
            yield Claim(place, f"exposure in {item.exposure}", exposure)


def _of_freeze(freeze: Freeze) -> Iterator[Claim]:
    for slug, result in sorted(freeze.outcomes.items()):
        told: dict[str, int | str] = {
            "status": result.status,
            "exceptions": result.exceptions,
            "assessed": result.assessed,
            "population": result.population,
            "not assessable": result.not_assessable,
        }
        for what, said in told.items():
            where = f"outcomes recorded of {freeze.freeze}"
            yield Claim(where, what, said, freeze.freeze, slug, "", result.digest, recorded=True)


def _short(text: str) -> str:
    flat = " ".join(text.split())
    return flat if len(flat) <= SHOWN else f"{flat[: SHOWN - 1]}…"
