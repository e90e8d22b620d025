"""The way from a number to its rows: freeze, test, criteria, digest; and how it was examined.

Counts come from the kept outcomes; where only the journal has them, or the two differ, it says so.
"""

from witnessmark.audit.cited import TestResult
from witnessmark.audit.items import Freeze
from witnessmark.record_tests.outcome import Outcome, UsedCriterion
from witnessmark.records.manifest import read_manifest
from witnessmark.report.audit_report.conclusions import rate_words
from witnessmark.report.audit_report.sources import SHORT, Sources
from witnessmark.report.audit_report.values import Extract, Method, NumberSaid
from witnessmark.report.words import x_of_n

SHARE = "0..1"
"""Unit of a share."""


def numbers_said(sources: Sources) -> tuple[NumberSaid, ...]:
    """Every test on every freeze."""
    said: list[NumberSaid] = []
    for freeze in sources.state.freezes.values():
        kept = {one.slug: one for one in sources.outcomes.get(freeze.freeze, ())}
        slugs = sorted({*kept, *freeze.outcomes})
        said += [_number(sources, freeze, slug, kept.get(slug)) for slug in slugs]
    return tuple(said)


def _number(sources: Sources, freeze: Freeze, slug: str, kept: Outcome | None) -> NumberSaid:
    noted = freeze.outcomes.get(slug)
    if kept is None:
        return _noted(sources, freeze, noted) if noted else _noted_nothing(freeze, slug)
    counts, default = kept.counts, sources.say("numbers.default")
    note = ""
    if noted is not None and noted.digest != kept.digest:
        counted = x_of_n(noted.exceptions, noted.assessed)
        note = sources.say("numbers.other_run", counted=counted)
    return NumberSaid(
        freeze=freeze.freeze[:SHORT],
        slug=slug,
        status=kept.status,
        counted=x_of_n(counts.exceptions, counts.assessed),
        bounds=rate_words(kept),
        not_assessable=counts.population - counts.assessed,
        fragile=counts.fragile_exceptions + counts.fragile_conforming,
        criteria=tuple(
            f"{limit_words(used)} ({default if used.is_default else used.source})"
            for used in kept.criteria
        ),
        digest=kept.digest,
        note=note,
    )


def limit_words(used: UsedCriterion) -> str:
    """A limit with its unit; a share has none."""
    unit = "" if used.unit == SHARE else used.unit
    return f"{used.name} {used.value.normalize():f} {unit}".strip()


def _noted(sources: Sources, freeze: Freeze, one: TestResult) -> NumberSaid:
    return NumberSaid(
        freeze.freeze[:SHORT],
        one.slug,
        one.status,
        x_of_n(one.exceptions, one.assessed),
        "",
        one.not_assessable,
        one.fragile,
        (),
        one.digest,
        sources.say("numbers.journal_only"),
    )


def _noted_nothing(freeze: Freeze, slug: str) -> NumberSaid:
    return NumberSaid(freeze.freeze[:SHORT], slug, "failed", "", "", 0, 0, (), "", "")


def method_said(sources: Sources) -> Method:
    """Extracts, sampling, clocks, and how much was heard and seen."""
    say, state = sources.say, sources.state
    read_back = sum(one.read_back == "agreed" for one in sources.statements)
    compared = [one.result for item in state.observations.values() for one in item.compared]
    notes = [
        say("method.records"),
        say("method.heard", n=len(sources.statements), x=read_back),
        say(
            "method.seen",
            n=len(state.observations),
            compared=len(compared),
            against=say("method.against", n=compared.count("contradicts")) if compared else "",
        ),
    ]
    chosen = dict.fromkeys(
        fact.selection for one in state.findings.values() for fact in one.facts if fact.selection
    )
    notes.append(say("method.chosen", how="; ".join(chosen)) if chosen else say("method.sampling"))
    shifted = sum(bool(one.entry.clock_offset_s) for one in sources.received)
    notes.append(say("method.clocks") if not shifted else say("method.shifted", n=shifted))
    return Method(tuple(_extract(sources, one) for one in state.freezes.values()), tuple(notes))


def _extract(sources: Sources, one: Freeze) -> Extract:
    folder = sources.folders.get(one.freeze)
    manifest = read_manifest(folder) if folder else None
    return Extract(
        freeze=one.freeze,
        purpose=sources.say.named("purpose", one.purpose),
        period=one.period,
        files=len(manifest.files) if manifest else 0,
        rows=sum(table.rows for table in manifest.tables.values()) if manifest else 0,
        refused=manifest.rows_refused if manifest else 0,
        tests=len(sources.outcomes.get(one.freeze, ())) or len(one.outcomes),
        tool_version=one.tool_version,
    )
