"""What a fact of a finding can be read from, with its numbers as they stand there.

A form carries only the name of a source; text and numbers behind it always come from here, so
that nothing is retyped and nothing can be altered on the way. Protected sources are never among
them, and no sealed text is copied: what may be personal stays where it can be destroyed.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from witnessmark.audit.cited import Cited, Fact
from witnessmark.audit.event import moment_of
from witnessmark.audit.items import Observation, Trail
from witnessmark.audit.people import RefusedError
from witnessmark.record_tests.record_test import catalogue
from witnessmark.web.desk.audit_page import AuditPage

WHOLE = "whole population of the records"
ROW = "single record out of the whole population"


@dataclass(frozen=True)
class Source:
    """Something a fact can be read from.

    Args:
        key: Its name in a form: `link:<id>`, `kept:<n>`, `outcome:<freeze>:<slug>`.
        word: How a choice shows it.
        fact: The fact as it would stand, its text to be worded.
    """

    key: str
    word: str
    fact: Fact

    @property
    def is_counted(self) -> bool:
        """Whether its numbers come from the records and stand."""
        return self.fact.x is not None and self.fact.cited is not None


def of_trail(page: AuditPage, trail: Trail | None) -> Iterator[Source]:
    """Every piece of evidence on a trail that a finding may cite."""
    for link in trail.evidence if trail else ():
        fact = fact_of(page, link.cited)
        if fact is not None:
            yield Source(f"link:{link.id}", fact.text, fact)


def kept(facts: tuple[Fact, ...]) -> Iterator[Source]:
    """The facts that a finding has already, in their places."""
    for place, fact in enumerate(facts):
        if fact.cited is not None:
            yield Source(f"kept:{place}", fact.text, fact)


def of_outcome(page: AuditPage, key: str) -> Source | None:
    """The outcome that an address names as `freeze:slug`; None where there is none."""
    freeze, _, slug = key.partition(":")
    fact = fact_of(page, Cited("outcome", freeze=freeze, slug=slug))
    return Source(f"outcome:{freeze}:{slug}", fact.text, fact) if fact else None


def fact_of(page: AuditPage, cited: Cited) -> Fact | None:
    """A fact with what is cited behind it; None where it may not, or cannot, be cited."""
    match cited.kind:
        case "outcome" | "stratum" | "row":
            return _recorded(page, cited)
        case "observation":
            seen = page.state.observations.get(cited.id)
            return Fact(_seen(page, seen), cited=cited) if seen else None
        case "statement":
            said = page.state.statements.get(cited.id)
            if said is None or said.protected:
                return None
            where = ", ".join(filter(None, (said.role, said.shift, said.place)))
            return Fact(f"Said by {where} on {_when(page, said.at)}.", cited=cited)
        case "document":
            read = page.state.documents.get(cited.id)
            if read is None:
                return None
            told = (read.title, read.revision, f"page {read.page}" if read.page else "")
            return Fact(f"Read in {', '.join(filter(None, told))}.", cited=cited)
        case "photo":
            photo = page.state.photos.get(cited.id)
            text = f"Photo {_when(page, photo.at)}: {photo.caption}" if photo else ""
            return Fact(text, cited=cited) if photo else None
        case "request":
            asked = page.state.requests.get(cited.id)
            return Fact(f"Asked for: {asked.what}.", cited=cited) if asked else None


def _recorded(page: AuditPage, cited: Cited) -> Fact | None:
    freeze = page.state.freezes.get(cited.freeze)
    if freeze is None:
        return None
    test = catalogue().get(cited.slug)
    says = test.finding if test else cited.slug
    result = freeze.outcomes.get(cited.slug)
    if cited.kind == "row":
        return Fact(f"{says} ({cited.ref})", period=freeze.period, selection=ROW, cited=cited)
    x, n, digest = cited.exceptions, cited.assessed, cited.digest
    if x is None and cited.kind == "outcome" and result is not None:
        x, n, digest = result.exceptions, result.assessed, result.digest
    if x is None:
        return None
    whole = Cited(
        cited.kind,
        freeze=cited.freeze,
        slug=cited.slug,
        stratum=cited.stratum,
        digest=digest,
        exceptions=x,
        assessed=n,
    )
    left_out = result.not_assessable if result and cited.kind == "outcome" else 0
    selection = f"{WHOLE}, {left_out} not assessable" if left_out else WHOLE
    text = f"{says} ({cited.stratum.replace('=', ': ')})" if cited.stratum else says
    return Fact(text, x, n, freeze.period, selection, whole)


def _seen(page: AuditPage, seen: Observation) -> str:
    where = ", ".join(filter(None, (seen.machine, seen.place)))
    values = "; ".join(f"{name} {_value(value)}" for name, value in seen.values.items())
    told = f": {values}" if values else ""
    return f"Seen {_when(page, seen.seen_at or seen.at)}{' at ' + where if where else ''}{told}."


def _value(value: object) -> str:
    if isinstance(value, Mapping):
        return ", ".join(f"{name} {word}" for name, word in value.items())
    if isinstance(value, list | tuple):
        return ", ".join(map(str, value))
    return str(value)


def _when(page: AuditPage, instant: str) -> str:
    moment: datetime = moment_of(instant).astimezone(page.zone)
    return f"{moment.day} {moment:%b %Y, %H:%M}"


def need(sources: Mapping[str, Source], key: str) -> Source:
    """The source behind a key that a form sent.

    Raises:
        RefusedError: It is not offered for this finding.
    """
    if key not in sources:
        raise RefusedError("A fact names a source that this finding may not cite.")
    return sources[key]
